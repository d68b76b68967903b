"""The rooms of a job file: read with everything that lies round the patches, and refused with every fault in its place."""

import json
from collections.abc import Iterable
from typing import Any

import pytest

from remnants.errors import BadFile, BadInput
from remnants.exchange import job_json, read_job
from remnants.geometry import Point
from remnants.model import Finish, Job, RepairRoom
from remnants.units import Unit

IN = 25.4
HALL: dict[str, Any] = {
    "name": "hall",
    "outline": [[0, 0], [120, 0], [120, 40], [0, 40]],
    "edges": ["wall", "transition", "wall", "wall"],
    "doorways": [{"edge": 1, "from": 5, "width": 30, "to": "stairs"}, {"edge": 0, "from": 40, "width": 30, "shut": True}],
    "lanes": [[[0, 20], [120, 20]]],
    "light": 90,
    "hidden": [[[80, 30], [120, 30], [120, 40], [80, 40]], {"centre": [20, 20], "radius": 5}],
    "pile": 90,
    "row": 0.25,
    "row_from": [1, 0],
}
PATCH: dict[str, Any] = {"name": "burn", "room": "Hall", "outline": [[10, 5], [30, 5], [30, 15], [10, 15]]}


def a_job(*rooms: dict[str, Any], patches: tuple[dict[str, Any], ...] = (PATCH,), **changes: Any) -> str:
    """A job file in inches with these rooms."""
    return json.dumps({"unit": "in", "job": "Alder Court 7", "rooms": list(rooms), "patches": list(patches)} | changes)


def inches(points: Iterable[Point]) -> list[Point]:
    """Points in whole inches."""
    return [(round(x / IN), round(y / IN)) for x, y in points]


def faults_of(text: str) -> dict[str, str]:
    """The refusal's faults: place to sentence."""
    with pytest.raises(BadFile) as caught:
        read_job(text)
    return {fault.where: fault.what for fault in caught.value.faults}


def test_a_room_is_read_with_all_that_lies_round_the_patches() -> None:
    job = read_job(a_job(HALL))
    (room,) = job.rooms
    assert job.room_of(job.patches[0]) is room  # `Hall` is `hall`
    assert room.edges[1] is Finish.TRANSITION and room.light_deg == 90 and room.row_mm == pytest.approx(0.25 * IN)
    door = room.doorways[0]
    assert (door.edge, door.to) == (1, "stairs")
    assert inches(room.line_of(door)) == [(120, 5), (120, 35)]
    assert inches(room.lanes[0]) == [(0, 20), (120, 20)]
    assert len(room.hidden) == 2


def test_a_room_given_clockwise_keeps_doorways_and_finishes_on_their_walls() -> None:
    turned = HALL | {"outline": [[0, 0], [0, 40], [120, 40], [120, 0]], "edges": ["wall", "wall", "transition", "wall"]}
    turned["doorways"] = [{"edge": 2, "from": 5, "width": 30}]  # counted from (120, 40) down
    (room,) = read_job(a_job(turned)).rooms
    assert room.edges == (Finish.WALL, Finish.TRANSITION, Finish.WALL, Finish.WALL)
    assert inches(room.line_of(room.doorways[0])) == [(120, 5), (120, 35)]


def test_a_doorway_that_is_carpeted_is_part_of_the_room() -> None:
    deep = HALL | {"doorways": [{"edge": 1, "from": 5, "width": 30, "depth": 4}]}
    inside = PATCH | {"outline": [[110, 10], [124, 10], [124, 30], [110, 30]]}
    (room,) = read_job(a_job(deep, patches=(inside,))).rooms
    assert room.line_of(room.doorways[0])[0][0] == pytest.approx(124 * IN)


def test_walls_and_pile_are_the_rooms_where_the_patch_tells_none() -> None:
    notes: list[str] = []
    job = read_job(a_job({"name": "hall", "pile": 90, "width": 120, "length": 40}), note=lambda fault: notes.append(str(fault)))
    assert job.patches[0].pile_deg == 90
    assert set(job.rooms[0].edges) == {Finish.WALL}
    assert notes == ["patches[0].pile: taken from the room 'hall': 90 degrees"]
    assert read_job(a_job(HALL, patches=(PATCH | {"pile": 0},))).patches[0].pile_deg == 0


def test_the_rooms_light_is_taken_before_the_patchs_and_that_is_told() -> None:
    notes: list[str] = []
    read_job(a_job(HALL, patches=(PATCH | {"pile": 0, "light": 0},)), note=lambda fault: notes.append(str(fault)))
    assert notes == ["patches[0].light: not taken: the light of the room 'hall' counts, 90 degrees"]


@pytest.mark.parametrize("unit", list(Unit))
def test_rooms_written_and_read_back_are_the_same(unit: Unit) -> None:
    deep = HALL | {"name": "den", "doorways": [{"edge": 1, "from": 5, "width": 30, "depth": 4, "entry": True}]}
    job = read_job(a_job(HALL, deep, {"name": "loft", "light": 45.5}) if unit is Unit.IN else in_unit(unit))
    told = job_json(job)
    again = read_job(told)
    assert job_json(again) == told and [room.name for room in again.rooms] == [room.name for room in job.rooms]


def in_unit(unit: Unit) -> str:
    """A small room whose figures are odd ones of the unit."""
    room = {"name": "hall", "outline": [[0.1, 0.2], [3.3, 0.2], [3.3, 2.7], [0.1, 2.7]], "pile": 0}
    room |= {"doorways": [{"edge": 2, "from": 0.7, "width": 0.9}], "lanes": [[[1.1, 0.3], [1.7, 2.3]]]}
    patch = PATCH | {"outline": [[0.3, 0.3], [1.1, 0.3], [1.1, 0.9], [0.3, 0.9]]}
    return a_job(room, patches=(patch,), unit=unit.value)


