"""Straight edges, and which stretches of one lie along or near another. Lengths are mm; a ring's inside is on its edges' left."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from operator import attrgetter
from typing import NamedTuple

__all__ = [
    "DUST_MM",
    "GIVE_MM",
    "SLACK_MM",
    "TOLERANCE_MM",
    "Box",
    "Edge",
    "Point",
    "Ring",
    "Stretch",
    "along",
    "edges_of",
    "free",
    "near",
    "nearby",
]

Point = tuple[float, float]
Ring = tuple[Point, ...]
Stretch = tuple[float, float]
"""From where to where along an edge, mm from its start."""

Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""

TOLERANCE_MM = 0.01
"""Two lengths this near are equal: the one tolerance, told anew so that the proof leans on nobody; a test holds both equal."""

DUST_MM = 1e-6
"""Shorter than this is no length: a hundred times what floats lose within a kilometre, a ten-thousandth of the tolerance."""

SLACK_MM = 1e-4
"""What turning, moving and writing to a file may add to the tolerance; so little comes out beside an edge almost alongside."""

GIVE_MM = TOLERANCE_MM + SLACK_MM
"""The tolerance, and what may add to it."""

_FLAT = 1e-12
"""Slope below which a line neither nears nor leaves another within a kilometre."""


class Edge(NamedTuple):
    """A straight edge from (ax, ay) to (bx, by), its direction (ux, uy), length and bounds (mm), and its number in the ring."""

    ax: float
    ay: float
    bx: float
    by: float
    ux: float
    uy: float
    length: float
    left: float
    bottom: float
    right: float
    top: float
    number: int

    @property
    def box(self) -> Box:
        """Its bounds."""
        return self[7:11]

    def at(self, mm: float) -> Point:
        """The point so many mm from the start."""
        return self.ax + mm * self.ux, self.ay + mm * self.uy


def edges_of(ring: Sequence[Point]) -> list[Edge]:
    """The edges of a ring (mm), numbered by the corner they start at; those without length are left out."""
    made = []
    for number, (ax, ay) in enumerate(ring):
        bx, by = ring[(number + 1) % len(ring)]
        length = math.hypot(bx - ax, by - ay)
        if length > DUST_MM:
            box = min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)
            made.append(Edge(ax, ay, bx, by, (bx - ax) / length, (by - ay) / length, length, *box, number))
    return made


def nearby(box: Box, edges: Sequence[Edge], widest_mm: float, give_mm: float) -> list[Edge]:
    """Those of the edges, sorted by `left` and none wider than `widest_mm`, whose bounds come within `give_mm` of the box."""
    left, low, right, high = box[0] - give_mm, box[1] - give_mm, box[2] + give_mm, box[3] + give_mm
    first = bisect_left(edges, left - widest_mm, key=attrgetter("left"))
    last = bisect_right(edges, right, key=attrgetter("left"))
    return [edge for edge in edges[first:last] if edge.bottom <= high and edge.top >= low and edge.right >= left]


def near(edge: Edge, other: Edge, give_mm: float) -> Stretch | None:
    """The stretch of `edge` that is no further than `give_mm` from `other`, or None."""
    x, y = edge.ax - other.ax, edge.ay - other.ay
    beside = _between(-(x * other.ux + y * other.uy), other.length, edge.ux * other.ux + edge.uy * other.uy)
    level = _between(-give_mm - (other.ux * y - other.uy * x), 2 * give_mm, other.ux * edge.uy - other.uy * edge.ux)
    low, high = math.inf, -math.inf
    if beside and level and max(beside[0], level[0]) <= min(beside[1], level[1]):
        low, high = max(beside[0], level[0]), min(beside[1], level[1])
    for x, y in ((other.ax - edge.ax, other.ay - edge.ay), (other.bx - edge.ax, other.by - edge.ay)):
        off = edge.ux * y - edge.uy * x
        if abs(off) <= give_mm:
            middle, half = x * edge.ux + y * edge.uy, math.sqrt(give_mm * give_mm - off * off)
            low, high = min(low, middle - half), max(high, middle + half)
    low, high = max(low, 0.0), min(high, edge.length)
    return (low, high) if low <= high else None


def _between(start: float, width: float, slope: float) -> Stretch | None:
    """Where slope times t lies from `start` to `start` + `width`."""
    if abs(slope) < _FLAT:
        return (-math.inf, math.inf) if start <= 0 <= start + width else None
    one, two = start / slope, (start + width) / slope
    return (one, two) if one <= two else (two, one)


def along(edge: Edge, other: Edge, give_mm: float) -> Stretch | None:
    """The stretch of `edge` that `other` runs along side by side, either way, never further off than `give_mm`; or None."""
    start = (other.ax - edge.ax) * edge.ux + (other.ay - edge.ay) * edge.uy
    end = (other.bx - edge.ax) * edge.ux + (other.by - edge.ay) * edge.uy
    low, high = max(0.0, min(start, end)), min(edge.length, max(start, end))
    if high - low <= min(give_mm, edge.length / 2, other.length / 2):
        return None
    first = edge.ux * (other.ay - edge.ay) - edge.uy * (other.ax - edge.ax)
    slope = ((edge.ux * (other.by - edge.ay) - edge.uy * (other.bx - edge.ax)) - first) / (end - start)
    if max(abs(first + (low - start) * slope), abs(first + (high - start) * slope)) > give_mm:
        return None
    return low, high


def free(length_mm: float, taken: Iterable[Stretch], least_mm: float = DUST_MM) -> Iterator[Stretch]:
    """The stretches from 0 to `length_mm` that no taken one holds, but for those not longer than `least_mm`."""
    at = 0.0
    for low, high in sorted(taken):
        if low - at > least_mm:
            yield at, low
        at = max(at, high)
    if length_mm - at > least_mm:
        yield at, length_mm
