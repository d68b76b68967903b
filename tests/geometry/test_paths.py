"""The shortest way over a floor, round its corners and islands."""

import math
from itertools import pairwise

import pytest

from remnants.geometry import Point, outline_of
from remnants.geometry.paths import shortest_within

L = outline_of([(0, 0), (4000, 0), (4000, 1000), (1000, 1000), (1000, 4000), (0, 4000)])


def length(path: tuple[Point, ...]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(path))


def test_what_is_in_sight_is_walked_to_straight() -> None:
    assert shortest_within(L, (0, 0), (4000, 1000)) == ((0, 0), (4000, 1000))


def test_round_the_corner_of_an_l() -> None:
    assert shortest_within(L, (500, 4000), (4000, 500)) == ((500, 4000), (1000, 1000), (4000, 500))


def test_round_an_island_by_its_nearer_side() -> None:
    floor = outline_of([(0, 0), (4000, 0), (4000, 3000), (0, 3000)], [[(1000, 1000), (3000, 1000), (3000, 2500), (1000, 2500)]])
    path = shortest_within(floor, (0, 2000), (4000, 2000))
    assert path == ((0, 2000), (1000, 2500), (3000, 2500), (4000, 2000))
    assert length(path) == pytest.approx(2000 + 2 * math.hypot(1000, 500))


def test_no_way_leads_into_another_room() -> None:
    assert shortest_within(L, (0, 0), (9000, 9000)) == ()
