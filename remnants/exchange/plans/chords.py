"""Swings that a drawing program broke into short straight lines, put together again. Lengths in mm.

A plan saved for another program often holds no arcs: a door's swing is then a row of chords, as one path or line by line.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from remnants.exchange.plans.drawn import Stroke
from remnants.exchange.plans.quarters import quarter_centre
from remnants.geometry import Point

__all__ = ["swings_whole"]

FEWEST = 6
"""A quarter circle in fewer lines is a wall with corners: programs take eight and more (common practice, no source)."""

SHARPEST = math.radians(18)
"""What turns by more from one line to the next is a corner: six chords of a quarter circle turn by 15 degrees each."""

LONGEST_MM = 450.0
"""A chord is no longer: one of six in a quarter circle of 1.5 m is 390 mm."""

MEET_MM = 1.0
"""Lines whose ends lie within this follow each other: a hundredth of a point, as PDFs round, is 0.35 mm at 1:100."""


FINE_SHARE = 0.002
"""What lies no further off its circle than this share of the radius was rounded: nothing is gained without its ends."""


HINGE_MM = 5.0
"""The corner that lies this near to the middle of a swing is its hinge: what is rounded is not off by more."""

MOST_CORNERS = 64
"""Corners kept of each square that wide, the first ones: among more no hinge is told from the others, and whichever is taken, a
swing moves by HINGE_MM at most."""

_Node = tuple[str, Point]
"""A layer, and a place at which lines of it end."""


@dataclass(frozen=True)
class _Path:
    """Lines that follow each other: their corners, and of each side the stroke that it is from and its place there."""

    points: tuple[Point, ...]
    sides: tuple[tuple[int, int], ...]


def swings_whole(strokes: Sequence[Stroke], *, narrowest_mm: float, widest_mm: float, closed: bool = False) -> tuple[Stroke, ...]:
    """The strokes, each quarter circle of chords with a radius between these as a stroke of its own that tells its `centre`.

    What is left of a stroke stays as its parts. Closed ones are only taken apart where `closed` says so. Where chords are no
    quarter circle, all stays as it is.
    """
    rows: dict[int, list[Stroke]] = {}
    taken: dict[int, set[int]] = {}
    hinges = _Corners(HINGE_MM, (point for stroke in strokes for point in stroke.points))
    for path in (*_chains(strokes), *_alone(strokes, closed=closed)):
        for start, end in _rows(path, narrowest_mm, widest_mm):
            points, sides = path.points[start : end + 1], path.sides[start:end]
            first = strokes[sides[0][0]]
            inner = frozenset(points[1:-1])
            curved = frozenset[Point]().union(*(inner & strokes[index].curved for index in {index for index, _ in sides}))
            centre = quarter_centre(points)
            assert centre is not None, "a row is a quarter circle"
            arc = Stroke(points, False, first.spot, curved, hinges.near(centre) or centre)
            rows.setdefault(min(index for index, _ in sides), []).append(arc)
            for index, side in sides:
                taken.setdefault(index, set()).add(side)
    made: list[Stroke] = []
    for index, stroke in enumerate(strokes):
        made += rows.get(index, ())
        made += _left(stroke, taken[index]) if index in taken else (stroke,)
    return tuple(made)


def _chains(strokes: Sequence[Stroke]) -> Iterator[_Path]:
    """Short single lines of one layer that follow each other, two at a corner."""
    short = [index for index, stroke in enumerate(strokes) if len(stroke.points) == 2 and _is_short(*stroke.points)]
    corners: dict[str, _Corners] = {}
    ends: dict[int, tuple[_Node, ...]] = {}
    meet: dict[_Node, list[int]] = {}
    for index in short:
        layer = strokes[index].spot.layer
        known = corners.setdefault(layer, _Corners(MEET_MM))
        ends[index] = tuple((layer, known.near(point) or known.add(point)) for point in strokes[index].points)
        for node in ends[index]:
            meet.setdefault(node, []).append(index)
    left = set(short)
    starts = [index for index in short if any(len(meet[node]) != 2 for node in ends[index])]
    for index in (*starts, *short):
        if index not in left:
            continue
        node = next((each for each in ends[index] if len(meet[each]) != 2), ends[index][0])
        points, sides, line = [strokes[index].points[ends[index].index(node)]], [], index
        while line in left:
            left.discard(line)
            far = 1 - ends[line].index(node)
            points.append(strokes[line].points[far])
            sides.append((line, 0))
            node = ends[line][far]
            line = next((each for each in meet[node] if each != line), line) if len(meet[node]) == 2 else line
        yield _Path(tuple(points), tuple(sides))


class _Corners:
    """Corners of a drawing, the first MOST_CORNERS of a square, and which of them is the nearest within a reach (mm)."""

    def __init__(self, reach_mm: float, points: Iterable[Point] = ()) -> None:
        self._reach = reach_mm
        self._known: dict[tuple[int, int], dict[Point, None]] = {}
        for point in points:
            self.add(point)

    def add(self, point: Point) -> Point:
        """One more corner; what was known already, or comes after very many, isn't kept."""
        known = self._known.setdefault(self._cell(point), {})
        if len(known) < MOST_CORNERS:
            known[point] = None
        return point

    def near(self, point: Point) -> Point | None:
        """The nearest corner within reach, the first of several as near."""
        column, row = self._cell(point)
        cells = ((x, y) for x in range(column - 1, column + 2) for y in range(row - 1, row + 2))
        found = [other for cell in cells for other in self._known.get(cell, ()) if math.dist(point, other) <= self._reach]
        return min(found, key=lambda other: math.dist(point, other), default=None)

    def _cell(self, point: Point) -> tuple[int, int]:
        return math.floor(point[0] / self._reach), math.floor(point[1] / self._reach)


