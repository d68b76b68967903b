"""How wide and long the cuts between two seams of a room are, looked up often: in a room of straight walls without geometry.

There, between the same two corners, a breadth that moves its seams keeps the lengths of its parts.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.estimating.rooms.room_at_bearing import Site
from remnants.geometry import TOLERANCE_MM

__all__ = ["BreadthLengths"]

Key = tuple[int, bool, int, bool]
Sides = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of the floor between two seams: its sides without and with trims (mm), and the length to cut."""

    net: Sides
    cut: Sides
    long_mm: float

    def moved(self, by_low: float, by_high: float, seams: Sides) -> tuple[float, float]:
        """Its width without and with trims when the seams are moved by so much; a side that is no seam stays."""
        more = by_high if abs(self.net[1] - seams[1]) <= TOLERANCE_MM else 0.0
        more -= by_low if abs(self.net[0] - seams[0]) <= TOLERANCE_MM else 0.0
        return self.net[1] - self.net[0] + more, self.cut[1] - self.cut[0] + more


class BreadthLengths:
    """Widths and lengths to cut (mm) between any two places of a room."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._corners = sorted({x for ring in (site.floor.ring, *site.floor.cutouts) for x, _ in ring})
        self._known: dict[Key, tuple[Sides, tuple[_Part, ...]]] = {}

    def of(self, low: float, high: float) -> tuple[tuple[float, float], ...] | None:
        """(width, length) of every cut for the floor between x = `low` and `high`; None if one is a sliver or too wide."""
        if not self._site.is_straight:
            parts = self._parts(low, high)
            return _fitting(self._site, [(*part.moved(0.0, 0.0, part.net), part.long_mm) for part in parts])
        key = (*self._spot(low), *self._spot(high))
        if key not in self._known:
            self._known[key] = (low, high), self._parts(low, high)
        seams, known = self._known[key]
        by_low, by_high = low - seams[0], high - seams[1]
        return _fitting(self._site, [(*part.moved(by_low, by_high, seams), part.long_mm) for part in known])

    def _parts(self, low: float, high: float) -> tuple[_Part, ...]:
        site, found = self._site, []
        for part in site.band(low, high):
            left, under, right, over = site.box_of(part)
            long = site.rules.cut_length_mm(over - under, site.roll.repeat)
            found.append(_Part((part.bounds[0], part.bounds[2]), (left, right), long))
        return tuple(found)

    def _spot(self, place: float) -> tuple[int, bool]:
        """How many corners lie before the place, and whether it lies on the next one."""
        index = bisect_left(self._corners, place - TOLERANCE_MM)
        return index, index < len(self._corners) and self._corners[index] <= place + TOLERANCE_MM


def _fitting(site: Site, sizes: Sequence[tuple[float, float, float]]) -> tuple[tuple[float, float], ...] | None:
    """(width, length) to cut of each, told as (net width, width, length); None if one is a sliver or too wide."""
    if not all(site.fits(net, wide) for net, wide, _ in sizes):
        return None
    return tuple((wide, long) for _, wide, long in sizes)
