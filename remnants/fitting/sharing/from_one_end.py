"""Many parts of any outline on one donor, none turned, laid from one end on: the likeliest beginnings go on beside one another.

Each is carried on by every part that is left, in the lowest place that it has there. Those go on that waste least under their
front for what they hold, with large parts before small ones, and in which every part that is left has a place still. Places are
exact, and kept up by taking away what each part laid bars to the others. What is found is proved, and a "no" is none.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.sharing.put_back import Parts, put_back
from remnants.geometry.beside import Step, barred, lowest, places, quarter_turned, still_open
from remnants.geometry.lie import MICRONS, Ground, Paths
from remnants.geometry.outline import Outline, Point, Ring, area_mm2, bounds
from remnants.geometry.turn import turned, turned_point, turned_ring

__all__ = ["Ends", "Way"]

Floats = NDArray[np.float64]

Laid = tuple[tuple[int, Point], ...]
"""Number and move (mm) of each part that lies there."""

A_STEP = 1800
"""Beginnings carried on in one step of work, times the parts that there are."""

COLUMNS = 150
"""Columns in which the front is measured."""

LOOKED_AT = 4
"""Beginnings looked at for each that goes on, until so many are found in which every part left has a place."""

ENDS = (0, 1, 2, 3)
"""Quarter turns that bring each end of the piece to the bottom in turn, from which it is filled up."""


@dataclass(frozen=True)
class Way:
    """How parts are laid: so many beginnings beside one another; what of all that is held counts as wasted anyhow: the more, the
    sooner large parts are laid, with gaps too; how much a place further left is worth against one that is lower.
    """

    width: int
    anyhow: float
    lean: float


@dataclass(frozen=True, eq=False)
class _Beginning:
    """Parts that lie on a donor, the first one first, and the places of those that still have some; the front (mm)."""

    laid: tuple[tuple[int, Step], ...]
    places: dict[int, Paths]
    front: Floats
    under_mm2: float
    area_mm2: float
    highest_mm: float


@dataclass(frozen=True, eq=False)
class _Next:
    """A beginning, the part that carries it on and where; what then lies under the front, what is held, how high that is."""

    before: _Beginning
    number: int
    move: Step
    under_mm2: float
    area_mm2: float
    highest_mm: float
    wasted: float


class Ends:
    """Parts and a donor, and what is worked out of them once, however often they are laid."""

    def __init__(self, rings: Sequence[Ring], outline: Outline) -> None:
        """Nothing is worked out yet."""
        self.rings, self.outline = rings, outline
        self._barred: dict[tuple[int, int], Paths] = {}
        self._ends: dict[int, _End] = {}

    def laid(self, way: Way) -> Iterator[Laid]:
        """The most laid one way from any end, from the left and then from the right, after each step of work.

        Where a few have no place then, some of the others are taken out and put back with them.
        """
        best: Laid = ()
        done = 0
        for each in (way, replace(way, lean=-way.lean)):
            for quarters in ENDS:
                for beam in self._end(quarters).beams(each):
                    if len(beam[0].laid) > len(best):
                        best = tuple((number, self._back(move, quarters)) for number, move in beam[0].laid)
                    done += len(beam) * len(self.rings)
                    if done >= A_STEP:
                        done = 0
                        yield best
                if len(best) == len(self.rings):
                    yield best
                    return
        yield best
        moves = {number: (round(x * MICRONS), round(y * MICRONS)) for number, (x, y) in best}
        for found in put_back(Parts(self.rings, self._end(0).places, self.barred), moves):
            yield tuple((number, self._back(move, 0)) for number, move in found.items())

    def barred(self, laid: int, part: int) -> Paths:
        """What one part bars to another, by their numbers, in the donor's own axes."""
        known = self._barred.get((laid, part))
        if known is None:
            known = self._barred[laid, part] = barred(self.rings[laid], self.rings[part])
        return known

    def _end(self, quarters: int) -> "_End":
        if quarters not in self._ends:
            self._ends[quarters] = _End(self, quarters)
        return self._ends[quarters]

    def _back(self, move: Step, quarters: int) -> Point:
        return turned_point((move[0] / MICRONS, move[1] / MICRONS), -90.0 * quarters)


