"""In which order straight strokes of a knife free shapes from a sheet: from edge to edge through what is left, where they can.

Every stroke lies along a side of a shape. It never runs through a shape, nor through what is kept whole beside the shapes; waste
it may run through. One that goes from edge to edge parts the sheet in hand. Where none can, one that starts at an edge is chosen,
and stops at a corner; an earlier stroke counts as an edge, but for one that only comes up to the line from a side: past that a
stroke goes on where it cuts the next side too. All lengths are mm, in the sheet's own axes.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from remnants.geometry.outline import Point, Ring
from remnants.geometry.segments import Line, away_mm, edges_of
from remnants.geometry.tolerances import DUST_MM

__all__ = ["KNIFE_MM", "Stroke", "strokes"]

KNIFE_MM = 0.5
"""Less than this no knife can take off an edge, and no tape can tell: what lies so near to an edge needs no stroke."""

LEAST_MM = 2 * KNIFE_MM
"""A side of which no more than this is still joined is as good as cut."""

LINE_MM = 0.02
"""Sides of one bearing that lie this near to one line are cut in one stroke."""

_KEPT = 256
"""How many sheets' strokes are remembered: a drawing is made several times until it fits its page."""

Stretch = tuple[float, float]
Run = tuple[float, float, bool, bool]
"""A stretch, and which of its ends lie at an edge."""
Rings = tuple[Ring, ...]


@dataclass(frozen=True, slots=True)
class Stroke:
    """One stroke from `line[0]` to `line[1]` (mm); `starts` and `ends` tell which of them lie at an edge of what is in hand.

    `frees` are the shapes, by their places in what was asked, whose last side it cuts.
    """

    line: Line
    starts: bool
    ends: bool
    frees: tuple[int, ...] = ()

    @property
    def through(self) -> bool:
        """True where it goes from edge to edge."""
        return self.starts and self.ends


@lru_cache(maxsize=_KEPT)
def strokes(sheet: Ring, shapes: tuple[Ring, ...], kept: tuple[Rings, ...] = ()) -> tuple[Stroke, ...]:
    """The strokes that free every shape of the sheet, in order; none for sides that lie at the sheet's edge already.

    Shapes are polygons inside the sheet that don't overlap; `kept` are regions to be left whole, each as its rings, holes among
    them. Curved shapes are for the caller, who passes them as `kept`.
    """
    bench = _Bench(sheet, shapes, [*((shape,) for shape in shapes), *kept])
    made: list[Stroke] = []
    while bench.joined:
        stroke = bench.cut()
        made.append(Stroke(stroke.line, stroke.starts, stroke.ends, bench.freed()))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _Track:
    """A straight line through the sheet: lengths along it run from the foot of the origin. Sides in line share their track."""

    way: Point = field(compare=False)
    off_mm: float = field(compare=False)
    shared: tuple[int, int]

    @staticmethod
    def along(edge: Line) -> "_Track":
        """The track of an edge, the same for both of its directions."""
        (ax, ay), (bx, by) = edge
        length = math.dist(*edge)
        x, y = (bx - ax) / length, (by - ay) / length
        if x < -DUST_MM or (x < DUST_MM and y < 0):
            x, y = -x, -y
        off = ay * x - ax * y
        # Off the round figures, on which sides tend to lie: which of two a length falls to would be chance.
        return _Track((x, y), off, (round(math.atan2(y, x) * 1e6 + 0.137), round(off / LINE_MM + 0.137)))

    def place(self, point: Point) -> Point:
        """How far along the track a point lies, and how far to its left."""
        return point[0] * self.way[0] + point[1] * self.way[1], point[1] * self.way[0] - point[0] * self.way[1] - self.off_mm

    def point(self, along_mm: float) -> Point:
        """The point so far along the track."""
        x, y = self.way
        return along_mm * x - self.off_mm * y, along_mm * y + self.off_mm * x

    def inside(self, rings: Rings) -> list[Stretch]:
        """Where both banks of the track, half a knife's width off it, lie inside the rings."""
        laid = [[self.place(point) for point in ring] for ring in rings]
        return _both(_level(laid, KNIFE_MM / 2), _level(laid, -KNIFE_MM / 2))

    def only_met_by(self, line: Line) -> bool:
        """True where a line comes up to the track from one side and ends there: a stroke along the track passes it."""
        one, two = (self.place(point)[1] for point in line)
        return min(abs(one), abs(two)) <= KNIFE_MM < max(abs(one), abs(two))

    def beside(self, line: Line) -> Stretch | None:
        """The stretch of the track to which a line comes within a knife's width."""
        (s, a), (t, b) = self.place(line[0]), self.place(line[1])
        low, high = 0.0, 1.0
        for start, end, most in ((a, b, KNIFE_MM), (-a, -b, KNIFE_MM)):
            if start > most and end > most:
                return None
            if start > most or end > most:
                share = (most - start) / (end - start)
                low, high = (max(low, share), high) if start > most else (low, min(high, share))
        if low > high:
            return None
        first, last = s + (t - s) * low, s + (t - s) * high
        return min(first, last), max(first, last)


@dataclass(slots=True)
class _Side:
    """A side of a shape on its track, and what of it still hangs together with the carpet beyond."""

    track: _Track
    rest: list[Run]

    @staticmethod
    def of(edge: Line) -> "_Side":
        """An edge of a shape, joined all along."""
        track = _Track.along(edge)
        low, high = sorted(track.place(point)[0] for point in edge)
        return _Side(track, [(low, high, True, True)])

    def part(self, lines: Iterable[Line]) -> None:
        """Takes off what lies beside these lines, which are cut or an edge."""
        self.rest = list(_without(self.rest, _beside(self.track, lines), edge=True))

    @property
    def uncut(self) -> list[Stretch]:
        """What is still to be cut of it."""
        return [(low, high) for low, high, _, _ in self.rest if high - low > LEAST_MM]


