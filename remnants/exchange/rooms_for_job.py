"""Rooms of an order as rooms of a job: who has a rooms file or a drawing need not draw the room again for a repair in it."""

import math
from typing import Any

from remnants.estimating import Doorway, Room
from remnants.exchange.figures import degrees, given_only
from remnants.exchange.rooms import RoomsAsked
from remnants.geometry import Point, Ring
from remnants.units import TypedLength

__all__ = ["rooms_for_job"]


def rooms_for_job(asked: RoomsAsked) -> tuple[list[dict[str, Any]], tuple[str, ...]]:
    """The rooms as entries of a job file, lengths in mm with what they were read as, and what of them a job has no word for.

    Walls run as the order lays them, a deep doorway as a recess; what is walked there are the lanes.
    """
    notes = [
        f"{room.name}: islands are not taken along; lay no patch over them" for room in asked.floors.rooms if room.outline.cutouts
    ]
    return [_entry(room) for room in asked.floors.rooms], tuple(notes)


def _entry(room: Room) -> dict[str, Any]:
    ring = room.outline.ring
    return given_only(
        name=room.name,
        outline=_corners(ring),
        doorways=[_doorway(ring, door) for door in room.doorways] or None,
        lanes=[_corners(path) for path in room.traffic] or None,
        light=None if room.light_deg is None else degrees(room.light_deg),
        pile=None if room.pile_deg is None else degrees(room.pile_deg),
    )


def _doorway(ring: Ring, door: Doorway) -> dict[str, Any]:
    """A doorway's line as a stretch of the edge that it lies on, the one whose line is nearest."""
    edges = list(zip(ring, (*ring[1:], ring[0]), strict=True))

    def off_mm(edge: int) -> float:
        start, end = edges[edge]
        return max(math.dist(start, at) + math.dist(at, end) for at in (door.start, door.end)) - math.dist(start, end)

    edge = min(range(len(edges)), key=off_mm)
    start_mm = min(math.dist(edges[edge][0], at) for at in (door.start, door.end))
    told = {"edge": edge, "from": _known(start_mm), "width": _known(math.dist(door.start, door.end))}
    return told | given_only(to=door.to or None, shut=door.shut or None, entry=door.entry or None)


def _corners(points: tuple[Point, ...]) -> list[list[TypedLength]]:
    return [[_known(x), _known(y)] for x, y in points]


def _known(length_mm: float) -> TypedLength:
    return TypedLength(f"{length_mm:g} mm", length_mm)