class _End:
    """The same with one end at the bottom."""

    def __init__(self, parts: Ends, quarters: int) -> None:
        self.parts, self.quarters = parts, quarters
        rings = [turned_ring(ring, 90.0 * quarters) for ring in parts.rings]
        outline = turned(parts.outline, 90.0 * quarters)
        self.places = {number: here for number, ring in enumerate(rings) if (here := places(Ground(outline), ring))}
        self.areas = [abs(area_mm2(ring)) for ring in rings]
        self.left, self.bottom, right, _ = outline.bounds
        self.step = (right - self.left) / COLUMNS
        self.cutouts = [(bounds(ring)[3], abs(area_mm2(ring))) for ring in outline.cutouts]
        self.tops, self.heights = [self._top(ring) for ring in rings], [bounds(ring)[3] for ring in rings]
        self._barred: dict[tuple[int, int], Paths] = {}

    def _top(self, ring: Ring) -> tuple[float, Floats]:
        """Where a ring begins, and its height over each column from there."""
        left, _, right, _ = bounds(ring)
        columns = left + self.step * (np.arange(int(np.ceil((right - left) / self.step))) + 0.5)
        top = np.full(len(columns), -np.inf)
        for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
            first, last = np.searchsorted(columns, sorted((x1, x2)))
            if first < last:
                top[first:last] = np.maximum(top[first:last], y1 + (y2 - y1) / (x2 - x1) * (columns[first:last] - x1))
        return left, top

    def beams(self, way: Way) -> Iterator[list[_Beginning]]:
        """The beginnings of one part, of two, and so on, the likeliest first, as long as there are any."""
        beam = [_Beginning((), self.places, np.full(COLUMNS, self.bottom), 0.0, 0.0, self.bottom)]
        while beam:
            found = {
                frozenset((*next_.before.laid, (next_.number, next_.move))): next_
                for beginning in beam
                for next_ in self._carried_on(beginning, way)
            }
            beam = self._likeliest(sorted(found.values(), key=lambda each: each.wasted), way.width)
            if beam:
                yield beam

    def _carried_on(self, beginning: _Beginning, way: Way) -> Iterator[_Next]:
        """The beginning with each part more that has a place, in its lowest one."""
        for number, here in beginning.places.items():
            move = lowest(here, lean=way.lean)
            first, top = self._over(number, move)
            under = beginning.front[first : first + len(top)]
            under_mm2 = beginning.under_mm2 + float((np.maximum(under, top) - under).sum()) * self.step
            area_mm2 = beginning.area_mm2 + self.areas[number]
            highest = max(beginning.highest_mm, self.heights[number] + move[1] / MICRONS)
            wasted = self._wasted(under_mm2, area_mm2, highest, way.anyhow) * (len(beginning.laid) + 1) / area_mm2
            yield _Next(beginning, number, move, under_mm2, area_mm2, highest, wasted)

    def _over(self, number: int, move: Step) -> tuple[int, Floats]:
        """The first column that a part lies over, to the nearest one, and its height there and over those that follow."""
        left, top = self.tops[number]
        first = max(round((left + move[0] / MICRONS - self.left) / self.step), 0)
        return first, top[: COLUMNS - first] + move[1] / MICRONS

    def _wasted(self, under_mm2: float, area_mm2: float, highest_mm: float, anyhow: float) -> float:
        """What lies bare under the front for what is held: with small parts laid it counts for more, so large ones go first."""
        cut_out = sum(area for top, area in self.cutouts if top <= highest_mm)
        return anyhow + max(under_mm2 - area_mm2 - cut_out, 0.0) / area_mm2

    def _likeliest(self, found: Sequence[_Next], width: int) -> list[_Beginning]:
        """The first in which each part left has a place, so many; where they are too few, those in which most parts have one."""
        sound, short = list[_Beginning](), list[_Beginning]()
        for each in found[: LOOKED_AT * width]:
            beginning = self._made(each)
            whole = len(beginning.laid) + len(beginning.places) == len(self.parts.rings)
            (sound if whole else short).append(beginning)
            if len(sound) == width:
                break
        short.sort(key=lambda beginning: -len(beginning.places))
        return sound + short[: width - len(sound)]

    def _made(self, found: _Next) -> _Beginning:
        open_to = {}
        for number, here in found.before.places.items():
            if number != found.number and (left := still_open(here, self._bars(found.number, number), found.move)):
                open_to[number] = left
        front = found.before.front.copy()
        first, top = self._over(found.number, found.move)
        over = front[first : first + len(top)]
        np.maximum(over, top, out=over)
        laid = (*found.before.laid, (found.number, found.move))
        return _Beginning(laid, open_to, front, found.under_mm2, found.area_mm2, found.highest_mm)

    def _bars(self, laid: int, part: int) -> Paths:
        known = self._barred.get((laid, part))
        if known is None:
            known = self._barred[laid, part] = quarter_turned(self.parts.barred(laid, part), self.quarters)
        return known
