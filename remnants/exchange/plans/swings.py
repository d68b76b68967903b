"""Doors of a plan that has no blocks for them: a leaf, and the quarter circle that it swings through. Lengths in mm."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from remnants.exchange.plans.chords import swings_whole
from remnants.exchange.plans.drawn import Stroke
from remnants.exchange.plans.openings import LEAF_MM
from remnants.exchange.plans.quarters import quarter_centre
from remnants.geometry import Point
from remnants.geometry.segments import Line
from remnants.late import Late

if TYPE_CHECKING:
    import numpy
else:
    numpy = Late("numpy")

__all__ = ["Swings", "swings_of", "unsure_told", "with_arcs"]

NARROWEST_MM, WIDEST_MM = 450.0, 1500.0
"""How wide a leaf is (common practice, no source): cupboards' are narrower, gates' wider."""

CLEAR_SHARE = 0.25
"""What runs along more of an opening than this is a wall, and the door stands in no gap."""

MOST_ARCS, MOST_NEAR = 1000, 500
"""So many arcs are looked at, and so many lines near one: the floor of an office has some hundred doors."""

MOST_POINTS = 5_000_000
"""Points of lines near arcs that are gone through, for all arcs together: a line of many corners counts anew for each arc."""


@dataclass(frozen=True)
class Swings:
    """Strokes without those of doors; sure doors, each its arcs and leaves; arcs that may be a door's, and why not sure."""

    strokes: tuple[Stroke, ...]
    doors: tuple[tuple[Stroke, ...], ...]
    unsure: tuple[tuple[Stroke, str], ...]


def _arc_centre(stroke: Stroke) -> Point | None:
    """The centre of a stroke that is a quarter of a circle, all of it curved or known as an arc; None of any other."""
    points = stroke.points
    is_curve = stroke.centre is not None or (len(points) > 4 and len(stroke.curved) >= len(points) - 3)
    return quarter_centre(points) if is_curve and not stroke.closed else None


def with_arcs(strokes: Sequence[Stroke], *, closed: bool = False) -> tuple[Stroke, ...]:
    """The strokes, those that are quarter circles with their centres, also such as were drawn in short lines (`swings_whole`)."""
    whole = swings_whole(strokes, narrowest_mm=NARROWEST_MM, widest_mm=WIDEST_MM, closed=closed)
    return tuple(stroke if stroke.centre else replace(stroke, centre=_arc_centre(stroke)) for stroke in whole)


def swings_of(strokes: Sequence[Stroke]) -> Swings:
    """The doors among strokes. One is sure whose leaf runs from the arc's centre to one of its ends, no wall in its opening.

    An arc may be drawn in short lines. Such lines are one stroke from then on, whether or not they are a door.
    """
    strokes = swings_whole(strokes, narrowest_mm=NARROWEST_MM, widest_mm=WIDEST_MM)
    arcs = [
        (index, replace(stroke, centre=centre))
        for index, stroke in enumerate(strokes)
        if (centre := _arc_centre(stroke)) and NARROWEST_MM <= math.dist(centre, stroke.points[0]) <= WIDEST_MM
    ]
    near = _Near(strokes) if arcs else None
    taken: set[int] = set()
    doors, unsure, points = [], [], 0
    for index, arc in arcs[:MOST_ARCS]:
        assert arc.centre is not None and near is not None, "an arc has a centre"
        others = [at for at in near.around(arc.centre, math.dist(arc.centre, arc.points[0])) if at != index]
        more = sum(len(strokes[at].points) for at in others[:MOST_NEAR])
        if len(others) > MOST_NEAR or points + more > MOST_POINTS:
            unsure.append((arc, "stands among very many lines"))
            continue
        points += more
        beside = {at: strokes[at] for at in others}
        leaves = {end: _leaf(arc, end, beside, taken) for end in (arc.points[0], arc.points[-1])}
        with_leaf = [end for end, found in leaves.items() if found]
        if len(with_leaf) != 1:
            unsure.append((arc, "has no leaf" if not with_leaf else "has lines at both its ends"))
            continue
        parts = leaves[with_leaf[0]]
        (free,) = (end for end in leaves if end != with_leaf[0])
        if _covered((arc.centre, free), [stroke for at, stroke in beside.items() if at not in parts]) > CLEAR_SHARE:
            unsure.append((arc, "stands where a wall runs through its opening"))
            continue
        taken |= {index, *parts}
        doors.append((arc, *(strokes[part] for part in parts)))
    unsure += [(arc, "is one of very many") for _, arc in arcs[MOST_ARCS:]]
    left = tuple(stroke for index, stroke in enumerate(strokes) if index not in taken)
    return Swings(left, _pairs_together(doors), tuple(unsure))


def unsure_told(found: Swings, place: Callable[[Point], str]) -> list[str]:
    """Which arcs may be doors and why none is made of them, a line for each layer; `place` tells where a point (mm) is."""
    told = []
    for layer in sorted({arc.spot.layer for arc, _ in found.unsure}):
        unsure = [(arc, why) for arc, why in found.unsure if arc.spot.layer == layer]
        count = "an arc" if len(unsure) == 1 else f"{len(unsure)} arcs"
        arc, why = unsure[0]
        first = f"{count} like a door's on layer {layer!r}, such as the one at {place(arc.points[0])} that {why}"
        told.append(f"{first}: no doorway is made of it; if doors are drawn there, say that layer for doors")
    return told


class _Near:
    """Which strokes come near a place, found for many places."""

    def __init__(self, strokes: Sequence[Stroke]) -> None:
        corners = (((min(xs), min(ys)), (max(xs), max(ys))) for xs, ys in (zip(*s.points, strict=True) for s in strokes))
        boxes = numpy.array(list(corners), dtype=float)
        self._low, self._high = boxes[:, 0], boxes[:, 1]

    def around(self, centre: Point, radius: float) -> list[int]:
        """By their places, those whose box comes as near as the radius and a leaf."""
        reach = radius + LEAF_MM
        here = numpy.array(centre)
        found: list[int] = numpy.flatnonzero(((self._low <= here + reach) & (self._high >= here - reach)).all(axis=1)).tolist()
        return found


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


def _leaf(arc: Stroke, end: Point, strokes: Mapping[int, Stroke], but: set[int]) -> tuple[int, ...]:
    """The strokes of the leaf that runs from an arc's centre to one of its ends: a line, or a narrow shape of lines."""
    assert arc.centre is not None, "an arc has a centre"
    radius = math.dist(arc.centre, end)
    found = []
    for index, stroke in strokes.items():
        if index in but or stroke.curved:
            continue
        if (
            all(_off(point, (arc.centre, end)) <= LEAF_MM for point in stroke.points)
            and _reach(stroke, (arc.centre, end)) >= 0.8 * radius
        ):
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
        beside = [_beside(point, line) <= LEAF_MM / 4 for point in closed]
        for at, (one, two) in enumerate(pairwise(closed)):
            if beside[at] and beside[at + 1]:
                most = max(most, _reach(replace(stroke, points=(one, two)), line) / length)
    return most


def _beside(point: Point, line: Line) -> float:
    """How far a point is from a line without end (mm)."""
    (ax, ay), (bx, by) = line
    return abs((point[0] - ax) * (by - ay) - (point[1] - ay) * (bx - ax)) / (math.dist(*line) or 1.0)
