"""What the form of damage comes to, as the keys of a job file: measured from whichever walls, the pile by a landmark."""

import math
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.exchange import read_damaged_job
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model import DamagedJob, Finish, Opening
from remnants.units import MM_PER_IN
from remnants_web.app import create_app
from remnants_web.damage_form import proposal_asked, told_at_damage
from remnants_web.settings import Settings
from remnants_web.shapes import Typed

HALL = {"style": "Velder Loop", "room": "hall", "width": "120", "length": "90", "pile": "0"}
BURN = {"damage_x_1": "26", "damage_y_1": "8", "damage_width_1": "14", "damage_length_1": "12"}
DOOR = {"door_1": "1", "door_from_1": "20", "door_width_1": "32"}


@pytest.fixture(autouse=True, scope="module")
def asked_by_nobody(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Figures alone are inches for whoever isn't signed in."""
    with create_app(Settings(tmp_path_factory.mktemp("shop") / "stock.db")).test_request_context():
        yield


def read(**form: str) -> DamagedJob:
    return read_damaged_job(proposal_asked(Typed(form)))


def faults(**form: str) -> dict[str, str]:
    try:
        read(**form)
    except BadInput as error:
        return {fault.where: fault.what for fault in told_at_damage(error, Typed(form)).faults}
    return {}


def box(asked: DamagedJob, number: int = 0) -> tuple[float, ...]:
    """Least x, least y, greatest x, greatest y of a damaged place, inches."""
    (damage,) = asked.damages
    assert damage is not None
    xs, ys = zip(*damage.rings[number], strict=True)
    return tuple(round(each / MM_PER_IN, 6) for each in (min(xs), min(ys), max(xs), max(ys)))


def test_all_that_is_wrong_is_told_at_once_each_at_its_field() -> None:
    """Nine parts, an allowance that is no length, a door beyond its wall, a damage without a size and one outside the room."""
    second = {"damage_x_2": "115", "damage_y_2": "8", "damage_width_2": "14", "damage_length_2": "12"}
    damages = BURN | {"damage_width_1": ""} | second
    assert faults(**HALL | damages).keys() == {"damage_width_1", "damage_x_2"}
    wrong = {"max_parts": "9", "seam": "wide", "margin": "-4", "door_1": "1", "door_from_1": "110", "door_width_1": "32"}
    told = faults(**HALL | wrong | damages)
    assert told.keys() == {"max_parts", "seam", "margin", "door_1", "damage_width_1"}


def test_without_any_damage_the_rest_is_told_too() -> None:
    assert faults(**HALL | {"max_parts": "9"}).keys() == {"max_parts", "damage_width_1"}
    assert faults(max_parts="9", room_is="unknown").keys() == {"max_parts", "damage_width_1", "pile"}


def test_damage_lies_where_it_was_measured_in_its_room() -> None:
    asked = read(**HALL, **BURN, margin="2")
    assert box(asked) == (26, 8, 26 + 14, 8 + 12)
    (room,), (damage,) = asked.job.rooms, asked.damages
    assert damage is not None and damage.margin_mm == 2 * MM_PER_IN
    assert room.edges == (Finish.WALL,) * 4 and asked.job.room_of(asked.job.patches[0]) is room


inches = st.integers(min_value=1, max_value=200)


@given(across=inches, up=inches, x=inches, y=inches, width=inches, length=inches)
@settings(max_examples=25, deadline=None)
def test_damage_lies_in_one_place_whichever_two_walls_it_is_measured_from(**told: int) -> None:
    across, up = told["across"] + told["x"] + told["width"], told["up"] + told["y"] + told["length"]
    room = HALL | {"width": str(across), "length": str(up)}
    size = {"damage_width_1": str(told["width"]), "damage_length_1": str(told["length"])}
    near = {"damage_x_1": str(told["x"]), "damage_y_1": str(told["y"])}
    far_x = {"damage_from_x_1": "right", "damage_x_1": str(across - told["x"] - told["width"])}
    far_y = {"damage_from_y_1": "upper", "damage_y_1": str(up - told["y"] - told["length"])}
    places = {box(read(**(room | size | near | far))) for far in ({}, far_x, far_y, far_x | far_y)}
    assert places == {(told["x"], told["y"], told["x"] + told["width"], told["y"] + told["length"])}


@given(x=inches, y=inches, width=inches, length=inches, angle=st.floats(0, 2 * math.pi))
@settings(max_examples=25, deadline=None)
def test_of_a_round_place_nothing_lies_outside_what_is_told_and_that_touches_the_same_four_sides(
    x: int, y: int, width: int, length: int, angle: float
) -> None:
    room = {"style": "Velder Loop", "room": "hall", "width": str(x + width), "length": str(y + length), "pile": "0"}
    place = {"damage_x_1": str(x), "damage_y_1": str(y), "damage_width_1": str(width), "damage_length_1": str(length)}
    asked = read(**room, **place, damage_round_1="1")
    assert box(asked) == (x, y, x + width, y + length), "it may touch two walls"
    (damage,) = asked.damages
    assert damage is not None
    (ring,) = damage.rings
    at = ((x + width * (1 + math.cos(angle)) / 2) * MM_PER_IN, (y + length * (1 + math.sin(angle)) / 2) * MM_PER_IN)
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        assert (x2 - x1) * (at[1] - y1) - (y2 - y1) * (at[0] - x1) >= -TOLERANCE_MM * math.hypot(x2 - x1, y2 - y1)


def test_several_damaged_places_are_told_of_one_patch() -> None:
    other = {"damage_x_3": "60", "damage_y_3": "0", "damage_width_3": "5", "damage_length_3": "6 in"}
    asked = read(**HALL, **BURN, **other)
    assert [box(asked, number) for number in (0, 1)] == [(26, 8, 40, 20), (60, 0, 65, 6)]


@pytest.mark.parametrize(
    ("corners", "side", "start_in"),
    [
        ("0,0; 120,0; 120,90; 0,90", "1", 20),  # the lower wall runs to the right
        ("0,0; 120,0; 120,90; 0,90", "3", 120 - 20 - 32),  # the upper one back to the left
        ("0,0; 120,0; 120,90; 0,90", "4", 90 - 20 - 32),  # the left one down
        ("0,0; 0,90; 120,90; 120,0", "1", 20),  # told with the clock: the left one up
    ],
)
def test_a_doorway_is_measured_from_the_left_or_lower_end_of_its_side(corners: str, side: str, start_in: float) -> None:
    room = {"shape": "corners", "corners": corners, "room": "hall", "pile": "0"}
    (door,) = read(**room, **BURN, **DOOR | {"door_1": side}).job.rooms[0].doorways
    with_the_clock = corners.startswith("0,0; 0,90")
    assert door.width_mm == pytest.approx(32 * MM_PER_IN)
    if not with_the_clock:
        assert door.edge == int(side) - 1 and door.start_mm == pytest.approx(start_in * MM_PER_IN)
    else:
        ends = read(**room, **BURN, **DOOR).job.rooms[0].line_of(door)
        assert sorted(round(y / MM_PER_IN, 3) for _, y in ends) == [20, 52] and {x for x, _ in ends} == {0}


def pile(**form: str) -> float:
    found = read(**HALL, **BURN, **form).job.patches[0].pile_deg
    return found % 360


@pytest.mark.parametrize(("side", "bearing"), [("1", 180), ("2", 90), ("3", 0), ("4", 270)])
def test_the_pile_is_said_by_the_doorway_that_it_lays_towards(side: str, bearing: float) -> None:
    door = DOOR | {"door_1": side, "door_from_1": "5"}
    assert pile(**door, pile_by="door_1") == bearing
    assert pile(**door, pile_by="from_door_1") == (bearing + 180) % 360


def test_the_pile_is_said_by_the_window_or_by_the_arrow() -> None:
    assert pile(light="270", pile_by="light") == 270
    assert pile(light="270", pile_by="from_light") == 90
    assert pile(light="270") == 0, "the arrow points up"


def test_people_walk_from_the_middle_of_one_doorway_to_that_of_the_next() -> None:
    """32 in from 20 in on the lower wall: 36 in; 30 in from 10 in on the right one: 25 in up."""
    second = {"door_2": "2", "door_from_2": "10", "door_width_2": "30"}
    (lane,) = read(**HALL, **BURN, **DOOR, **second, walked="1").job.rooms[0].lanes
    assert [(round(x / MM_PER_IN, 6), round(y / MM_PER_IN, 6)) for x, y in lane] == [(36, 0), (120, 25)]


def test_what_stands_there_and_who_walks_is_told_in_lines() -> None:
    (room,) = read(**HALL, **BURN, lanes="36, 0; 36, 7' 6\"\n0, 20; 60, 20", hidden="90, 50, 30, 40", row="1/4").job.rooms
    assert [len(lane) for lane in room.lanes] == [2, 2] and room.lanes[0][1] == (36 * MM_PER_IN, 90 * MM_PER_IN)
    assert room.hidden[0][2] == (120 * MM_PER_IN, 90 * MM_PER_IN) and room.row_mm == MM_PER_IN / 4


def test_without_the_room_the_damage_is_told_by_its_size_alone() -> None:
    asked = read(style="Velder Loop", room_is="unknown", pile="90", damage_width_1="14", damage_length_1="12")
    assert asked.job.rooms == () and box(asked) == (0, 0, 14, 12) and asked.job.patches[0].pile_deg == 90


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"damage_width_1": "zz"}, "damage_width_1", "is no length"),
        ({"damage_length_1": "0"}, "damage_length_1", "above zero"),
        ({"damage_x_1": ""}, "damage_x_1", "0 where it touches it"),
        ({"damage_x_1": "115"}, "damage_x_1", "out of 'hall'"),
        (dict.fromkeys(BURN, ""), "damage_width_1", "no damage is told"),
        ({"margin": "-1"}, "margin", "below zero"),
        ({"door_1": "5", "door_width_1": "30"}, "door_1", "sides 1 to 4"),
        ({"door_1": "1", "door_width_1": ""}, "door_width_1", ""),
        ({"door_1": "1", "door_width_1": "130"}, "door_1", "wider than its wall"),
        ({"door_1": "1", "door_from_1": "100", "door_width_1": "30"}, "door_1", "off the wall"),
        ({"pile_by": "door_2"}, "pile_by", "needs that doorway"),
        ({"pile_by": "light"}, "pile_by", "where the light comes from"),
        ({"pile_by": "moon"}, "pile_by", "needs that doorway"),
        ({"lanes": "36, 0"}, "lanes", "two points"),
        ({"hidden": "36, 0"}, "hidden", "how wide"),
        ({"hidden": "1, 1, 1, 1\n" * 21}, "hidden", "at most 20"),
        ({"light": "x"}, "light", "no bearing"),
        ({"row": "0"}, "row", ""),
        ({"width": ""}, "width", "give a length"),
        ({"edge_2": "x"}, "edge_2", "not one of"),
        ({"shape": "corners", "corners": "0,0\n9,9\n9,0\n0,9"}, "corners", "crosses"),
        ({"seam": "zz"}, "seam", "is no length"),
    ],
)
def test_what_cant_be_is_told_at_its_own_field(changes: dict[str, str], field: str, told: str) -> None:
    found = faults(**HALL | BURN | changes)
    assert set(found) == {field}, found
    assert told in found[field]


