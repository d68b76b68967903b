"""Doors of a plan as doorways of its rooms. Lengths are millimetres.

A door's symbol is a leaf and the arc that it swings through: from the arc's centre to that of its ends at which the leaf
is not, the door stands open. One without an arc stands along the wall that it is nearest to.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from remnants.exchange.plans.drawn import Spot, Stroke
from remnants.geometry import TOLERANCE_MM, Ring
from remnants.geometry.net import short_box
from remnants.geometry.segments import Line, edges_of

__all__ = ["Opening", "Opens", "opening_of", "opens_across", "opens_on"]

NARROWEST_MM, WIDEST_MM = 300.0, 6000.0
"""What an opening measures at the least and the most (common practice, no source)."""

THICKEST_MM = 600.0
"""How far from a room's edge its door may be drawn, and how thick a wall between two rooms is at the most."""

ASLANT = math.sin(math.radians(10))
"""A doorway runs along its wall within this."""

LEAF_MM = 80.0
"""A leaf's end lies this near to the end of its arc: leaves are drawn up to this thick (common practice, no source)."""


@dataclass(frozen=True)
class Opening:
    """A door: the lines that its opening may be, the likeliest first, and whether the symbol tells it for sure."""

    lines: tuple[Line, ...]
    sure: bool
    spot: Spot


@dataclass(frozen=True)
class Opens:
    """A doorway of a room: the edge of its ring, how far from that edge's first corner, how wide, how far off it was drawn.

    `depth_mm` of the wall behind it is carpeted with the room.
    """

    edge: int
    start_mm: float
    width_mm: float
    off_mm: float
    depth_mm: float = 0.0


def opening_of(door: Sequence[Stroke]) -> Opening | None:
    """What a door's strokes tell of its opening; None for what is too small or large for one."""
    swings = [swing for stroke in door if (swing := _swing(stroke, door))]
    sure = [line for lines in swings if len(lines) == 1 for line in lines]
    if sure and len(sure) == len(swings):
        return Opening((_together(sure),), True, door[0].spot)
    lines = tuple(line for lines in swings for line in lines) or _along_box(door)
    fit = tuple(line for line in lines if NARROWEST_MM <= math.dist(*line) <= WIDEST_MM)
    return Opening(fit, False, door[0].spot) if fit else None


def _swing(stroke: Stroke, door: Sequence[Stroke]) -> tuple[Line, ...]:
    """From an arc's centre to its ends, but not to the one that a leaf ends at; nothing of what is no arc."""
    if stroke.centre is None or not NARROWEST_MM <= math.dist(stroke.centre, stroke.points[0]) <= WIDEST_MM:
        return ()
    others = [point for other in door if other is not stroke and other.centre is None for point in other.points]
    ends = (stroke.points[0], stroke.points[-1])
    free = [end for end in ends if not any(math.dist(end, point) <= LEAF_MM for point in others)]
    return tuple((stroke.centre, end) for end in (free if len(free) == 1 else ends))


def _together(lines: Sequence[Line]) -> Line:
    """Two leaves of one door stand open side by side: from the furthest end of one to that of the other."""
    points = [point for line in lines for point in line]
    return (
        max(((one, two) for one in points for two in points), key=lambda line: math.dist(*line)) if len(lines) > 1 else lines[0]
    )


def _along_box(door: Sequence[Stroke]) -> tuple[Line, ...]:
    """The middle lines of the least box round the strokes, the longer first."""
    box = short_box(point for stroke in door for point in stroke.points)
    if len(box) < 4:
        return ((box[0], box[-1]),) if len(box) > 1 else ()
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in edges_of(box, closed=True)]
    lines = [(middles[0], middles[2]), (middles[1], middles[3])]
    return tuple(sorted(lines, key=lambda line: -math.dist(*line)))


def opens_on(opening: Opening, rings: Sequence[Ring]) -> tuple[tuple[int, Opens], ...]:
    """The rooms that a door leads to, by their places: the nearest, and the one across the wall from it, where there are any.

    The first has the wall between them as its depth.
    """
    near = sorted(
        (found.off_mm, index, found.edge, found)
        for index, ring in enumerate(rings)
        if (found := _nearest(opening, ring)) is not None
    )
    if not near:
        return ()
    _, first, _, one = near[0]
    for _, index, _, other in near[1:]:
        wall_mm = _wall_between(rings[first], one, rings[index], other)
        if wall_mm is not None:
            return (first, replace(one, depth_mm=wall_mm)), (index, other)
    return ((first, one),)


def _nearest(opening: Opening, ring: Ring) -> Opens | None:
    """Where it opens on the edge of a room that it is nearest to."""
    found = [
        placed
        for line in opening.lines
        for edge, wall in enumerate(edges_of(ring, closed=True))
        if (placed := _placed(line, edge, wall)) is not None
    ]
    return min(found, key=lambda each: (round(each.off_mm, 3), -each.width_mm, each.edge), default=None)


def _placed(line: Line, edge: int, wall: Line) -> Opens | None:
    """The opening on a wall that runs its way, within reach, most of it along that wall."""
    (ax, ay), (bx, by) = wall
    length, width = math.dist(*wall), math.dist(*line)
    along = ((bx - ax) / length, (by - ay) / length)
    ends = [(x - ax, y - ay) for x, y in line]
    runs = sorted(x * along[0] + y * along[1] for x, y in ends)
    offs = [abs(x * along[1] - y * along[0]) for x, y in ends]
    if abs(offs[0] - offs[1]) > ASLANT * width or max(offs) > THICKEST_MM:
        return None
    start, end = max(0.0, runs[0]), min(length, runs[1])
    if end - start < 0.8 * width:
        return None
    return Opens(edge, start, end - start, sum(offs) / 2)


def _wall_between(one_ring: Ring, one: Opens, other_ring: Ring, other: Opens) -> float | None:
    """How thick the wall between two rooms is (mm), where theirs face away from each other and are no further apart than one."""
    (ax, ay), (bx, by) = list(edges_of(one_ring, closed=True))[one.edge]
    (cx, cy), (dx, dy) = list(edges_of(other_ring, closed=True))[other.edge]
    behind = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / math.dist((ax, ay), (bx, by))
    turned = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy) < 0
    return max(0.0, behind) if turned and -TOLERANCE_MM <= behind <= THICKEST_MM else None


def opens_across(opens: Opens, own: int, rings: Sequence[Ring]) -> tuple[int, Opens, float] | None:
    """The room across the wall from a doorway of room `own`, where it opens there, and how thick the wall is (mm)."""
    start, end = list(edges_of(rings[own], closed=True))[opens.edge]
    length = math.dist(start, end)
    ends = (opens.start_mm / length, (opens.start_mm + opens.width_mm) / length)
    one, two = ((start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])) for share in ends)
    door = Opening(((one, two),), True, Spot("doorway", "", ""))
    found = [
        (wall_mm, index, other)
        for index, ring in enumerate(rings)
        if index != own and (other := _nearest(door, ring)) is not None
        if (wall_mm := _wall_between(rings[own], opens, ring, other)) is not None
    ]
    if not found:
        return None
    wall_mm, index, other = min(found, key=lambda each: each[:2])
    return index, other, wall_mm
