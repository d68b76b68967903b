"""Rooms told by their places on a floor and pushed together: walls shared, a doorway set once, what overlaps or leaks told.

Lengths are millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from remnants.exchange.plans.openings import Opens, opens_across
from remnants.exchange.plans.rooms import PlanRoom
from remnants.geometry.net import apart, overlaps
from remnants.units import Unit, write_area, write_length

__all__ = ["Pushed", "pushed_together"]

SLIP_MM = 30.0
"""Rooms this near to each other were meant to touch (common practice, no source: no wall is thinner)."""


@dataclass(frozen=True)
class Pushed:
    """The rooms with the doorways of both sides, and what is to be told of them."""

    rooms: tuple[PlanRoom, ...]
    told: tuple[str, ...]


def pushed_together(rooms: Sequence[PlanRoom], wall_mm: float, unit: Unit) -> Pushed:
    """The rooms as they lie. A doorway of one opens the room across the wall too; of a wall with no thickness on the floor,
    `wall_mm` is carpeted with the room that it was set in. Sizes are told in `unit`."""
    rings = [room.ring for room in rooms]
    held: list[list[tuple[Opens, str]]] = [[] for _ in rooms]
    told: list[str] = []
    for own, room in enumerate(rooms):
        for opens, _ in room.doorways:
            if any(_same(opens, other) for other, _ in held[own]):
                continue  # told on its other side already
            across = opens_across(opens, own, rings)
            if across is None:
                told.append(f"a doorway of {room.name} leads to no room here")
                held[own].append((opens, ""))
                continue
            index, other, thick_mm = across
            held[own].append((replace(opens, depth_mm=thick_mm or wall_mm), rooms[index].name))
            held[index].append((other, room.name))
    made = tuple(
        replace(room, doorways=tuple(sorted(ways, key=lambda way: (way[0].edge, way[0].start_mm))))
        for room, ways in zip(rooms, held, strict=True)
    )
    return Pushed(made, (*_overlaps(rooms, unit), *_gaps(rooms, unit), *told))


def _same(one: Opens, other: Opens) -> bool:
    return (
        one.edge == other.edge and one.start_mm < other.start_mm + other.width_mm and other.start_mm < one.start_mm + one.width_mm
    )


def _overlaps(rooms: Sequence[PlanRoom], unit: Unit) -> list[str]:
    return [
        f"{rooms[one].name} and {rooms[two].name} overlap by {write_area(shared, unit)}: move one of them"
        for one, two, shared in overlaps([room.ring for room in rooms])
        if shared > 1.0
    ]


def _gaps(rooms: Sequence[PlanRoom], unit: Unit) -> list[str]:
    return [
        f"{rooms[one].name} and {rooms[two].name} stand {write_length(gap, unit)} apart: push them together"
        for one, two, gap in apart([room.ring for room in rooms], SLIP_MM)
    ]
