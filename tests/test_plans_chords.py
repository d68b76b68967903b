"""Swings of doors that a drawing program broke into short straight lines: found as an arc is, in PDFs and in DXF drawings."""

import math
import time
from collections.abc import Callable
from itertools import pairwise

import pytest
from ezdxf.document import Drawing
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.exchange.plans import swings
from remnants.exchange.plans.chords import MOST_CORNERS, swings_whole
from remnants.exchange.plans.drawn import Spot, Stroke
from remnants.exchange.plans.quarters import quarter_centre
from remnants.exchange.plans.swings import swings_of
from remnants.geometry import Point
from remnants.geometry.outline import area_mm2
from tests.test_plans import a_drawing, on, two_rooms
from tests.test_plans import read as read_dxf
from tests.test_plans_known import CM, a_pdf, sizes
from tests.test_plans_known import read as read_pdf
from tests.test_plans_known import two_rooms as rooms_on_paper
from tests.thorough import share

COUNTS = (8, 17, 64)


def quarter(x: float, y: float, radius: float, count: int) -> list[Point]:
    """The corners of chords from the right of x, y to straight above it."""
    turns = [math.pi / 2 * step / count for step in range(count + 1)]
    return [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]


def as_path(points: list[Point]) -> str:
    """One path of a PDF, rounded as programs round."""
    return " ".join(f"{x:.2f} {y:.2f} {'l' if index else 'm'}" for index, (x, y) in enumerate(points)) + " S "


def as_lines(points: list[Point]) -> str:
    """Each line a path of its own, every second one the other way."""
    pairs = [[one, two][:: 1 if index % 2 else -1] for index, (one, two) in enumerate(pairwise(points))]
    return "".join(as_path(pair) for pair in pairs)


LEAF = "200 300 m 200 380 l S "


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("drawn", [as_path, as_lines])
def test_a_swing_of_short_lines_in_a_pdf_is_a_doorway_as_an_arc_is(drawn: Callable[[list[Point]], str], count: int) -> None:
    plan = read_pdf(a_pdf(rooms_on_paper(drawn(quarter(200, 300, 80, count)) + LEAF)), scale=CM)
    assert sorted(sizes(plan).values()) == [(4000, 2000), (4000, 3000)]
    assert [round(opens.width_mm) for room in plan.rooms for opens, _ in room.doorways] == [800, 800]
    assert not any("like a door's" in note or "loose" in note for note in plan.notes)


def test_leaf_and_swing_drawn_in_one_go_are_told_apart() -> None:
    """From the hinge along the leaf and down the chords, in one path; and with the jamb's edge after them, running on."""
    down = quarter(200, 300, 80, 16)[::-1]
    for more in ([], [(280.0, 290.0)]):
        plan = read_pdf(a_pdf(rooms_on_paper(as_path([(200.0, 300.0), *down, *more]))), scale=CM)
        assert [round(opens.width_mm) for room in plan.rooms for opens, _ in room.doorways] == [800, 800]


def test_chords_that_may_be_a_swing_are_asked_about_as_arcs_are() -> None:
    plan = read_pdf(a_pdf(rooms_on_paper(as_lines(quarter(200, 300, 80, 12)))), scale=CM)
    assert any("an arc like a door's" in note and "has no leaf" in note for note in plan.notes)


@pytest.mark.parametrize("count", COUNTS)
def test_a_door_block_with_a_swing_of_chords_opens_where_its_leaf_is_not(count: int) -> None:
    """Close to a corner the leaf lies along the other wall: without the swing that wall would be as good."""
    for lines in (True, False):
        drawing = two_rooms(100)
        block = drawing.blocks.new("DOOR-CHORDS")
        block.add_lwpolyline([(0, 0), (40, 0), (40, 800), (0, 800)], close=True, dxfattribs=on("0"))
        corners = quarter(0, 0, 800, count)
        if lines:
            for one, two in pairwise(corners):
                block.add_line(one, two, dxfattribs=on("0"))
        else:
            block.add_lwpolyline(corners, dxfattribs=on("0"))
        drawing.modelspace().add_blockref("DOOR-CHORDS", (4100, 60), dxfattribs=on("FITTINGS", rotation=90))
        assert {room.name: [(round(way.start_mm), to) for way, to in room.doorways] for room in read_dxf(drawing).rooms} == {
            "LOUNGE": [(60, "HALL")],
            "HALL": [(4140, "LOUNGE")],
        }


