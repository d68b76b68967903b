"""Widths that follow from each other: a packing that a beam does not find is found, is one, and is never below the bound."""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.packing import Divided, DividedProblem, Divisible, Watch, divided_bound, shorten_by_starts, shorten_divided
from remnants.packing.strip import divided_starts as module
from tests.packing.test_divided_bound import exactly, problem_of
from tests.thorough import few

HOUSE = ((4615, 2465), (3165, 5365), (5245, 2475), (2725, 4235), (1865, 4815))
"""Five rooms of a house, with their trims, in millimetres."""


def house(*, whole: int | None = None) -> DividedProblem:
    items = tuple(Divisible(((x * 1000 + 2, y * 1000),), n, whole=n == whole) for n, (x, y) in enumerate(HOUSE))
    return DividedProblem(3_660_000, items, 50_000, 350_000)


def check(problem: DividedProblem, found: Divided) -> None:
    """Nothing over each other or over the sides, no piece too narrow, every item as wide as it must be."""
    boxes = []
    for piece in found.pieces:
        long = (problem.items[piece.item].sizes[piece.way] or (0, 0))[1]
        boxes.append((piece.x, piece.y, piece.x + piece.width, piece.y + long))
        assert piece.width % problem.step == 0
    assert all(low >= 0 and left >= 0 and right <= problem.width and high <= found.length for left, low, right, high in boxes)
    assert all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(boxes, 2))
    for index, item in enumerate(problem.items):
        of = found.of(index)
        width = (item.sizes[of[0].way] or (0, 0))[0]
        assert len({piece.way for piece in of}) == 1
        assert sum(piece.width for piece in of) >= width + problem.seam * (len(of) - 1)
        assert all(piece.width >= min(width, problem.least) for piece in of)
        assert not item.whole or len(of) == 1


def test_five_rooms_take_less_than_a_beam_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    """17.74 m: full breadths of the widest two lie at the ends, what is left of all lies between, in widths from each other."""
    monkeypatch.setattr(module, "MORE_PIECES", (4,))
    problem = house()
    beam = shorten_divided(problem, shorter_than=18_300_000, bound=17_600_000, most=100, watch=Watch(tries=60))
    assert beam is not None
    found = shorten_by_starts(problem, [0] * 5, shorter_than=18_000_000, bound=17_740_000, watch=Watch(tries=60))
    assert found is not None
    assert found.length == 17_740_000 < beam.length
    check(problem, found)


def test_what_is_whole_stays_whole() -> None:
    problem = house(whole=1)
    found = shorten_by_starts(problem, [0] * 5, shorter_than=20_000_000, bound=19_000_000, watch=Watch(tries=10))
    assert found is not None
    check(problem, found)


def test_pieces_are_cut_in_whole_steps() -> None:
    # 310 and 90, 180 and 210 wide, where 255 takes 270 in two: 2 of 10 are to spare
    items = tuple(Divisible(((each * 1000, 300),), n) for n, each in enumerate((307, 255, 202)))
    problem = DividedProblem(400_000, items, 5_000, 40_000, step=10_000)
    found = shorten_by_starts(problem, [0] * 3, shorter_than=900, bound=574, watch=Watch(tries=20))
    assert found is not None
    assert found.length == 600
    check(problem, found)


def test_without_effort_or_with_too_many_places_nothing_is_found() -> None:
    asked = {"shorter_than": 20_000_000, "bound": 16_969_000}
    assert shorten_by_starts(house(), [0] * 5, watch=Watch(tries=0), **asked) is None
    many = DividedProblem(4000, tuple(Divisible(((999, 1000 + 7 * n),), n) for n in range(12)), 1, 3)
    watch = Watch(tries=20)
    assert shorten_by_starts(many, [0] * 12, shorter_than=90_000, bound=3000, watch=watch) is None
    assert watch.tries == 0


sides = st.integers(2, 7)


@settings(max_examples=few(18), deadline=None)
@given(sizes=st.lists(st.tuples(sides, sides), min_size=1, max_size=3))
def test_it_is_a_packing_and_none_is_shorter_than_a_plain_exact_model_has_it(sizes: list[tuple[int, int]]) -> None:
    small = problem_of(*sizes, turned=False)
    least = exactly(small, 30)
    problem = DividedProblem(6000, tuple(Divisible(((x * 1000, y),), n) for n, (x, y) in enumerate(sizes)), 1000, 1000)
    # a quarter of a gap of one length is none
    found = shorten_by_starts(problem, [0] * len(sizes), shorter_than=least + 1, bound=least, watch=Watch(tries=20))
    assert found is not None
    check(problem, found)
    assert divided_bound(problem, bound=1, known=found.length, watch=Watch(tries=60)) <= found.length <= least