class _Bench:
    """Working state: which shapes are still joined by which sides, and for each track where a stroke may still run.

    Both only shrink, so each stroke is taken off what the strokes before it left.
    """

    def __init__(self, sheet: Ring, shapes: Sequence[Ring], whole: Sequence[Rings]) -> None:
        """Notes, for each track, the runs inside the sheet and outside what stays whole, and which ends lie at its edge."""
        self._lines = list(edges_of(sheet, closed=True))
        self.joined = {place: [_Side.of(edge) for edge in edges_of(shape, closed=True)] for place, shape in enumerate(shapes)}
        self._ways: dict[_Track, list[Run]] = {}
        self._looked: dict[Point, int] = {}
        for track in dict.fromkeys(side.track for sides in self.joined.values() for side in sides):
            runs = [(low, high, True, True) for low, high in track.inside((sheet,))]
            for rings in whole:
                runs = list(_without(runs, track.inside(rings), edge=False))
            self._ways[track] = runs
        self._part(self._lines)
        self.freed()

    def freed(self) -> tuple[int, ...]:
        """The shapes, by their places, that came free since this was asked last; they are joined no more."""
        free = tuple(place for place, sides in self.joined.items() if not sides)
        for place in free:
            del self.joined[place]
        return free

    def cut(self) -> Stroke:
        """The next stroke: one from edge to edge, else one that starts at an edge, else any; the one that cuts most of sides."""
        wanted: dict[_Track, list[Stretch]] = {}
        for side in (side for sides in self.joined.values() for side in sides):
            wanted.setdefault(side.track, []).extend(side.uncut)
        choices = [choice for track, parts in wanted.items() for choice in self._choices(track, parts)]
        made = min(choices, key=lambda choice: choice[0])[1] if choices else self._where_it_is(wanted)
        self._lines.append(made.line)
        self._part([made.line])
        for track, runs in self._ways.items():
            if not track.only_met_by(made.line):
                self._ways[track] = list(_without(runs, _beside(track, [made.line]), edge=True))
        return made

    def _part(self, lines: Sequence[Line]) -> None:
        for place, sides in self.joined.items():
            for side in sides:
                side.part(lines)
            self.joined[place] = [side for side in sides if side.uncut]

    def _choices(self, track: _Track, parts: Sequence[Stretch]) -> Iterator[tuple[tuple[float, ...], Stroke]]:
        for low, high, starts, ends in self._ways[track]:
            served = [(max(low, a), min(high, b)) for a, b in parts if min(high, b) - max(low, a) > KNIFE_MM]
            if not served:
                continue
            first = low if starts or self._met(track.point(low)) else min(a for a, _ in served)
            last = high if ends or self._met(track.point(high)) else max(b for _, b in served)
            line = (track.point(first), track.point(last))
            free = (starts or self._met(line[0]), ends or self._met(line[1]))
            made = Stroke(line, *free) if free[0] or not free[1] else Stroke((line[1], line[0]), starts=True, ends=False)
            length = sum(b - a for a, b in served)
            (x, y), _ = made.line
            yield (-sum(free), -round(length, 1), round(y, 1), round(x, 1), *track.way), made

    def _met(self, point: Point) -> bool:
        """True where a point lies at an edge or at a stroke; each of these is asked once."""
        looked = self._looked.get(point, 0)
        while looked < len(self._lines) and away_mm(point, self._lines[looked]) > KNIFE_MM:
            looked += 1
        self._looked[point] = looked
        return looked < len(self._lines)

    @staticmethod
    def _where_it_is(wanted: dict[_Track, list[Stretch]]) -> Stroke:
        """A side where shapes lie over one another, which no sound plan has: cut along itself, so that the work ends."""
        track, parts = next((track, parts) for track, parts in wanted.items() if parts)
        return Stroke((track.point(parts[0][0]), track.point(parts[0][1])), starts=False, ends=False)


def _beside(track: _Track, lines: Iterable[Line]) -> list[Stretch]:
    return [found for line in lines if (found := track.beside(line))]


def _level(laid: Sequence[Sequence[Point]], at: float) -> list[Stretch]:
    """Where the level line at a height lies inside rings, by the even-odd rule."""
    crossings = sorted(
        s + (at - a) * (t - s) / (b - a)
        for ring in laid
        for (s, a), (t, b) in zip(ring, (*ring[1:], ring[0]), strict=True)
        if (a <= at) != (b <= at)
    )
    return list(zip(crossings[::2], crossings[1::2], strict=False))


def _both(one: Sequence[Stretch], two: Sequence[Stretch]) -> list[Stretch]:
    found = [(max(a, c), min(b, d)) for a, b in one for c, d in two]
    return [(low, high) for low, high in found if high - low > KNIFE_MM]


def _without(runs: Iterable[Run], taken: Sequence[Stretch], *, edge: bool) -> Iterator[Run]:
    """The runs less what is taken; new ends count as edges or not. What is shorter than a knife's width goes."""
    for low, high, starts, ends in runs:
        at, at_edge = low, starts
        for first, last in sorted(taken):
            if last <= at or first >= high:
                continue
            if first - at > KNIFE_MM:
                yield at, first, at_edge, edge
            at, at_edge = max(at, last), edge
        if high - at > KNIFE_MM:
            yield at, high, at_edge, ends
