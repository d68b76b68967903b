"""Doorways as files give them, on the walls of their room."""

import math
from collections.abc import Sequence
from typing import Annotated, TypeVar

from pydantic import Field

from remnants.errors import BadInput, Fault
from remnants.exchange.entries import Entry, Length, Size, Text, Whole, YesNo
from remnants.geometry import TOLERANCE_MM, Point

__all__ = ["DoorwayEntry", "walls_with_doorways"]

T = TypeVar("T")
Line = tuple[Point, Point]


class DoorwayEntry(Entry):
    """An opening in wall edge `edge` (from corner edge to edge + 1), `from` its first corner, `width` wide, `depth` carpeted."""

    edge: Annotated[Whole, Field(ge=0)]
    start: Annotated[Length, Field(alias="from")]
    width: Size
    depth: Length = 0.0
    to: Text = ""
    beyond: Text = ""
    shut: YesNo = False
    entry: YesNo = False


def walls_with_doorways(
    corners: Sequence[Point], told: Sequence[T], entries: Sequence[DoorwayEntry], outward: float
) -> tuple[list[tuple[Point, T]], tuple[Line, ...]]:
    """The walls with each deep doorway as a recess, and the line of each doorway at its far side, in the order given (mm).

    Walls are corners as given, each with what is `told` of the edge that starts there; `outward` is 1 where they run
    counter-clockwise, else -1. Raises BadInput with every doorway that is off its wall, over another, or on an edge that isn't.
    """
    faults: list[Fault] = []
    made: dict[int, Line] = {}
    walls: list[tuple[Point, T]] = []
    for index, corner in enumerate(corners):
        after = corners[(index + 1) % len(corners)]
        walls.append((corner, told[index]))
        here = sorted((door.start, number) for number, door in enumerate(entries) if door.edge == index)
        reached = 0.0
        for start, number in here:
            door, length = entries[number], math.dist(corner, after)
            if door.width > length + TOLERANCE_MM:
                what = "the doorway is wider than its wall: measure both again, or give the edge that it opens"
                faults.append(Fault(f"doorways[{number}]", what))
                continue
            if start < -TOLERANCE_MM or start + door.width > length + TOLERANCE_MM:
                faults.append(Fault(f"doorways[{number}]", "the doorway is off the wall: it runs past the end of its wall edge"))
                continue
            if start < reached - TOLERANCE_MM:
                faults.append(Fault(f"doorways[{number}]", "two doorways overlap; measure both from the edge's first corner"))
                continue
            reached = start + door.width
            made[number] = _recess(walls, door, (corner, after), told[index], outward)
    faults += [
        Fault(f"doorways[{number}].edge", f"there is no wall edge {door.edge}: the edges are 0 to {len(corners) - 1}")
        for number, door in enumerate(entries)
        if door.edge >= len(corners)
    ]
    if faults:
        raise BadInput(faults)
    return walls, tuple(made[number] for number in sorted(made))


def _recess(walls: list[tuple[Point, T]], door: DoorwayEntry, edge: Line, told: T, outward: float) -> Line:
    """Adds the recess of a doorway to the walls, and gives its line at the far side."""
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
                walls.append((corner, told))
    return far[0], far[1]
