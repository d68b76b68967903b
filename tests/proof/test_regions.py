"""The proof's own geometry: what lies within what, overlaps, is bare or runs along, answered by stretches of edges."""

import random

import pytest
from shapely.geometry import Polygon

from remnants.geometry.outline import TOLERANCE_MM, Ring
from remnants.proof import lines
from remnants.proof.motion import apart_deg, brought, lattice_gap_mm, turned
from remnants.proof.regions import can_be_left, gaps, is_sound, overlap_mm, region_of, sticks_out_mm, touching
from tests.geometry.test_lie import star
from tests.proof.plans import box, moved
from tests.shapes import SHAPES

SQUARE = region_of(box(0, 0, 100, 100))


def test_the_tolerance_of_the_proof_is_that_of_the_house() -> None:
    assert lines.TOLERANCE_MM == TOLERANCE_MM


@pytest.mark.parametrize("seed", range(30))
def test_regions_agree_with_areas(seed: int) -> None:
    """Two stars by chance: one reaches into the other, or out of it, exactly where the areas say so."""
    dice = random.Random(seed)
    one = star(dice, dice.randint(3, 9), 300)
    two = moved(star(dice, dice.randint(3, 9), 300), (dice.uniform(-300, 300), dice.uniform(-300, 300)))
    shared = Polygon(one).intersection(Polygon(two)).area
    out = Polygon(one).difference(Polygon(two)).area
    assert (overlap_mm(region_of(one), region_of(two)) > 0) is (shared > 1)
    assert (sticks_out_mm(region_of(one), region_of(two)) > 0) is (out > 1)


@pytest.mark.parametrize("name", SHAPES)
def test_a_shape_lies_in_itself_and_moved_by_a_little_no_longer(name: str) -> None:
    ring = SHAPES[name].ring
    whole = region_of(ring)
    assert sticks_out_mm(whole, whole) == 0
    assert overlap_mm(whole, whole) > 0
    assert gaps(whole, [whole]) == []
    assert sticks_out_mm(region_of(moved(ring, (0.03, 0.02))), whole) > 0
    assert gaps(whole, [region_of(moved(ring, (0.03, 0.02)))])
    assert sticks_out_mm(region_of(moved(ring, (0.004, 0.004))), whole) == 0
    assert gaps(whole, [region_of(moved(ring, (0.004, 0.004)))]) == []


@pytest.mark.parametrize(
    ("ring", "sound"),
    [
        (box(0, 0, 1, 1), True),
        (box(0, 0, 1, 1)[::-1], False),
        (((0, 0), (1, 0), (0, 1)), True),
        (((0, 0), (1, 0), (2, 0)), False),
        (((0, 0), (2, 2), (2, 0), (0, 2)), False),
        (((0, 0), (4, 0), (4, 4), (2, 0), (0, 4)), False),
        (((0, 0), (4, 0), (4, 4), (6, 4), (4, 4), (0, 4)), False),
        (((0, 0), (2, 0), (4, 0), (4, 4), (0, 4)), True),
        (((0, 0), (4, 0), (4, float("nan")), (0, 4)), False),
    ],
)
def test_an_outline_is_sound_if_its_edges_meet_at_their_shared_ends_alone(ring: Ring, sound: bool) -> None:
    assert is_sound(ring) is sound


def test_cutouts_of_a_leftover_lie_in_it_each_by_itself() -> None:
    ring = box(0, 0, 100, 100)
    assert can_be_left(ring, (box(10, 10, 20, 20), box(20, 20, 30, 30)))
    assert not can_be_left(ring, (box(90, 90, 101, 101),))
    assert not can_be_left(ring, (box(10, 10, 20, 20), box(19, 19, 30, 30)))


def test_how_deep_and_how_far_are_told() -> None:
    assert overlap_mm(SQUARE, region_of(box(90, 20, 200, 80))) == pytest.approx(10)
    assert sticks_out_mm(region_of(box(50, 20, 107, 80)), SQUARE) == pytest.approx(7)
    assert sticks_out_mm(SQUARE, region_of(box(0, 0, 100, 99))) == pytest.approx(1)
    assert overlap_mm(SQUARE, region_of(box(100, 0, 200, 100))) == 0
    assert overlap_mm(SQUARE, region_of(box(300, 0, 400, 100))) == 0


def test_a_hole_is_out() -> None:
    holed = region_of(box(0, 0, 100, 100), (box(40, 40, 60, 60),))
    assert sticks_out_mm(region_of(box(30, 30, 70, 70)), holed) > 0
    assert sticks_out_mm(region_of(box(45, 45, 55, 55)), holed) > 0
    assert overlap_mm(region_of(box(45, 45, 55, 55)), holed) == 0
    assert overlap_mm(region_of(box(40, 40, 60, 60)), holed) == 0
    assert sticks_out_mm(region_of(box(10, 10, 30, 90)), holed) == 0


def test_what_is_bare_is_told_by_its_edges() -> None:
    (gap,) = [gap for gap in gaps(SQUARE, [region_of(box(0, 0, 100, 90))]) if gap.owner == 0]
    assert gap.length_mm == pytest.approx(100, abs=0.03)  # its ends lie along the walls
    assert sorted((gap.start, gap.end)) == [pytest.approx((0, 90), abs=0.02), pytest.approx((100, 90), abs=0.02)]
    assert gaps(SQUARE, [region_of(box(0, 0, 60, 100)), region_of(box(55, 0, 100, 100))]) == []
    assert gaps(SQUARE, [region_of(box(-10, -10, 110, 110))]) == []
    assert gaps(SQUARE, [])
    left = [region_of(moved(ring, (-5000, -5000))) for ring in (box(0, 0, 100, 100), box(0, 0, 60, 100), box(60, 0, 100, 100))]
    assert gaps(left[0], left[1:]) == []
    assert gaps(left[0], left[1:2])