def test_all_that_cant_be_read_is_told_at_once() -> None:
    wrong: dict[str, Any] = {"width": "zz", "damage_length_1": "zz", "margin": "zz", "seam": "zz", "light": "x"}
    assert set(faults(**HALL | BURN | wrong)) == set(wrong)


def test_without_the_room_no_far_wall_can_be_measured_from() -> None:
    told = faults(room_is="unknown", pile="0", damage_width_1="14", damage_length_1="12", damage_from_x_1="right")
    assert told.keys() == {"damage_from_x_1"} and "without the room" in told["damage_from_x_1"]


@pytest.mark.parametrize("wrong", [{"pile": ""}, {"margin": "zz"}, {"seam": "zz"}, {"damage_length_1": "zz"}])
def test_without_the_room_nobody_is_asked_how_far_from_its_walls_whatever_else_is_at_fault(wrong: dict[str, str]) -> None:
    told = {"room_is": "unknown", "pile": "0", "damage_width_1": "14", "damage_length_1": "12"}
    assert faults(**told | wrong).keys() == wrong.keys()
    assert faults(**told | wrong, damage_from_y_1="upper").keys() == {*wrong, "damage_from_y_1"}


def test_a_doorway_keeps_its_place_beside_others_that_are_at_fault() -> None:
    """The second one that is told stands in row 3."""
    third = {"door_3": "2", "door_from_3": "0", "door_width_3": "91"}
    assert set(faults(**HALL, **BURN, **DOOR, **third)) == {"door_3"}
    (first,) = read(**HALL, **BURN, **DOOR).job.rooms[0].doorways
    assert first == Opening(0, 20 * MM_PER_IN, 32 * MM_PER_IN)
