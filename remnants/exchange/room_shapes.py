"""From a room's corners, islands and doorways as given to a checked Room, trims kept with their edges."""

import math
from collections.abc import Sequence

from remnants.errors import BadInput, BadOutline, Fault
from remnants.estimating import Doorway, Room
from remnants.exchange.doorways import walls_with_doorways
from remnants.exchange.room_entries import RoomEntry
from remnants.exchange.shapes import sized_corners
from remnants.geometry import TOLERANCE_MM, Ring
from remnants.geometry.outline import area_mm2, outline_of, ring_of
from remnants.limits import CORNERS

__all__ = ["made_room"]


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
    walls, lines = walls_with_doorways(corners, trims, entry.doorways, outward)
    try:
        outline = outline_of([corner for corner, _ in walls], [*entry.islands, *drawn[1:]])
    except BadOutline as error:
        raise BadOutline(Fault(_placed(fault.where), fault.what) for fault in error.faults) from None
    kept = tuple(trim for _, trim in walls)
    doorways = tuple(
        Doorway(*line, door.to.strip(), door.shut, door.entry, door.depth, door.beyond.strip())
        for line, door in zip(lines, entry.doorways, strict=True)
    )
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
        at=entry.at,
    )


def _placed(where: str) -> str:
    return where.replace("cutouts", "islands") if where.startswith("cutouts") else f"outline{where}"
