"""Independent proof that rooms laid as one are the rooms that were asked for. Uses geometry and frozen values alone."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import combinations

from remnants.errors import Fault
from remnants.estimating.rooms import Floors, Room, RoomPart
from remnants.geometry import TOLERANCE_MM, Point, Ring
from remnants.geometry.bands import covered_mm2, on_line, overlap_mm2
from remnants.geometry.grow import edge_strip
from remnants.geometry.turn import between, moved

__all__ = ["floors_faults"]


def floors_faults(laid: Floors, asked: Floors) -> Iterator[Fault]:
    """Every fault of the floors as laid against those asked for: rooms left out, moved over each other, trims or piles lost."""
    rooms = {room.name: room for room in asked.rooms}
    parts = [part.name for room in laid.rooms for part in _parts(room)]
    if sorted(parts) != sorted(rooms):
        yield Fault("", f"rooms {sorted(parts)} are laid, asked were {sorted(rooms)}")
        return
    flights = [replace(flight, joins="") for flight in laid.stairs]
    if flights != [replace(flight, joins="") for flight in asked.stairs]:
        yield Fault("", "the stairs laid are not those asked for")
    for room in laid.rooms:
        if room.parts:
            yield from _as_one_faults(room, rooms)
        elif replace(room, doorways=()) != replace(rooms[room.name], doorways=()):
            yield Fault(room.name, "is not the room that was asked for")


def _parts(room: Room) -> tuple[RoomPart, ...]:
    return room.parts or (RoomPart(room.name, (0.0, 0.0)),)


def _as_one_faults(room: Room, asked: Mapping[str, Room]) -> Iterator[Fault]:
    places = [(asked[part.name], moved(asked[part.name].outline, part.shift)) for part in room.parts]
    missing, beyond = covered_mm2(room.outline, [outline for _, outline in places])
    if max(missing, beyond) > TOLERANCE_MM * 1000:
        yield Fault(room.name, "does not cover the rooms that it is made of")
    for (one, here), (other, there) in combinations(places, 2):
        if overlap_mm2(here.ring, there.ring) > 0:
            yield Fault(room.name, f"{one.name} and {other.name} lie over each other")
    for part, _ in places:
        if part.pile_deg is not None and (room.pile_deg is None or between(part.pile_deg, room.pile_deg) != 0.0):
            yield Fault(room.name, f"has lost the pile of {part.name}")
    walls = [(part, a, b, trim) for part, outline in places for a, b, trim in _walls(outline.ring, part.trims_mm)]
    for a, b, trim in _walls(room.outline.ring, room.trims_mm):
        middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        if trim < max((wall[3] for wall in walls if on_line(middle, wall[1], wall[2])), default=math.inf) - TOLERANCE_MM:
            yield Fault(room.name, f"a wall edge from {a} to {b} has lost its trim")
    yield from _thin_walls(room)


def _walls(ring: Ring, trims_mm: tuple[float, ...]) -> Iterator[tuple[Point, Point, float]]:
    yield from zip(ring, (*ring[1:], ring[0]), trims_mm, strict=True)


def _thin_walls(room: Room) -> Iterator[Fault]:
    """Facing walls between which the trims of both don't fit: the piece could not be slit along them."""
    ring = room.outline.ring
    strips = [edge_strip(ring, index, trim) for index, trim in enumerate(room.trims_mm) if trim > TOLERANCE_MM]
    for one, other in combinations(strips, 2):
        if _facing(one, other) and overlap_mm2(one, other) > 0:
            yield Fault(room.name, "a wall between its rooms is thinner than the trims of both its sides")


def _facing(one: Ring, other: Ring) -> bool:
    """True if two edges run in opposite directions."""
    (x1, y1), (x2, y2) = _run(one), _run(other)
    return x1 * x2 + y1 * y2 < -0.999 * math.hypot(x1, y1) * math.hypot(x2, y2)


def _run(strip: Ring) -> Point:
    return strip[3][0] - strip[0][0], strip[3][1] - strip[0][1]
