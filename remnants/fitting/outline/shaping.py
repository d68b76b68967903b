"""From a box round damage to an outline: what of it lies in the room, and how each edge of that ends."""

import math
from collections.abc import Sequence
from itertools import pairwise

from remnants.fitting.outline.events import SIDES, Box, Event
from remnants.fitting.outline.place import Place
from remnants.geometry.ground import covers, on_ground
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.geometry.segments import Line, away_mm, edges_of, part_of
from remnants.model.finish import Finish
from remnants.model.patch import Allowance
from remnants.model.proposal import StopKind

__all__ = ["Edges", "edges_in_room", "is_on", "kinds_of", "plainer", "ring_round", "turning"]

Edges = tuple[tuple[Point, Finish], ...]
"""Corners of a ring, each with the finish of the edge that starts there."""


def ring_round(place: Place, box: Box, damage: Sequence[Ring]) -> Ring | None:
    """The part of a box on the room's floor that holds the damage; None where no one part holds all of it."""
    left, bottom, right, top = box
    if not place.room:
        return (left, bottom), (right, bottom), (right, top), (left, top)
    parts = on_ground(box, place.room)
    if len(parts) == 1:
        return parts[0]
    return next((part for part in parts if all(covers(part, ring) for ring in damage)), None)


def edges_in_room(place: Place, ring: Ring, known: dict[Line, tuple[tuple[Line, Finish], ...]]) -> Edges:
    """The ring with the finish of each edge: along a wall the wall's, in an opening of it a transition, else a seam.

    A corner stands where the finish changes. `known` remembers what each edge is.
    """
    told: list[tuple[Line, Finish]] = []
    for edge in edges_of(ring, closed=True):
        if edge not in known:
            known[edge] = tuple(_stretches(place, edge))
        told += known[edge]
    kept: list[tuple[Point, Finish]] = []
    for (start, end), finish in told:
        if kept and kept[-1][1] is finish and _straight(kept[-1][0], start, end):
            continue
        kept.append((start, finish))
    if len(kept) > 3 and kept[0][1] is kept[-1][1] and _straight(kept[-1][0], kept[0][0], kept[1][0]):
        kept.pop(0)
    return tuple(kept)


def plainer(edges: Edges, allowance: Allowance) -> Edges:
    """The same without corners in a straight line between two finishes, neither a seam, that take the same allowance."""
    kept = list(edges)
    for index in reversed(range(len(kept))):
        (before, one), (corner, two), (after, _) = kept[index - 1], kept[index], kept[(index + 1) % len(kept)]
        alike = Finish.SEAM not in (one, two) and allowance.of(one) == allowance.of(two)
        if alike and len(kept) > 3 and _straight(before, corner, after):
            del kept[index]
    return tuple(kept)


def turning(ring: Ring) -> Ring:
    """The ring without the corners at which it runs straight on: where one finish follows another along a wall."""
    around = zip((*ring[-1:], *ring[:-1]), ring, (*ring[1:], *ring[:1]), strict=True)
    return tuple(corner for before, corner, after in around if not _straight(before, corner, after))


def _stretches(place: Place, edge: Line) -> list[tuple[Line, Finish]]:
    wall = next((each for each in place.walls if is_on(edge, each[0])), None)
    if wall is None:
        return [(edge, Finish.SEAM)]
    if wall[1] is not Finish.WALL:
        return [(edge, wall[1])]
    length = math.dist(*edge)
    open_at = [shares for door in place.doors if (shares := _shares(edge, door, length)) is not None]
    marks = sorted({0.0, 1.0, *(share for shares in open_at for share in shares)})
    found = []
    for low, high in pairwise(marks):
        if (high - low) * length > TOLERANCE_MM:
            opens = any(first <= (low + high) / 2 <= last for first, last in open_at)
            found.append((part_of(edge, low, high), Finish.TRANSITION if opens else Finish.WALL))
    return found


def is_on(part: Line, whole: Line) -> bool:
    """True if one line lies on another, edges included."""
    return all(away_mm(point, whole) <= TOLERANCE_MM for point in part)


def _shares(edge: Line, door: Line, length: float) -> tuple[float, float] | None:
    """The stretch of an edge that a doorway opens, as shares of it; None where it opens none of it."""
    (ax, ay), (bx, by) = edge
    along = ((bx - ax) / length, (by - ay) / length)
    if any(abs((x - ax) * along[1] - (y - ay) * along[0]) > TOLERANCE_MM for x, y in door):
        return None
    first, last = sorted(((x - ax) * along[0] + (y - ay) * along[1]) / length for x, y in door)
    low, high = max(0.0, first), min(1.0, last)
    low, high = (0.0 if low * length <= TOLERANCE_MM else low), (1.0 if (1 - high) * length <= TOLERANCE_MM else high)
    return (low, high) if (high - low) * length > TOLERANCE_MM else None


def _straight(before: Point, corner: Point, after: Point) -> bool:
    (ax, ay), (bx, by) = (corner[0] - before[0], corner[1] - before[1]), (after[0] - corner[0], after[1] - corner[1])
    return abs(ax * by - ay * bx) <= TOLERANCE_MM * math.hypot(bx, by) and ax * bx + ay * by > 0


def kinds_of(place: Place, edges: Edges, stops: Sequence[Event]) -> tuple[StopKind, ...]:
    """What each of the four sides of an outline ends at: the wall or the doorway where none of it is a seam, else its event."""
    lines = list(edges_of([corner for corner, _ in edges], closed=True))
    found = []
    for side, event in zip(SIDES, stops, strict=True):
        facing = [(line, finish) for line, (_, finish) in zip(lines, edges, strict=True) if _faces(line, side.axis, side.out)]
        seamed = any(finish is Finish.SEAM for _, finish in facing)
        opens = any(_along(line, door) for line, _ in facing for door in place.doors)
        if facing and not seamed:
            found.append(StopKind.DOORWAY if opens else StopKind.WALL)
        else:
            found.append(StopKind.CORNER if event.kind is StopKind.WALL else event.kind)
    return tuple(found)


def _faces(line: Line, axis: int, out: int) -> bool:
    """True if an edge of a counter-clockwise ring faces that way more than any other."""
    (ax, ay), (bx, by) = line
    normal = (by - ay, ax - bx)
    return abs(normal[axis]) > abs(normal[1 - axis]) and normal[axis] * out > 0


def _along(line: Line, door: Line) -> bool:
    """True if one of the lines lies in the other."""
    return is_on(door, line) or is_on(line, door)
