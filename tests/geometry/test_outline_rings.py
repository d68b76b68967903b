"""Whether a ring keeps off itself: told at once of a ring that only bends to the left, by the general answer of any other."""

import math
import random

import pytest
import shapely

from remnants.errors import BadOutline
from remnants.geometry.outline import Ring, is_simple, ring_of
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


def on_a_grid(rng: random.Random, corners: int) -> Ring:
    """Corners on a small grid, mostly joined along the axes, so that edges meet, touch and run over one another often."""
    ring = [(0.0, 0.0)]
    for corner in range(1, corners):
        x, y = ring[-1]
        at = float(rng.randrange(4))
        ring.append((at, y) if corner % 2 else (x, at))
    if corners % 2 == 0 and rng.random() < 0.8:
        ring[-1] = (ring[0][0], ring[-2][1])
    return tuple(ring)


def test_edges_along_the_axes_are_taken_and_refused_as_the_library_says() -> None:
    rng = random.Random(7)
    taken = refused = 0
    for _ in range(2000):
        ring = on_a_grid(rng, rng.choice((4, 5, 6, 8, 10, 12, 14)))
        if any(one == other for one, other in zip(ring, (*ring[1:], ring[0]), strict=True)):
            continue
        try:
            found = set(ring_of(ring))
        except BadOutline:
            refused += 1
            assert not shapely.Polygon(ring).is_valid
        else:
            taken += 1
            assert shapely.Polygon(ring).is_valid
            assert found == set(ring)
    assert taken > 100
    assert refused > 100


@pytest.mark.parametrize(
    "ring",
    [
        ((0, 0), (20, 0), (20, 10), (10, 10), (10, 0.001), (10, -5), (0, -5)),
        ((0, 0), (10, 0), (10, 10), (5, 10), (5, 0), (5, 10), (0, 10)),
        ((0, 0), (10, 0), (10, 5), (0, 5), (0, 10), (10, 10), (10, 5), (0, 5)),
    ],
    ids=["crosses its first edge", "goes in and back", "touches a whole edge"],
)
def test_a_ring_along_the_axes_that_meets_itself_is_refused(ring: Ring) -> None:
    with pytest.raises(BadOutline, match="crosses or touches itself"):
        ring_of(ring)
