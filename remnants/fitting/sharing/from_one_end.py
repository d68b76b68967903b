"""Many parts of any outline on one donor, none turned, laid from one end on: the likeliest beginnings go on beside one another.

Each is carried on by every part that is left, in a lowest place that it has there or in the one furthest left. Those go on that
waste least under their front for what they hold, with large parts before small ones. Places are exact; what is found is proved,
and a "no" is none.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from remnants.geometry.lie import Ground, region
from remnants.geometry.outline import Outline, Point, Ring, area_mm2, bounds
from remnants.geometry.turn import moved_ring

__all__ = ["Beginning", "laid_from_one_end"]

Floats = NDArray[np.float64]

A_STEP = 4
"""Beginnings carried on in one step of work."""

COLUMNS = 150
"""Columns in which the front is measured."""


@dataclass(frozen=True, eq=False)
class Beginning:
    """Parts that lie on a donor (number and move, the first one first), what is left of it, and the height of the front (mm)."""

    outline: Outline
    laid: tuple[tuple[int, Point], ...]
    front: Floats
    area_mm2: float

    @cached_property
    def ground(self) -> Ground:
        """What is left of the donor."""
        return Ground(self.outline)


class _Parts:
    """The parts, and what is measured of them and of the donor once."""

    def __init__(self, rings: Sequence[Ring], outline: Outline) -> None:
        self.rings = rings
        self.areas = [abs(area_mm2(ring)) for ring in rings]
        left, self.bottom, right, _ = outline.bounds
        self.step = (right - left) / COLUMNS
        self.columns = left + self.step * (np.arange(COLUMNS) + 0.5)
        self.cutouts = [(bounds(ring)[3], abs(area_mm2(ring))) for ring in outline.cutouts]

    def top(self, ring: Ring) -> Floats:
        """The height of a ring over each column; minus infinity where it isn't."""
        top = np.full(COLUMNS, -np.inf)
        for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
            first, last = np.searchsorted(self.columns, sorted((x1, x2)))
            if first < last:
                over = y1 + (y2 - y1) / (x2 - x1) * (self.columns[first:last] - x1)
                top[first:last] = np.maximum(top[first:last], over)
        return top

    def wasted(self, beginning: Beginning) -> float:
        """What lies bare under the front for what is held, and for how large its parts are: the least is the likeliest."""
        under = float((beginning.front - self.bottom).sum()) * self.step
        highest = float(beginning.front.max())
        cut_out = sum(area for top, area in self.cutouts if top <= highest)
        waste = max(under - beginning.area_mm2 - cut_out, 0.0)
        return (waste + 1.0) * len(beginning.laid) / beginning.area_mm2**2


def laid_from_one_end(rings: Sequence[Ring], outline: Outline, width: int) -> Iterator[tuple[tuple[int, Point], ...]]:
    """The most that so many beginnings beside one another came to, after each step of work: number and move (mm) of each part."""
    parts = _Parts(rings, outline)
    beam = [Beginning(outline, (), np.full(COLUMNS, parts.bottom), 0.0)]
    best: tuple[tuple[int, Point], ...] = ()
    while beam:
        found: dict[frozenset[tuple[int, Point]], Beginning] = {}
        for few in range(0, len(beam), A_STEP):
            found |= {
                frozenset(after.laid): after for beginning in beam[few : few + A_STEP] for after in _carried_on(parts, beginning)
            }
            yield best
        beam = sorted(found.values(), key=parts.wasted)[:width]
        best = beam[0].laid if beam else best
        yield best


def _carried_on(parts: _Parts, beginning: Beginning) -> Iterator[Beginning]:
    """The beginning with each part more that has a place: in the lowest one at the left, in that at the right, furthest left."""
    there = {number for number, _ in beginning.laid}
    for number, ring in enumerate(parts.rings):
        if number in there:
            continue
        corners = region(beginning.ground, ring, slack=False).corners() or region(beginning.ground, ring).middles()
        if not corners:
            continue
        lowest = round(corners[0][1], 1)
        places = corners[0], max(corner for corner in corners if round(corner[1], 1) == lowest), min(corners)
        for move in dict.fromkeys(places):
            lies = moved_ring(ring, move)
            yield Beginning(
                Outline(beginning.outline.ring, (*beginning.outline.cutouts, lies)),
                (*beginning.laid, (number, move)),
                np.maximum(beginning.front, parts.top(lies)),
                beginning.area_mm2 + parts.areas[number],
            )
