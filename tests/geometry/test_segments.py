"""Straight lines against each other and against rings, and rings inside others."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from remnants.geometry.inside import plainer, plainer_path, reach_outside_mm
from remnants.geometry.outline import Ring, round_outline
from remnants.geometry.segments import bearing_deg, gap_mm, is_within, meeting, shares_outside

SQUARE: Ring = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
WHOLE = st.integers(-20, 20).map(float)
POINTS = st.tuples(WHOLE, WHOLE)
LINES = st.tuples(POINTS, POINTS).filter(lambda line: line[0] != line[1])


@given(LINES, LINES)
def test_the_gap_between_two_lines_is_that_of_another_library(one: tuple[tuple[float, float], ...], two: object) -> None:
    far = shapely.distance(shapely.LineString(one), shapely.LineString(two))
    assert gap_mm(one, two) == pytest.approx(far, abs=0.011)  # type: ignore[arg-type]


@given(LINES)
def test_what_of_a_line_a_square_covers_is_what_another_library_says(line: tuple[tuple[float, float], ...]) -> None:
    start, end = line
    shown = sum(math.dist(start, end) * (high - low) for low, high in shares_outside((start, end), [SQUARE]))
    along_an_edge = any(start[axis] == end[axis] in (0.0, 10.0) for axis in (0, 1))
    whole = shapely.LineString(line)
    seen = whole.length if along_an_edge else whole.difference(shapely.Polygon(SQUARE)).length
    assert shown == pytest.approx(seen, abs=0.05)


def test_what_runs_along_an_edge_is_outside_and_rings_that_abut_cover_what_crosses_both() -> None:
    right: Ring = ((10.0, 0.0), (20.0, 0.0), (20.0, 10.0), (10.0, 10.0))
    assert shares_outside(((10.0, 0.0), (10.0, 10.0)), [SQUARE, right]) == [(0.0, 1.0)]
    assert shares_outside(((2.0, 5.0), (18.0, 5.0)), [SQUARE, right]) == []
    assert shares_outside(((-10.0, 5.0), (30.0, 5.0)), [SQUARE, right]) == [(0.0, 0.25), (0.75, 1.0)]
    assert not is_within((10.0, 5.0), SQUARE) and is_within((9.9, 5.0), SQUARE)


def test_a_meeting_is_told_as_a_share_of_the_first_line() -> None:
    assert meeting(((0.0, 0.0), (0.0, 10.0)), ((-5.0, 4.0), (5.0, 4.0))) == pytest.approx(0.4)
    assert meeting(((0.0, 0.0), (0.0, 10.0)), ((1.0, 4.0), (5.0, 4.0))) is None
    assert meeting(((0.0, 0.0), (0.0, 10.0)), ((0.0, 2.0), (0.0, 4.0))) is None  # alongside
    assert bearing_deg(((0.0, 0.0), (5.0, 5.0))) == pytest.approx(45)


def test_rings_of_many_corners_are_drawn_in_to_fewer_and_never_grow() -> None:
    table = round_outline((0.0, 0.0), 600.0, outside=False).ring
    (plain,) = plainer([table], 40)
    assert len(plain) <= 40 < len(table)
    assert reach_outside_mm(plain, table) == 0.0
    assert reach_outside_mm(table, plain) < 12.0
    assert plainer([SQUARE], 40) == (SQUARE,)


def test_a_path_of_many_points_is_made_plainer_from_end_to_end() -> None:
    path = [(float(x), 100 * math.sin(x / 300)) for x in range(0, 3000, 5)]
    plain = plainer_path(path, 30)
    assert 2 <= len(plain) <= 30 and (plain[0], plain[-1]) == (path[0], path[-1])
    assert shapely.hausdorff_distance(shapely.LineString(plain), shapely.LineString(path)) < 20


def test_a_ring_that_reaches_out_is_told_by_how_much() -> None:
    assert reach_outside_mm(((2.0, 2.0), (13.0, 2.0), (13.0, 8.0)), SQUARE) == pytest.approx(3.0)
    assert reach_outside_mm(SQUARE, SQUARE) == 0.0