def test_a_swing_with_its_leaf_in_one_bulged_polyline_is_a_door_too() -> None:
    drawing = two_rooms(100)
    block = drawing.blocks.new("DOOR-BULGE")
    block.add_lwpolyline([(0, 0, 0), (0, 800, -math.tan(math.pi / 8)), (800, 0, 0)], format="xyb", dxfattribs=on("0"))
    drawing.modelspace().add_blockref("DOOR-BULGE", (4100, 60), dxfattribs=on("FITTINGS", rotation=90))
    assert {room.name: round(room.doorways[0][0].start_mm) for room in read_dxf(drawing).rooms} == {"LOUNGE": 60, "HALL": 4140}


@pytest.mark.parametrize("count", [0, 16])
def test_a_swing_among_the_walls_of_a_drawing_cuts_nothing_off_a_room(count: int) -> None:
    """Its arc closed the gap in the wall, so that one room lost the quarter circle to the other. No name tells of a door."""
    drawing = a_drawing()
    space = drawing.modelspace()
    walls: list[Point] = [(0, 0), (4000, 0), (4000, 5000), (0, 5000), (0, 0)]
    for one, two in [*pairwise(walls), ((0, 2000), (1000, 2000)), ((1800, 2000), (4000, 2000)), ((1000, 2000), (1000, 2800))]:
        space.add_line(one, two, dxfattribs=on("WALLS"))
    for one, two in pairwise(quarter(1000, 2000, 800, count)) if count else ():
        space.add_line(one, two, dxfattribs=on("WALLS"))
    if not count:
        space.add_arc((1000, 2000), 800, 0, 90, dxfattribs=on("WALLS"))
    rooms = read_dxf(drawing).rooms
    assert sorted(round(area_mm2(room.ring)) for room in rooms) == [4000 * 2000, 4000 * 3000]
    assert [round(opens.width_mm) for room in rooms for opens, _ in room.doorways] == [800, 800]


def test_what_may_be_a_door_is_asked_about_by_its_place_in_the_drawing() -> None:
    drawing = two_rooms(100)
    for one, two in pairwise(quarter(1000, 1000, 800, 16)):
        drawing.modelspace().add_line(one, two, dxfattribs=on("FURNITURE"))
    (told,) = [note for note in read_dxf(drawing).notes if "like a door's" in note]
    assert told.startswith("an arc like a door's on layer 'FURNITURE', such as the one at 1800, 1000 that has no leaf")


def with_bay(count: int) -> Drawing:
    """A room of 4 by 3 m whose upper wall is a bay, half a circle in so many lines."""
    drawing = a_drawing()
    bay = [
        (2000 + 2000 * math.cos(math.pi * step / count), 3000 + 2000 * math.sin(math.pi * step / count))
        for step in range(count + 1)
    ]
    corners = [*bay, (0.0, 0.0), (4000.0, 0.0), bay[0]]
    for one, two in pairwise(corners):
        drawing.modelspace().add_line(one, two, dxfattribs=on("WALLS"))
    return drawing


@pytest.mark.parametrize("count", [8, 64])
def test_a_bay_of_short_lines_is_an_outline_as_it_was_drawn(count: int) -> None:
    (room,) = read_dxf(with_bay(count)).rooms
    assert area_mm2(room.ring) == pytest.approx(4000 * 3000 + count / 2 * 2000**2 * math.sin(math.pi / count))
    assert room.doorways == ()


SPOT = Spot("LINE", "", "WALLS")


def whole(points: list[Point], *, closed: bool = False) -> tuple[Stroke, ...]:
    return swings_whole([Stroke(tuple(points), closed, SPOT)], narrowest_mm=450, widest_mm=1500, closed=closed)


@pytest.mark.parametrize("count", [3, 5])
def test_few_lines_are_walls_with_corners(count: int) -> None:
    points = quarter(0, 0, 1000, count)
    assert whole(points) == (Stroke(tuple(points), False, SPOT),)


def test_a_closed_outline_is_taken_apart_only_among_doors() -> None:
    points = [(0.0, 0.0), *quarter(0, 0, 900, 12)]
    as_it_was = Stroke(tuple(points), True, SPOT)
    assert swings_whole([as_it_was], narrowest_mm=450, widest_mm=1500) == (as_it_was,)
    arc, rest = sorted(whole(points, closed=True), key=lambda stroke: -len(stroke.points))
    assert arc.centre == pytest.approx((0, 0), abs=0.01) and len(arc.points) == 13
    assert rest.points == ((0.0, 900.0), (0.0, 0.0), (900.0, 0.0)) or rest.points[1] == (0.0, 0.0)


