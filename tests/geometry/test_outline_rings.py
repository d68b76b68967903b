"""Whether a ring keeps off itself: told at once of a ring that only bends to the left, by the general answer of any other."""

import math
import random

import pytest
import shapely

from remnants.geometry.outline import Ring, is_simple
from tests.geometry.test_lie import star


def turning(rng: random.Random, corners: int, rounds: int) -> Ring:
    """Corners on a circle that is gone round several times, each a little off it."""
    steps = [math.tau * rounds * corner / corners for corner in range(corners)]
    return tuple((rng.uniform(0.9, 1) * math.cos(step), rng.uniform(0.9, 1) * math.sin(step)) for step in steps)


@pytest.mark.parametrize("seed", range(40))
def test_a_ring_keeps_off_itself_as_the_library_says(seed: int) -> None:
    rng = random.Random(seed)
    drawn = [star(rng, rng.randint(4, 9), 500, rough=rng.random()), turning(rng, rng.randint(5, 17), rng.choice((1, 2, 3)))]
    mixed = list(drawn[0])
    rng.shuffle(mixed)
    for ring in (*drawn, tuple(mixed)):
        for way in (ring, ring[::-1]):
            assert is_simple(way) == shapely.Polygon(way).is_valid


def test_a_star_of_five_points_only_bends_to_the_left_and_crosses_itself() -> None:
    ring = tuple((math.cos(2 * math.tau * corner / 5), math.sin(2 * math.tau * corner / 5)) for corner in range(5))
    assert not is_simple(ring)


def test_an_edge_that_runs_back_over_itself_is_told() -> None:
    assert not is_simple(((0, 0), (1000, 0), (1000, 1000), (1000, 2000), (1000, 1000), (0, 1000)))
