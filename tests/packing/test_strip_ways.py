"""rectpack's ways on a strip: what they find is checked, and packing many items is never worse."""

import random

import pytest

from remnants.packing import Item, StripProblem, Watch, pack_strip
from remnants.packing.rectpack_bins import STRIP_WAYS, shorter_strip
from tests.thorough import some


def rectangles(count: int, seed: int) -> list[tuple[int, int]]:
    chance = random.Random(seed)
    return [(chance.randint(50, 900), chance.randint(50, 900)) for _ in range(count)]


@pytest.mark.parametrize("seed", some(range(2)))
def test_many_items_never_take_a_longer_strip_than_by_any_way_of_rectpack(seed: int) -> None:
    parts = rectangles(30, seed)
    lengths = [found[0] for way in STRIP_WAYS if (found := shorter_strip(parts, 2000, shorter_than=20_000, least=1, way=way))]
    assert len(lengths) > 50
    problem = StripProblem(2000, tuple(Item(width, length) for width, length in parts))
    assert pack_strip(problem, watch=Watch(tries=60)).length <= min(lengths)


def test_a_way_that_is_not_shorter_says_so() -> None:
    parts = [(60, 10), (60, 20)]  # they can't lie side by side on 100: 30 long
    assert shorter_strip(parts, 100, shorter_than=30, least=1, way=STRIP_WAYS[0]) is None
    found = shorter_strip(parts, 100, shorter_than=40, least=1, way=STRIP_WAYS[0])
    assert found is not None
    assert found[0] == 30
    assert sorted(found[1]) in ([(0, 0), (0, 10)], [(0, 0), (0, 20)])