def test_a_job_without_rooms_means_what_it_meant() -> None:
    """A room's name alone is told by the patch, and nothing is known of it."""
    job = read_job(json.dumps({"unit": "in", "patches": [PATCH | {"pile": 0}]}))
    assert job.rooms == () and job.patches[0].wanted.room == "Hall"
    assert "rooms" not in job_json(job)
    assert job.room_of(job.patches[0]) is None


def test_a_patch_without_a_pile_is_refused_where_no_room_tells_it() -> None:
    assert faults_of(a_job())["patches[0].pile"] == "this is missing; give it"
    assert faults_of(a_job({"name": "hall"}))["patches[0].pile"] == "this is missing; give it"


@pytest.mark.parametrize(
    ("change", "place", "what"),
    [
        ({"outline": [[0, 0], [120, 0]]}, "rooms[0].outline", "at least three"),
        ({"outline": [[0, 0], [120, 40], [120, 0], [0, 40]]}, "rooms[0].outline", "crosses or touches itself"),
        ({"doorways": [{"edge": 1, "from": 5, "width": 41}]}, "rooms[0].doorways[0]", "wider than its wall"),
        ({"doorways": [{"edge": 1, "from": 15, "width": 30}]}, "rooms[0].doorways[0]", "off the wall"),
        ({"doorways": [{"edge": 4, "from": 0, "width": 30}]}, "rooms[0].doorways[0].edge", "no wall edge 4"),
        ({"lanes": [[[0, 20]]]}, "rooms[0].lanes[0]", "1 point"),
        ({"lanes": [[[0, 20], [0, 20]]]}, "rooms[0].lanes[0]", "no length"),
        ({"lanes": [[]]}, "rooms[0].lanes[0]", "no points"),
        ({"edges": ["wall"]}, "rooms[0].edges", "1 finishes for 4 edges"),
        ({"hidden": [[[0, 0], [1, 0]]]}, "rooms[0].hidden[0]", "at least three"),
        ({"hidden": [{"centre": [0, 0], "radius": 1e9}]}, "rooms[0].hidden[0].radius", "under 1 km"),
        ({"row": 0}, "rooms[0].row", "no size"),
        ({"light": "north"}, "rooms[0].light", "no number"),
        ({"name": " "}, "rooms[0].name", "give a name"),
        ({"outline": None}, "rooms[0].lanes", "give the room's outline"),
        ({"outline": None, "lanes": [], "hidden": []}, "rooms[0].doorways", "give the room's outline"),
    ],
)
def test_a_bad_room_is_refused_with_its_place(change: dict[str, Any], place: str, what: str) -> None:
    faults = faults_of(a_job(HALL | change))
    assert what in faults[place], faults


def test_a_patch_outside_its_room_is_told_by_how_much() -> None:
    faults = faults_of(a_job(HALL, patches=(PATCH | {"outline": [[10, 5], [30, 5], [30, 41.5], [10, 41.5]]},)))
    assert faults["patches[0]"].startswith("'burn' reaches 1 1/2 in out of 'hall': measure both from the same corner")


def test_a_patch_in_an_l_shaped_room_may_not_cut_its_corner() -> None:
    ell = {"name": "hall", "pile": 0, "outline": [[0, 0], [100, 0], [100, 50], [50, 50], [50, 100], [0, 100]]}
    corner = PATCH | {"outline": [[90, 40], [40, 90], [40, 40]]}
    assert "out of 'hall'" in faults_of(a_job(ell, patches=(corner,)))["patches[0]"]
    assert read_job(a_job(ell, patches=(PATCH | {"outline": [[0, 0], [50, 0], [50, 50]]},))).patches  # along the walls is inside


def test_an_unknown_room_is_told_with_those_there_are() -> None:
    faults = faults_of(a_job(HALL, patches=(PATCH | {"room": "hal", "pile": 0},)))
    assert faults["patches[0].room"].startswith("'hal' is none of the job's rooms, 'hall': name one of them")


def test_all_faults_of_rooms_and_patches_are_told_at_once() -> None:
    bad = {"lanes": [[[0, 20]]], "doorways": [{"edge": 9, "from": 0, "width": 1}, {"edge": 1, "from": 0, "width": 50}]}
    den = {"name": "den", "width": 60, "length": 60}
    patches = (PATCH | {"room": "attic"}, PATCH | {"name": "stain", "room": "den", "width": 70, "length": 10, "pile": 0})
    patches[1].pop("outline")
    faults = faults_of(a_job(HALL | bad, {"name": "HALL "}, den, patches=patches, min_part="wide"))
    assert set(faults) == {
        "min_part",
        "rooms[0].lanes[0]",
        "rooms[0].doorways[0].edge",
        "rooms[0].doorways[1]",
        "rooms[1].name",
        "patches[0].pile",
        "patches[0].room",
        "patches[1]",
    }
    assert faults["rooms[1].name"] == "'HALL ' is the name of rooms[0] too: give each room its own"


def test_a_job_made_by_a_program_is_held_to_the_same() -> None:
    job = read_job(a_job(HALL))
    with pytest.raises(BadInput, match=r"out of 'hall'"):
        Job(job.name, job.patches, rooms=(RepairRoom("hall", ((0, 0), (1, 0), (1, 1)), (Finish.WALL,) * 3),))
    with pytest.raises(BadInput, match=r"none of the job's rooms"):
        Job(job.name, job.patches, rooms=(RepairRoom("den"),))
    with pytest.raises(BadInput) as caught:
        RepairRoom(" ", lanes=((),), row_mm=0.0, light_deg=float("nan"))
    assert {fault.where for fault in caught.value.faults} == {"name", "lanes", "lanes[0]", "row", "light"}
