"""From a room's corners, islands and doorways as given to a checked Room, trims kept with their edges."""

import math
from collections.abc import Sequence

from remnants.errors import BadInput, BadOutline, Fault
from remnants.estimating import Doorway, Room
from remnants.exchange.room_entries import DoorwayEntry, RoomEntry
from remnants.exchange.shapes import sized_corners
from remnants.geometry import TOLERANCE_MM, Point, Ring
from remnants.geometry.outline import area_mm2, outline_of, ring_of
from remnants.limits import CORNERS

__all__ = ["made_room"]

Walls = list[tuple[Point, float]]
"""Corners as given, each with the trim of the edge that starts there."""


def made_room(entry: RoomEntry, name: str, wall_mm: float, drawn: Sequence[Ring] = ()) -> Room:
    """The room in mm; `drawn` are the rings of its layer, the room itself first, where it gives no size of its own.

    Raises BadInput with places inside the entry.
    """
    corners = list(drawn[0]) if drawn else list(sized_corners(entry, outside=True))
    try:
        ring_of(corners)
    except BadOutline as error:
        raise BadOutline(Fault(f"outline{fault.where}", fault.what) for fault in error.faults) from None
    if math.dist(corners[0], corners[-1]) <= TOLERANCE_MM:
        corners = corners[:-1]
    trims = entry.trims if entry.trims is not None else (wall_mm,) * len(corners)
    if len(trims) != len(corners):
        raise BadInput([Fault("trims", f"{len(trims)} trims for {len(corners)} wall edges: give one for each")])
    if sum(map(len, entry.islands)) > CORNERS:
        raise BadInput([Fault("islands", f"more than {CORNERS:,} corners in all; give fewer, each where the edge turns")])
    outward = 1.0 if area_mm2(corners) > 0 else -1.0
    walls, doorways = _with_doorways(corners, trims, entry.doorways, outward)
    try:
        outline = outline_of([corner for corner, _ in walls], [*entry.islands, *drawn[1:]])
    except BadOutline as error:
        raise BadOutline(Fault(_placed(fault.where), fault.what) for fault in error.faults) from None
    kept = tuple(trim for _, trim in walls)
    return Room(
        name,
        outline,
        kept if outward > 0 else kept[::-1],
        entry.pile,
        doorways,
        entry.light,
        entry.traffic,
        entry.hidden,
        entry.motif,
    )


def _placed(where: str) -> str:
    return where.replace("cutouts", "islands") if where.startswith("cutouts") else f"outline{where}"


def _with_doorways(
    corners: Sequence[Point], trims: Sequence[float], entries: Sequence[DoorwayEntry], outward: float
) -> tuple[Walls, tuple[Doorway, ...]]:
    """The walls with each deep doorway as a recess, and the doorways in the order given."""
    faults: list[Fault] = []
    made: dict[int, Doorway] = {}
    walls: Walls = []
    for index, corner in enumerate(corners):
        after = corners[(index + 1) % len(corners)]
        walls.append((corner, trims[index]))
        here = sorted((door.start, number) for number, door in enumerate(entries) if door.edge == index)
        reached = 0.0
        for start, number in here:
            door, length = entries[number], math.dist(corner, after)
            if start < -TOLERANCE_MM or start + door.width > length + TOLERANCE_MM:
                faults.append(Fault(f"doorways[{number}]", "the doorway is off the wall: it runs past the end of its wall edge"))
                continue
            if start < reached - TOLERANCE_MM:
                faults.append(Fault(f"doorways[{number}]", "two doorways overlap; measure both from the edge's first corner"))
                continue
            reached = start + door.width
            made[number] = _recess(walls, door, (corner, after), trims[index], outward)
    faults += [
        Fault(f"doorways[{number}].edge", f"there is no wall edge {door.edge}: the edges are 0 to {len(corners) - 1}")
        for number, door in enumerate(entries)
        if door.edge >= len(corners)
    ]
    if faults:
        raise BadInput(faults)
    return walls, tuple(made[number] for number in sorted(made))


def _recess(walls: Walls, door: DoorwayEntry, edge: tuple[Point, Point], trim: float, outward: float) -> Doorway:
    """Adds the recess of a doorway to the walls, and gives the doorway at its far side."""
    (x1, y1), (x2, y2) = edge
    length = math.dist(*edge)
    along = ((x2 - x1) / length, (y2 - y1) / length)
    out = (along[1] * outward * door.depth, -along[0] * outward * door.depth)
    near = [(x1 + along[0] * far, y1 + along[1] * far) for far in (door.start, door.start + door.width)]
    far = [(x + out[0], y + out[1]) for x, y in near]
    if door.depth > TOLERANCE_MM:
        for corner in (near[0], far[0], far[1], near[1]):
            if math.dist(walls[-1][0], corner) <= TOLERANCE_MM:
                walls.pop()
            if math.dist(corner, edge[1]) > TOLERANCE_MM:
                walls.append((corner, trim))
    return Doorway(far[0], far[1], door.to.strip(), door.shut, door.entry, door.depth)