def _alone(strokes: Sequence[Stroke], *, closed: bool) -> Iterator[_Path]:
    """Strokes of many sides; a closed one begun at its sharpest corner."""
    for index, stroke in enumerate(strokes):
        points = stroke.points
        if len(points) <= FEWEST or (stroke.closed and not closed) or stroke.centre is not None:
            continue
        sides = [(index, side) for side in range(len(points) - 1)]
        if stroke.closed:
            sides.append((index, len(points) - 1))
            first = max(range(len(points)), key=lambda at: abs(_turn(points[at - 1], points[at], points[(at + 1) % len(points)])))
            points, sides = (*points[first:], *points[: first + 1]), sides[first:] + sides[:first]
        yield _Path(points, tuple(sides))


def _rows(path: _Path, narrowest_mm: float, widest_mm: float) -> Iterator[tuple[int, int]]:
    """From which corner to which a path is a quarter circle of chords."""
    points = path.points
    turns = [_turn(*points[at - 1 : at + 2]) for at in range(1, len(points) - 1)]
    short = [_is_short(*side) for side in pairwise(points)]
    start = 0
    for end in range(1, len(points)):
        if end < len(points) - 1 and abs(turns[end - 1]) <= SHARPEST and short[end - 1] == short[end]:
            continue
        if short[start]:
            # What a jamb or a leaf adds at an end may run on nearly straight, and isn't on the circle.
            tries = [(start + before, end - after) for before in (0, 1) for after in (0, 1)]
            found = [(off, at) for at in tries if (off := _off(points[at[0] : at[1] + 1], narrowest_mm, widest_mm)) is not None]
            if found:
                yield min(found, key=lambda each: (each[0], each[1][0] - each[1][1]))[1]
        start = end


def _off(points: Sequence[Point], narrowest_mm: float, widest_mm: float) -> float | None:
    """How far chords of a quarter circle lie off it, as a share of its radius and FINE_SHARE at the least; None of any others."""
    centre = quarter_centre(points) if len(points) > FEWEST else None
    if centre is None or not narrowest_mm <= math.dist(centre, points[0]) <= widest_mm:
        return None
    turned = [_turn_about(centre, *pair) for pair in pairwise(points)]
    if max(map(abs, turned)) > SHARPEST or sum(map(abs, turned)) - abs(sum(turned)) > SHARPEST:
        return None
    offs = [math.dist(centre, point) for point in points]
    return max(FINE_SHARE, (max(offs) - min(offs)) / sum(offs) * len(offs))


def _left(stroke: Stroke, taken: set[int]) -> list[Stroke]:
    """What a stroke still is without some of its sides."""
    points = stroke.points
    count = len(points) if stroke.closed else len(points) - 1
    first = next((side for side in sorted(taken) if (side + 1) % count not in taken), 0) + 1 if stroke.closed else 0
    made: list[list[Point]] = []
    for side in ((first + step) % count for step in range(count)):
        if side in taken:
            made.append([])
            continue
        if not made or not made[-1]:
            made.append([points[side]])
        made[-1].append(points[(side + 1) % len(points)])
    return [
        replace(stroke, points=tuple(run), closed=False, curved=stroke.curved & frozenset(run[1:-1]), centre=None)
        for run in made
        if run
    ]


def _is_short(one: Point, two: Point) -> bool:
    return math.dist(one, two) <= LONGEST_MM


def _turn(one: Point, two: Point, three: Point) -> float:
    """By how much the way from one to three turns at two (radians, to the left above 0)."""
    (ax, ay), (bx, by) = (two[0] - one[0], two[1] - one[1]), (three[0] - two[0], three[1] - two[1])
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _turn_about(centre: Point, one: Point, two: Point) -> float:
    """The angle from one to two seen from the centre (radians, to the left above 0)."""
    (ax, ay), (bx, by) = ((x - centre[0], y - centre[1]) for x, y in (one, two))
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)
