"""Doors of a plan that has no blocks for them: a leaf, and the quarter circle that it swings through. Lengths in mm."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from remnants.exchange.plans.drawn import Stroke
from remnants.exchange.plans.openings import LEAF_MM
from remnants.geometry import Point
from remnants.geometry.segments import Line

__all__ = ["Swings", "arc_centre", "swings_of"]

NARROWEST_MM, WIDEST_MM = 450.0, 1500.0
"""How wide a leaf is (common practice, no source): cupboards' are narrower, gates' wider."""

QUARTER = math.radians(90)
ASKEW = math.radians(12)
"""A door is drawn open by a quarter turn, within this."""

ROUND_SHARE = 0.02
"""Points of an arc lie this near to its circle, as a share of its radius: four Bezier curves come within 0.03 % of one."""

STRAIGHT_SHARE = 1e-6
"""Three points that turn by less than this share of the square between the outer two lie in a line: no leaf bends so little."""

CLEAR_SHARE = 0.25
"""What runs along more of an opening than this is a wall, and the door stands in no gap."""


@dataclass(frozen=True)
class Swings:
    """Strokes without those of doors; sure doors, each its arcs and leaves; arcs that may be a door's, and why not sure."""

    strokes: tuple[Stroke, ...]
    doors: tuple[tuple[Stroke, ...], ...]
    unsure: tuple[tuple[Stroke, str], ...]


def arc_centre(stroke: Stroke) -> Point | None:
    """The centre of a stroke that is a quarter of a circle, all of it curved; None of any other."""
    points = stroke.points
    if stroke.closed or len(points) < 5 or len(stroke.curved) < len(points) - 3:
        return None
    centre = _centre(points[0], points[len(points) // 2], points[-1])
    if centre is None:
        return None
    radius = math.dist(centre, points[0])
    turned = 2 * math.asin(min(1.0, math.dist(points[0], points[-1]) / (2 * radius)))
    is_round = all(abs(math.dist(centre, point) - radius) <= ROUND_SHARE * radius for point in points)
    return centre if is_round and abs(turned - QUARTER) <= ASKEW else None


def swings_of(strokes: Sequence[Stroke]) -> Swings:
    """The doors among strokes. One is sure whose leaf runs from the arc's centre to one of its ends, no wall in its opening."""
    arcs = [
        (index, replace(stroke, centre=centre))
        for index, stroke in enumerate(strokes)
        if (centre := arc_centre(stroke)) and NARROWEST_MM <= math.dist(centre, stroke.points[0]) <= WIDEST_MM
    ]
    taken: set[int] = set()
    doors, unsure = [], []
    for index, arc in arcs:
        leaves = {end: _leaf(arc, end, strokes, taken | {index}) for end in (arc.points[0], arc.points[-1])}
        with_leaf = [end for end, found in leaves.items() if found]
        if len(with_leaf) != 1:
            unsure.append((arc, "has no leaf" if not with_leaf else "has lines at both its ends"))
            continue
        parts = leaves[with_leaf[0]]
        (free,) = (end for end in leaves if end != with_leaf[0])
        assert arc.centre is not None, "an arc has a centre"
        others = [stroke for at, stroke in enumerate(strokes) if at not in {index, *parts}]
        if _covered((arc.centre, free), others) > CLEAR_SHARE:
            unsure.append((arc, "stands where a wall runs through its opening"))
            continue
        taken |= {index, *parts}
        doors.append((arc, *(strokes[part] for part in parts)))
    left = tuple(stroke for index, stroke in enumerate(strokes) if index not in taken)
    return Swings(left, _pairs_together(doors), tuple(unsure))


def _pairs_together(doors: Sequence[tuple[Stroke, ...]]) -> tuple[tuple[Stroke, ...], ...]:
    """Two leaves that meet when they are shut are one door."""
    made: list[tuple[Stroke, ...]] = []
    for door in doors:
        ends = (door[0].points[0], door[0].points[-1])
        other = next((each for each in made if _meet(ends, each) and _swing_apart(door, each)), None)
        if other is None:
            made.append(door)
        else:
            made[made.index(other)] = (*other, *door)
    return tuple(made)


def _meet(ends: tuple[Point, Point], door: tuple[Stroke, ...]) -> bool:
    return any(math.dist(end, other) <= LEAF_MM for end in ends for other in (door[0].points[0], door[0].points[-1]))


def _swing_apart(one: tuple[Stroke, ...], two: tuple[Stroke, ...]) -> bool:
    """Whether the hinges are as far apart as two leaves are wide."""
    first, second = one[0], two[0]
    assert first.centre and second.centre, "an arc has a centre"
    wide = math.dist(first.centre, first.points[0]) + math.dist(second.centre, second.points[0])
    return abs(math.dist(first.centre, second.centre) - wide) <= 2 * LEAF_MM


def _centre(one: Point, two: Point, three: Point) -> Point | None:
    """The centre of the circle through three points; None where they lie in a line."""
    (ax, ay), (bx, by), (cx, cy) = one, two, three
    turn = 2 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    if abs(turn) <= STRAIGHT_SHARE * math.dist(one, three) ** 2:
        return None
    first, second = ((x - ax) ** 2 + (y - ay) ** 2 for x, y in (two, three))
    x = ((cy - ay) * first - (by - ay) * second) / turn
    y = ((bx - ax) * second - (cx - ax) * first) / turn
    return ax + x, ay + y


def _leaf(arc: Stroke, end: Point, strokes: Sequence[Stroke], but: set[int]) -> tuple[int, ...]:
    """The strokes of the leaf that runs from an arc's centre to one of its ends: a line, or a narrow shape of lines."""
    assert arc.centre is not None, "an arc has a centre"
    radius = math.dist(arc.centre, end)
    found = []
    for index, stroke in enumerate(strokes):
        if index in but or stroke.curved:
            continue
        offs = [_off(point, (arc.centre, end)) for point in stroke.points]
        if all(off <= LEAF_MM for off in offs) and _reach(stroke, (arc.centre, end)) >= 0.8 * radius:
            found.append(index)
    return tuple(found)


def _off(point: Point, line: Line) -> float:
    """How far a point is from a line between its ends (mm)."""
    (ax, ay), (bx, by) = line
    length = math.dist(*line) or 1.0
    along = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / length
    near = min(max(along, 0.0), length) / length
    return math.dist(point, (ax + near * (bx - ax), ay + near * (by - ay)))


def _reach(stroke: Stroke, line: Line) -> float:
    """How much of a line a stroke runs along (mm)."""
    (ax, ay), (bx, by) = line
    length = math.dist(*line) or 1.0
    runs = [((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length for x, y in stroke.points]
    return min(max(runs), length) - max(min(runs), 0.0)


def _covered(line: Line, strokes: Sequence[Stroke]) -> float:
    """The share of an opening that the longest straight stretch beside it runs along."""
    length = math.dist(*line) or 1.0
    most = 0.0
    for stroke in strokes:
        closed = (*stroke.points, stroke.points[0]) if stroke.closed else stroke.points
        for one, two in pairwise(closed):
            if all(_beside(point, line) <= LEAF_MM / 4 for point in (one, two)):
                most = max(most, _reach(replace(stroke, points=(one, two)), line) / length)
    return most


def _beside(point: Point, line: Line) -> float:
    """How far a point is from a line without end (mm)."""
    (ax, ay), (bx, by) = line
    return abs((point[0] - ax) * (by - ay) - (point[1] - ay) * (bx - ax)) / (math.dist(*line) or 1.0)