def test_edges_run_side_by_side_both_ways_alike_or_not() -> None:
    (touch,) = touching(SQUARE, region_of(box(100, 20, 200, 70)))
    assert (touch.stretch, touch.same_way, touch.edge.number, touch.other.number) == ((20, 70), False, 1, 3)
    assert {touch.same_way for touch in touching(SQUARE, SQUARE)} == {True}
    assert touching(SQUARE, region_of(box(100.02, 20, 200, 70))) == []


def edge(start: tuple[float, float], end: tuple[float, float]) -> lines.Edge:
    """An edge, 1000 to the right and 2000 up."""
    return lines.edges_of(moved((start, end), (1000, 2000)))[0]


FLAT = edge((0, 0), (100, 0))


@pytest.mark.parametrize(
    ("other", "give_mm", "stretch"),
    [
        (edge((20, 5), (60, 5)), 13, (8, 72)),  # 5 beside, 12 before and past either end
        (edge((60, -5), (20, -5)), 13, (8, 72)),
        (edge((-50, 5), (-5, 5)), 13, (0, 7)),
        (edge((20, 5), (60, 5)), 4.9, None),
        (edge((50, -10), (50, 10)), 3, (47, 53)),  # across
        (edge((50, 2), (50, 10)), 2.5, (48.5, 51.5)),  # from 2 above on: 1.5 either way
        (edge((20, -15), (60, 15)), 3, (35, 45)),  # 3 in 4: 5 along for 3 beside
        (edge((60, 15), (20, -15)), 3, (35, 45)),
        (edge((200, 0), (300, 0)), 3, None),
    ],
)
def test_how_far_an_edge_is_near_another(other: lines.Edge, give_mm: float, stretch: tuple[float, float] | None) -> None:
    found = lines.near(FLAT, other, give_mm)
    assert (found is None) is (stretch is None)
    assert found is None or found == pytest.approx(stretch)


@pytest.mark.parametrize(
    ("other", "stretch"),
    [
        (edge((20, 0), (60, 0)), (20, 60)),
        (edge((60, 0), (20, 0)), (20, 60)),
        (edge((-20, 0.9), (160, 0.9)), (0, 100)),
        (edge((0, 0.9), (100, -0.9)), (0, 100)),
        (edge((0, 0.9), (200, -3.1)), None),
        (edge((-100, 2.5), (300, -1.5)), None),
        (edge((10, 0.9), (60, -0.8)), (10, 60)),
        (edge((0, 1.1), (100, 1.1)), None),
        (edge((99.5, 0), (300, 0)), None),
        (edge((50, 0), (50, 9)), None),
    ],
)
def test_how_far_an_edge_runs_along_another(other: lines.Edge, stretch: tuple[float, float] | None) -> None:
    found = lines.along(FLAT, other, 1.0)
    assert (found is None) is (stretch is None)
    assert found is None or found == pytest.approx(stretch)


def test_what_is_free_of_an_edge_lies_between_what_is_taken() -> None:
    assert list(lines.free(10, [])) == [(0, 10)]
    assert list(lines.free(10, [(6, 7), (2, 4), (3, 3.5)])) == [(0, 2), (4, 6), (7, 10)]
    assert list(lines.free(10, [(0, 3), (3.5, 9.8)], 0.4)) == [(3, 3.5)]
    assert list(lines.free(10, [(0, 10)])) == []


def test_turns_are_clockwise() -> None:
    assert turned((0, 1), 90) == pytest.approx((1, 0))
    assert brought([(1, 0)], 90, (5, 7))[0] == pytest.approx((5, 6))
    assert [apart_deg(*each) for each in ((350, 10), (10, 350), (0, 180), (-90, 270), (5, 5))] == [20, 20, 180, 0, 0]


def test_a_step_is_as_far_from_a_whole_number_of_repeats_as_the_nearest() -> None:
    """300 across, 200 along, each column half a repeat higher: (300, 100) is one, (600, 0) too, (300, 0) is 100 off."""
    assert lattice_gap_mm((300, 100), 300, 200, 0.5) == 0
    assert lattice_gap_mm((-300, -100), 300, 200, 0.5) == 0
    assert lattice_gap_mm((600, 0), 300, 200, 0.5) == 0
    assert lattice_gap_mm((300, 0), 300, 200, 0.5) == pytest.approx(100)
    assert lattice_gap_mm((299, 100), 300, 200, 0.5) == pytest.approx(1)
    assert lattice_gap_mm((3, 196), 300, 200, 0.5) == pytest.approx(5)


def test_bearings_are_compared_past_a_whole_turn() -> None:
    assert apart_deg(359.0, 1.0) == pytest.approx(2.0)
    assert apart_deg(0.0, 720.0) == apart_deg(-180.0, 180.0) == 0.0
    assert apart_deg(10.0, 190.0) == 180.0


def test_a_pattern_with_a_quarter_drop_rises_to_the_right() -> None:
    """Columns 300 apart, repeats of 200: the next column to the right is 50 higher, that to the left 50 lower."""
    for column in range(-5, 6):
        assert lattice_gap_mm((300.0 * column, 50.0 * column), 300.0, 200.0, 0.25) == pytest.approx(0.0, abs=1e-9)
    assert lattice_gap_mm((300.0, -50.0), 300.0, 200.0, 0.25) == pytest.approx(100.0)
    assert lattice_gap_mm((310.0, 50.0), 300.0, 200.0, 0.25) == pytest.approx(10.0)
