"""Where the rooms of a house lie on its sheet: as the plan places them, or else side by side."""

from collections.abc import Mapping, Sequence

from remnants.geometry.outline import Point
from remnants.model.house_plan import CarpetPlan
from remnants.model.rooms import Room

__all__ = ["are_placed", "room_places"]

APART_MM = 700.0
"""Between rooms that are laid side by side, so that nobody takes them for neighbours (our own)."""

ACROSS = 1.5
"""How much wider than tall the rows of rooms come out, about (our own)."""


def are_placed(parts: Sequence[CarpetPlan]) -> bool:
    """Whether every room says where it lies in the house."""
    return all(room.at is not None for room in _rooms(parts))


def room_places(parts: Sequence[CarpetPlan]) -> Mapping[str, Point]:
    """By how much each room asked for is moved from its own axes to the house's (mm).

    Where one says nothing of its place, all stand in rows beside each other: half a plan would put rooms where they aren't.
    """
    rooms = _rooms(parts)
    if are_placed(parts):
        return {room.name: room.at for room in rooms if room.at is not None}
    return _in_rows(rooms)


def _rooms(parts: Sequence[CarpetPlan]) -> list[Room]:
    return [room for part in parts for room in part.asked.rooms]


def _in_rows(rooms: Sequence[Room]) -> dict[str, Point]:
    """Rows from above, the rooms in their order, each row about as wide as the first ones make it."""
    boxes = {room.name: room.outline.bounds for room in rooms}
    area = sum((right - left + APART_MM) * (top - low + APART_MM) for left, low, right, top in boxes.values())
    widest = max((box[2] - box[0] for box in boxes.values()), default=0.0)
    wide = max(widest, (area * ACROSS) ** 0.5)
    places: dict[str, Point] = {}
    x, y, tall = 0.0, 0.0, 0.0
    for room in rooms:
        left, low, right, top = boxes[room.name]
        if x > 0 and x + right - left > wide:
            x, y, tall = 0.0, y - tall - APART_MM, 0.0
        places[room.name] = (x - left, y - top)
        x, tall = x + right - left + APART_MM, max(tall, top - low)
    return places
