"""The CRI standard of 2011, §6.2, clause by clause: few seams, the area's length, traffic along, none square to a doorway."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.estimating import Doorway, Floors, OrderRules, Room, Weights
from remnants.estimating.order import choices, orders_from_roll
from remnants.estimating.rooms.feet import met_by_feet
from remnants.estimating.rooms.seams import walked_lines
from remnants.geometry import rectangle
from remnants.geometry.turn import turned
from remnants.packing import Watch
from tests.estimating.floors import a_roll, a_room, mm, order

WALKED = (((0.0, 0.0), (0.0, 6000.0)),)
"""One lane, straight along y."""


def doors(*places: tuple[float, float, float, float]) -> tuple[Doorway, ...]:
    return tuple(Doorway((x1, y1), (x2, y2), "") for x1, y1, x2, y2 in places)


@pytest.mark.parametrize("length", ["7 m", "12 m", "25 m", "40 m"])
def test_a_corridor_is_laid_in_one_length_without_a_seam(length: str) -> None:
    """2.1 x 12 m with a door at each end once got three seams square across the walk, for 3.4 m less of roll."""
    long = mm(length)
    ends = doors((600, 0, 1500, 0), (600, long, 1500, long))
    plan = order(a_room("2.1 m", length, trim=37.5, doorways=ends), roll=a_roll("4 m"), rules=OrderRules())
    assert plan.seams == ()
    assert plan.length_mm == pytest.approx(long + 75)


@pytest.mark.parametrize("cross_seams", [0, 1, 3])
def test_a_corridor_of_which_no_door_is_told_is_laid_in_one_length_whatever_joins_are_allowed(cross_seams: int) -> None:
    """2.1 x 7 m was seamed square across the walk, for 2.7 m less of roll; that is still a choice, and it says who crosses it."""
    floors = Floors("Passage", (a_room("2.1 m", "7 m", trim=37.5),))
    rules = OrderRules(cross_seams=cross_seams)
    plans = orders_from_roll(floors, a_roll("4 m"), rules=rules, watch=Watch(tries=200))
    assert plans[0].seams == ()
    assert plans[0].length_mm == pytest.approx(7075)
    shorter = [plan for plan in choices(plans) if len(plan.seams) == 1]
    assert [plan.length_mm for plan in shorter] == [pytest.approx(4350)]
    assert "is crossed by people who walk" in shorter[0].seams[0].faults


@pytest.mark.parametrize(
    ("width", "length", "told"),
    [(2100.0, 7000.0, 1), (2400.0, 4900.0, 1), (2500.0, 9000.0, 0), (2100.0, 4200.0, 0)],
)
def test_a_corridor_is_narrow_and_over_twice_as_long_as_wide_however_it_is_drawn(width: float, length: float, told: int) -> None:
    for turn in (0.0, 90.0, 33.0):
        room = Room("Passage", turned(rectangle(width, length), turn), (0.0,) * 4)
        paths = walked_lines(room)
        assert len(paths) == told
        assert all(math.dist(*path) == pytest.approx(length) for path in paths)
    ends = doors((600, 0, 1500, 0), (600, length, 1500, length))
    assert len(walked_lines(Room("Passage", rectangle(width, length), (0.0,) * 4, doorways=ends))) == 3
    drawn = Room("Passage", rectangle(width, length), (0.0,) * 4, traffic=WALKED)
    assert walked_lines(drawn) == WALKED


def test_seams_of_a_long_area_run_its_length_though_nobody_says_where_people_walk() -> None:
    plan = order(a_room("2.1 m", "12 m", trim=37.5), roll=a_roll("4 m"), rules=OrderRules())
    assert plan.seams == ()


def test_a_seam_goes_along_the_walk_rather_than_across_it() -> None:
    """7 x 7 m from 4 m takes one seam either way: it runs from door to door, and no door opens on its end."""
    ends = doors((1000, 0, 1900, 0), (1000, 7000, 1900, 7000))
    plan = order(a_room("7 m", "7 m", trim=37.5, doorways=ends), roll=a_roll("4 m"), rules=OrderRules())
    (seam,) = plan.seams
    (x1, _), (x2, _) = seam.seam.line
    assert x1 == pytest.approx(x2) and not 1000 < x1 < 1900
    assert seam.faults == ()


def test_a_lane_crossed_is_one_crossing_and_one_walked_along_is_none() -> None:
    across = met_by_feet(((-1000.0, 3000.0), (1000.0, 3000.0)), WALKED * 3)
    along = met_by_feet(((100.0, 1000.0), (100.0, 4000.0)), WALKED * 3)
    away = met_by_feet(((-1000.0, 7000.0), (1000.0, 7000.0)), WALKED)
    assert (across.crossings, across.along_mm) == (1, 0.0)
    assert along.crossings == 0 and along.along_mm == pytest.approx(3000)
    assert (away.crossings, away.turns, away.along_mm) == (0, 0, 0.0)


def test_where_the_way_bends_feet_turn_on_a_seam_and_where_it_goes_straight_on_they_do_not() -> None:
    bend = (((0.0, 0.0), (0.0, 2000.0), (3000.0, 2000.0)),)
    straight = (((0.0, 0.0), (0.0, 2000.0), (100.0, 5000.0)),)
    seam = ((-200.0, 0.0), (-200.0, 4000.0))
    assert met_by_feet(seam, bend).turns == 1
    assert met_by_feet(seam, straight).turns == 0
    assert met_by_feet(((-400.0, 0.0), (-400.0, 4000.0)), bend).turns == 0


@settings(max_examples=40)
@given(turn=st.floats(0, 360), x=st.integers(-2000, 2000), y=st.integers(-2000, 2000), tilt=st.integers(0, 179))
def test_feet_meet_a_seam_alike_however_the_room_is_drawn(turn: float, x: int, y: int, tilt: int) -> None:
    """Turned, moved, mirrored end to end: what feet do does not depend on the drawing's axes."""
    path = ((0.0, 0.0), (0.0, 2000.0), (2500.0, 2500.0))
    way = math.cos(math.radians(tilt)) * 1500, math.sin(math.radians(tilt)) * 1500
    seam = ((x - way[0], y - way[1]), (x + way[0], y + way[1]))
    if abs((tilt % 90) - 45) < 1 or abs(((tilt - 11.31) % 90) - 45) < 1:  # at 45 degrees a hair decides
        return
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def drawn(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] * cos - point[1] * sin + 500, point[0] * sin + point[1] * cos - 300

    before = met_by_feet(seam, (path,))
    after = met_by_feet((drawn(seam[1]), drawn(seam[0])), (tuple(drawn(point) for point in reversed(path)),))
    assert (before.crossings, before.turns) == (after.crossings, after.turns)
    assert before.along_mm == pytest.approx(after.along_mm, abs=0.1)


def test_what_nobody_minds_may_be_weighed_at_nothing() -> None:
    """The shop's own weights: crossings and the length of the area at nothing give the shorter roll."""
    ends = doors((600, 0, 1500, 0), (600, 12_000, 1500, 12_000))
    rules = OrderRules(weights=Weights(across_path_mm=0.0, across_area_mm=0.0, each_seam_mm=0.0))
    plan = order(a_room("2.1 m", "12 m", trim=37.5, doorways=ends), roll=a_roll("4 m"), rules=rules)
    assert plan.length_mm == pytest.approx(8700)
