"""Rooms laid as one: carpet that runs through a doorway in one piece, with no join in it.

That needs the rooms' places to each other: from a doorway that both name, or from outlines that share one drawing. And it needs
a wall between them thick enough for the trims of both its sides, as the piece is slit along it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import zip_longest

from remnants.errors import BadInput
from remnants.geometry import TOLERANCE_MM, Point
from remnants.geometry.bands import on_line, united
from remnants.geometry.turn import moved, moved_ring
from remnants.model.rooms import Doorway, Floors, Room, RoomPart

__all__ = ["run_throughs"]


def run_throughs(floors: Floors) -> Iterator[Floors]:
    """The same floors with two of their rooms made one, for every two where carpet can run through the doorway between them."""
    pairs = dict.fromkeys((name, door.to) for name, door in floors.joins)
    rooms = {room.name: room for room in floors.rooms}
    for one, other in pairs:
        joined = _as_one(rooms[one], rooms[other])
        if joined is not None:
            yield _with_room(floors, joined, {one, other})


def _with_room(floors: Floors, joined: Room, gone: set[str]) -> Floors:
    """The floors with the joined room in the first one's place, and every doorway and flight led to it."""

    def led(room: Room) -> Room:
        return replace(room, doorways=tuple(replace(door, to=_led(door.to)) for door in room.doorways))

    def _led(name: str) -> str:
        return joined.name if name in gone else name

    first = min(index for index, room in enumerate(floors.rooms) if room.name in gone)
    rooms = [led(joined if index == first else room) for index, room in enumerate(floors.rooms)]
    kept = tuple(room for room in rooms if room.name not in gone)
    return replace(floors, rooms=kept, stairs=tuple(replace(flight, joins=_led(flight.joins)) for flight in floors.stairs))


def _as_one(one: Room, other: Room) -> Room | None:
    """Both rooms as one in the axes of the first; None where carpet can't run through."""
    ways = [door for door in one.doorways if door.to == other.name]
    there = _moved_room(other, _shift(ways[0], [door for door in other.doorways if door.to == one.name]))
    back = [door for door in there.doorways if door.to == one.name]
    if not all(near and _meets(near, far, one, there) for near, far in zip_longest(ways, back)):
        return None
    outline = united(one.outline, there.outline)
    lights = {room.light_deg for room in (one, there) if room.light_deg is not None}
    motifs = [room.motif for room in (one, there) if room.motif is not None]
    if outline is None or len(lights) > 1 or len(motifs) > 1:
        return None
    edges = zip(outline.ring, (*outline.ring[1:], outline.ring[0]), strict=True)
    try:
        return Room(
            f"{one.name} and {other.name}",
            outline,
            tuple(_trim(_middle(a, b), (one, there)) for a, b in edges),
            one.pile_deg if one.pile_deg is not None else there.pile_deg,
            tuple(door for door in (*one.doorways, *there.doorways) if door not in ways and door not in back),
            min(lights, default=None),
            (*one.traffic, *there.traffic),
            one.hidden and there.hidden,
            motifs[0] if motifs else None,
            openings=(*one.openings, *there.openings, *ways),
            parts=(*_parts(one), *there.parts),
        )
    except BadInput:
        return None


def _moved_room(room: Room, shift: Point) -> Room:
    """The room in the axes of another, with its place there as its only part (or its parts' places)."""
    return replace(
        room,
        outline=moved(room.outline, shift),
        doorways=tuple(_moved(door, shift) for door in room.doorways),
        traffic=tuple(moved_ring(path, shift) for path in room.traffic),
        motif=_by(room.motif, shift) if room.motif else None,
        openings=tuple(_moved(door, shift) for door in room.openings),
        parts=tuple(replace(part, shift=_by(part.shift, shift)) for part in _parts(room)),
    )


def _parts(room: Room) -> tuple[RoomPart, ...]:
    return room.parts or (RoomPart(room.name, (0.0, 0.0)),)


def _shift(way: Doorway, back: Sequence[Doorway]) -> Point:
    """By how much the other room is moved: nothing where only one names the doorway, as in one drawing both share its axes."""
    if not back:
        return 0.0, 0.0
    return way.middle[0] - back[0].middle[0], way.middle[1] - back[0].middle[1]


def _meets(near: Doorway, far: Doorway | None, one: Room, there: Room) -> bool:
    """True if the doorway is the same in both rooms, in a wall at least as thick as both trims."""
    if far is None:
        ring = there.outline.ring
        edges = zip(ring, (*ring[1:], ring[0]), strict=True)
        same = any(on_line(near.start, a, b) and on_line(near.end, a, b) for a, b in edges)
    else:
        one_way = on_line(near.start, far.start, far.end) and on_line(near.end, far.start, far.end)
        same = one_way and on_line(far.start, near.start, near.end) and on_line(far.end, near.start, near.end)
    thick = near.depth_mm + (far.depth_mm if far else 0.0)
    return same and thick >= _trim(near.middle, (one,)) + _trim(near.middle, (there,)) - TOLERANCE_MM


def _trim(point: Point, rooms: Sequence[Room]) -> float:
    """The greatest trim of the wall edges that the point lies on."""
    trims = [
        trim
        for room in rooms
        for a, b, trim in zip(room.outline.ring, (*room.outline.ring[1:], room.outline.ring[0]), room.trims_mm, strict=True)
        if on_line(point, a, b)
    ]
    return max(trims, default=max(max(room.trims_mm) for room in rooms))


def _moved(door: Doorway, shift: Point) -> Doorway:
    return replace(door, start=_by(door.start, shift), end=_by(door.end, shift))


def _by(point: Point, shift: Point) -> Point:
    return point[0] + shift[0], point[1] + shift[1]


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
