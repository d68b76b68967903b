"""The rooms of a job file: what lies round the patches."""

import math
from collections.abc import Callable
from functools import partial
from typing import Any, TypeVar

from remnants.errors import BadInput, BadOutline, Fault
from remnants.exchange.doorways import DoorwayEntry, walls_with_doorways
from remnants.exchange.figures import corners, degrees, figure, given_only
from remnants.exchange.job_entries import JobRoomEntry
from remnants.exchange.shapes import edge_finishes, shape_corners, sized_corners
from remnants.geometry import TOLERANCE_MM, Point, Ring
from remnants.geometry.outline import LARGEST_MM, area_mm2, ring_of
from remnants.limits import CORNERS
from remnants.model import Finish, Opening, RepairRoom
from remnants.units import Unit

__all__ = ["job_room", "job_room_json"]

T = TypeVar("T")

Walls = tuple[Ring, tuple[Finish, ...], tuple[Opening, ...]]
"""A room's ring, the finish of each edge, its doorways."""

FAR = LARGEST_MM
STAND_IN: Walls = (((-FAR, -FAR), (FAR, -FAR), (FAR, FAR), (-FAR, FAR)), (Finish.WALL,) * 4, ())
"""Walls of a room whose own are at fault, while its other faults are looked for."""
NOTHING: Ring = ()


def job_room(entry: JobRoomEntry) -> RepairRoom:
    """The room in mm, its doorways as far as they are carpeted. Raises BadInput with all faults, at places inside the entry."""
    faults: list[Fault] = []
    ring, edges, doorways = _tried(lambda: _walls(entry), STAND_IN, faults)
    hidden = tuple(_tried(partial(_hidden, entry, index), NOTHING, faults) for index in range(len(entry.hidden)))
    if sum(map(len, hidden)) > CORNERS:
        faults.append(Fault("hidden", f"more than {CORNERS:,} corners in all; give fewer, each where the edge turns"))
    name, lanes = entry.name.strip(), tuple(entry.lanes)
    told = (edges, doorways, lanes, hidden, entry.light, entry.pile, entry.row, entry.row_from)
    room = _tried(lambda: RepairRoom(name, ring, *told), None, faults)
    if faults or room is None:
        raise BadInput(faults)
    return room


def _tried(make: Callable[[], T], instead: T, faults: list[Fault]) -> T:
    """What `make` makes, or what stands in for it, with the faults noted."""
    try:
        return make()
    except BadInput as error:
        faults.extend(error.faults)
        return instead


def _walls(entry: JobRoomEntry) -> Walls:
    """Walls, their finishes and doorways; no ring where no outline is given."""
    given = (entry.outline, entry.width, entry.length, entry.centre, entry.radius, entry.diameter)
    if all(value is None for value in given):
        openings = tuple(Opening(door.edge, door.start, door.width) for door in entry.doorways)
        return (), () if isinstance(entry.edges, Finish) else entry.edges, openings
    points = list(sized_corners(entry, outside=True))
    try:
        ring_of(points)
    except BadOutline as error:
        raise BadOutline(Fault(f"outline{fault.where}", fault.what) for fault in error.faults) from None
    if math.dist(points[0], points[-1]) <= TOLERANCE_MM:
        points = points[:-1]
    finishes = edge_finishes(entry.edges, given=len(points), needed=len(points))
    outward = 1.0 if area_mm2(points) > 0 else -1.0
    walls, lines = walls_with_doorways(points, finishes, entry.doorways, outward)
    try:
        ring = ring_of([corner for corner, _ in walls])
    except BadOutline as error:
        raise BadOutline(Fault("doorways", f"with its doorways, {fault.what}") for fault in error.faults) from None
    kept = tuple(finish for _, finish in walls)
    doorways = tuple(_opening(ring, line, door) for line, door in zip(lines, entry.doorways, strict=True))
    return ring, kept if outward > 0 else kept[::-1], doorways


def _opening(ring: Ring, line: tuple[Point, Point], door: DoorwayEntry) -> Opening:
    """A doorway's line as a stretch of the edge that it lies on, the one whose line is nearest."""

    def off(edge: int) -> float:
        start, end = ring[edge], ring[(edge + 1) % len(ring)]
        return max(math.dist(start, point) + math.dist(point, end) for point in line) - math.dist(start, end)

    edge = min(range(len(ring)), key=off)
    start_mm = min(math.dist(ring[edge], point) for point in line)
    if abs(start_mm - door.start) <= TOLERANCE_MM:
        start_mm = door.start  # as it was given, so that what is written of it is read back the same
    return Opening(edge, start_mm, door.width, door.to.strip(), door.shut, door.entry)


def _hidden(entry: JobRoomEntry, index: int) -> Ring:
    try:
        return ring_of(shape_corners(entry.hidden[index], "", outside=False))
    except BadOutline as error:
        raise error.at(f"hidden[{index}]") from None


def job_room_json(room: RepairRoom, unit: Unit) -> dict[str, Any]:
    """The room as an entry of a job file in this unit; `job_room` reads it back the same."""
    return given_only(
        name=room.name,
        outline=corners(room.ring, unit) or None,
        edges=[finish.value for finish in room.edges] or None,
        doorways=[_doorway_json(door, unit) for door in room.doorways] or None,
        lanes=[corners(lane, unit) for lane in room.lanes] or None,
        hidden=[corners(ring, unit) for ring in room.hidden] or None,
        light=None if room.light_deg is None else degrees(room.light_deg),
        pile=None if room.pile_deg is None else degrees(room.pile_deg),
        row=figure(room.row_mm, unit),
        row_from=corners((room.row_from,), unit)[0] if room.row_from else None,
    )


def _doorway_json(door: Opening, unit: Unit) -> dict[str, Any]:
    told = {"edge": door.edge, "from": figure(door.start_mm, unit), "width": figure(door.width_mm, unit)}
    return told | given_only(to=door.to or None, shut=door.shut or None, entry=door.entry or None)