@settings(max_examples=share(40), deadline=None)
@given(
    count=st.integers(6, 64),
    radius=st.floats(460, 1490),
    bearing=st.floats(0, 360),
    turned=st.floats(80, 100),
    noise=st.lists(st.floats(-0.18, 0.18), min_size=130, max_size=130),
)
def test_rounded_corners_are_found_again_within_a_share_of_the_radius(
    count: int, radius: float, bearing: float, turned: float, noise: list[float]
) -> None:
    """Corners rounded to 0.35 mm, as PDFs round at 1:100, wherever the swing lies."""
    turns = [math.radians(bearing + turned * step / count) for step in range(count + 1)]
    points = [
        (7000 + radius * math.cos(turn) + noise[2 * at], -3000 + radius * math.sin(turn) + noise[2 * at + 1])
        for at, turn in enumerate(turns)
    ]
    (arc,) = whole(points)
    assert arc.centre is not None and math.dist(arc.centre, (7000, -3000)) < 3


def test_points_in_a_line_and_half_a_circle_are_no_quarter() -> None:
    assert quarter_centre([(float(x), 2.0 * x) for x in range(9)]) is None
    assert quarter_centre([(math.cos(turn / 4), math.sin(turn / 4)) for turn in range(13)]) is None
    assert quarter_centre([(0.0, 0.0)]) is None


def test_a_heap_of_swings_is_told_and_not_gone_through() -> None:
    """Many on one spot, each with its leaf: to look for the leaf of each among all would take minutes."""
    arcs = [Stroke(tuple(quarter(0, 0, 800 + turn / 10, 8)), False, SPOT) for turn in range(300)]
    leaves = [Stroke(((0.0, 0.0), (0.0, 800 + turn / 10)), False, SPOT) for turn in range(300)]
    found = swings_of([*arcs, *leaves])
    assert found.doors == () and {why for _, why in found.unsure} == {"stands among very many lines"}
    assert len(found.strokes) == 600


def cloud(count: int) -> Stroke:
    """So many quarter circles in one stroke, all of it curved, each beginning where the one before ends."""
    points: list[Point] = [(0.0, 0.0)]
    for _ in range(count):
        x, y = points[-1]
        points += quarter(x - 800, y, 800, 16)[1:]
    return Stroke(tuple(points), False, SPOT, frozenset(points[at] for at in range(len(points)) if at % 16))


def test_a_long_stroke_of_quarter_circles_is_gone_through_once() -> None:
    """All of its curved points were gone through for each side: 400 swings took 5 s of the processor, 4000 would 500."""
    asked = cloud(400)
    start = time.process_time()
    found = swings_whole([asked], narrowest_mm=450, widest_mm=1500)
    assert time.process_time() - start < 2
    assert len(found) == 400 and {len(arc.curved) for arc in found} == {15}
    assert frozenset().union(*(arc.curved for arc in found)) == asked.curved


@pytest.mark.parametrize("more", [-1, 0])
def test_among_very_many_corners_no_more_are_looked_at_for_a_hinge(more: int) -> None:
    crowd = [Stroke(((3 + at / 1000, 1.0), (9000.0, at)), False, SPOT) for at in range(MOST_CORNERS + more)]
    hinge = Stroke(((0.25, 0.0), (0.0, -9000.0)), False, SPOT)
    (arc,) = (
        each
        for each in swings_whole(
            [*crowd, hinge, Stroke(tuple(quarter(0, 0, 800, 8)), False, SPOT)], narrowest_mm=450, widest_mm=1500
        )
        if each.centre
    )
    assert arc.centre == ((3.0, 1.0) if more == 0 else (0.25, 0.0))


def test_a_line_of_very_many_corners_near_many_arcs_is_told_and_not_gone_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each arc goes through all of its corners: 50 arcs and a line of 10,000 took 1.7 s, a hostile drawing 800 times that. An arc
    with few corners near it is looked at all the same."""
    monkeypatch.setattr(swings, "MOST_POINTS", 200)
    arcs = [Stroke(tuple(quarter(3000.0 * at, 0, 800, 8)), False, SPOT) for at in range(4)]
    leaves = [Stroke(((3000.0 * at, 0.0), (3000.0 * at, 800.0)), False, SPOT) for at in range(4)]
    line = Stroke(tuple((x, 400.0 + x % 200) for x in range(0, 8000, 100)), False, SPOT)
    found = swings_of([*arcs, *leaves, line])
    assert [len(door) for door in found.doors] == [2, 2, 2]
    assert [why for _, why in found.unsure] == ["stands among very many lines"]
