"""A room of an order lies as a room of a job just as it did: walls, doorways, ways that people walk."""

import json
import math
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.exchange import read_job
from remnants.exchange.rooms import read_rooms
from remnants.exchange.rooms_for_job import rooms_for_job
from remnants.model import RepairRoom

PATCH = {"name": "patch", "width": 1, "length": 1, "pile": 0}
HALL: dict[str, Any] = {
    "name": "hall",
    "width": 120,
    "length": 40,
    "pile": 90,
    "light": 0,
    "traffic": [[[0, 20], [120, 20]]],
    "doorways": [{"edge": 1, "from": 4, "width": 32, "to": "lounge", "entry": True}],
}
LOUNGE: dict[str, Any] = {"name": "lounge", "width": 144, "length": 180}


def as_job_rooms(*rooms: dict[str, Any], unit: str = "in") -> tuple[RepairRoom, ...]:
    entries, _ = rooms_for_job(read_rooms(json.dumps({"unit": unit, "rooms": rooms})))
    sent = json.loads(json.dumps({"unit": "mm", "rooms": entries, "patches": [PATCH]}, default=str))
    return read_job(sent).rooms


def test_a_room_of_an_order_is_taken_for_a_repair_in_it() -> None:
    room, _ = as_job_rooms(HALL, LOUNGE)
    assert room.ring == ((0, 0), (3048, 0), (3048, 1016), (0, 1016))
    (door,) = room.doorways
    assert (door.edge, door.to, door.entry) == (1, "lounge", True)
    assert (round(door.start_mm, 6), round(door.width_mm, 6)) == (4 * 25.4, 32 * 25.4)
    assert (room.pile_deg, room.light_deg) == (90, 0)
    assert room.lanes == (((0, 508), (3048, 508)),)


def test_a_doorway_that_is_carpeted_in_its_depth_is_a_recess() -> None:
    """4 in of wall: the carpet runs to its far side, and so does the doorway."""
    (room,) = as_job_rooms(HALL | {"doorways": [{"edge": 1, "from": 4, "width": 32, "depth": 4}]})
    assert max(x for x, _ in room.ring) == 124 * 25.4
    assert {round(x, 6) for x, _ in room.line_of(room.doorways[0])} == {124 * 25.4}


def test_what_a_repair_has_no_word_for_is_said() -> None:
    hearth = HALL | {"islands": [[[50, 10], [60, 10], [60, 20], [50, 20]]]}
    _, notes = rooms_for_job(read_rooms(json.dumps({"unit": "in", "rooms": [LOUNGE, hearth]})))
    assert notes == ("hall: islands are not taken along; lay no patch over them",)


@st.composite
def doorways(draw: st.DrawFn) -> list[dict[str, int]]:
    """One on each side of a room of 120 x 90, wherever it goes, with the clock or against it."""
    edges = draw(st.lists(st.integers(0, 3), unique=True, max_size=4))
    made = []
    for edge in edges:
        width = draw(st.integers(1, 89))
        made.append({"edge": edge, "from": draw(st.integers(0, 90 - width)), "width": width})
    return made


@given(doors=doorways(), with_the_clock=st.booleans())
@settings(max_examples=30, deadline=None)
def test_every_doorway_opens_where_it_did(doors: list[dict[str, int]], with_the_clock: bool) -> None:
    corners = [[0, 0], [120, 0], [120, 90], [0, 90]]
    room = {"name": "hall", "outline": corners[::-1] if with_the_clock else corners, "doorways": doors}
    before = [{door.start, door.end} for door in read_rooms(json.dumps({"unit": "in", "rooms": [room]})).floors.rooms[0].doorways]
    (after,) = as_job_rooms(room)
    for line, door in zip(before, after.doorways, strict=True):
        ends = after.line_of(door)
        assert all(min(math.dist(end, known) for known in line) < 0.01 for end in ends)
