"""Regions and what may be asked of two or more: does one lie in another, do they overlap, do they fill a third?

There is no clipping here, and no area: every answer comes from the stretches of edges. Where an edge runs further than the
tolerance from the edges of another region it is wholly in or wholly out, and one point of it tells which; where it runs along
one, the way both run tells on which sides their insides lie.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise
from typing import NamedTuple

from remnants.proof.lines import DUST_MM, GIVE_MM, Box, Edge, Point, Ring, Stretch, along, edges_of, free, near, nearby

__all__ = [
    "Gap",
    "Region",
    "Touch",
    "area_mm2",
    "can_be_left",
    "gaps",
    "is_sound",
    "overlap_mm",
    "region_of",
    "sticks_out_mm",
    "touching",
]


@dataclass(frozen=True, eq=False)
class Region:
    """What its rings enclose: an outer one, counter-clockwise, and holes, clockwise (mm). Make one with `region_of`."""

    rings: tuple[Ring, ...]

    @cached_property
    def edges(self) -> list[Edge]:
        """All edges, those furthest to the left first."""
        return sorted((edge for ring in self.rings for edge in edges_of(ring)), key=lambda edge: edge.left)

    @cached_property
    def widest_mm(self) -> float:
        """The greatest extent of an edge along x."""
        return max((edge.right - edge.left for edge in self.edges), default=0.0)

    @cached_property
    def box(self) -> Box:
        """(least x, least y, greatest x, greatest y) of the outer ring."""
        xs, ys = [x for x, _ in self.rings[0]], [y for _, y in self.rings[0]]
        return min(xs), min(ys), max(xs), max(ys)

    @cached_property
    def is_upright(self) -> bool:
        """True for a rectangle whose sides run along the axes."""
        left, bottom, right, top = self.box
        corners = (left, bottom), (right, bottom), (right, top), (left, top)
        return len(self.rings) == 1 and len(self.rings[0]) == 4 and set(self.rings[0]) == set(corners)

    def near(self, box: Box, give_mm: float) -> list[Edge]:
        """Edges whose bounds come within `give_mm` of a box."""
        return nearby(box, self.edges, self.widest_mm, give_mm)

    def apart_from(self, other: "Region", give_mm: float) -> bool:
        """True if the bounds of the two overlap by no more than `give_mm`."""
        left, bottom, right, top = self.box
        x1, y1, x2, y2 = other.box
        return right <= x1 + give_mm or x2 <= left + give_mm or top <= y1 + give_mm or y2 <= bottom + give_mm

    def frames(self, other: "Region", give_mm: float) -> bool:
        """True if this is an upright rectangle, and the other lies in it but for `give_mm`."""
        left, bottom, right, top = self.box
        x1, y1, x2, y2 = other.box
        inside = left - give_mm <= x1 and bottom - give_mm <= y1 and x2 <= right + give_mm and y2 <= top + give_mm
        return inside and self.is_upright

    @cached_property
    def levels(self) -> tuple[list[float], list[list[Edge]]]:
        """The heights of all corners, and the edges that cross from each to the next."""
        heights = sorted({y for ring in self.rings for _, y in ring})
        crossing: list[list[Edge]] = [[] for _ in heights]
        for edge in self.edges:
            for level in range(bisect_left(heights, edge.bottom), bisect_left(heights, edge.top)):
                crossing[level].append(edge)
        return heights, crossing

    def holds(self, point: Point) -> bool:
        """True if the point, which lies on no edge, is in the region."""
        x, y = point
        heights, crossing = self.levels
        level = bisect_right(heights, y) - 1
        if level < 0:
            return False
        right = (x < edge.ax + (y - edge.ay) / (edge.by - edge.ay) * (edge.bx - edge.ax) for edge in crossing[level])
        return sum(right) % 2 == 1

    def depth_mm(self, edge: Edge, stretch: Stretch) -> float:
        """How far the middle of a stretch of an edge lies from the edges of the region."""
        x, y = edge.at((stretch[0] + stretch[1]) / 2)
        return min(_distance_mm(x, y, other) for other in self.edges)


def region_of(ring: Ring, cutouts: Sequence[Ring] = ()) -> Region:
    """The region in a ring and outside of its cutouts, whichever way they are written (mm)."""
    return Region((_turning(ring, left=True), *(_turning(cutout, left=False) for cutout in cutouts)))


def _turning(ring: Ring, *, left: bool) -> Ring:
    return ring if (area_mm2(ring) > 0) is left else ring[::-1]


def area_mm2(ring: Sequence[Point]) -> float:
    """Signed area of a ring, mm²: positive when it runs counter-clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True)) / 2


def is_sound(ring: Sequence[Point]) -> bool:
    """True for three corners or more, counter-clockwise, with finite figures, whose edges meet at their shared ends alone."""
    if len(ring) < 3 or not all(math.isfinite(value) for point in ring for value in point) or area_mm2(ring) <= 0:
        return False
    turning = edges_of(ring)
    for before, edge in zip((turning[-1], *turning), turning, strict=False):
        if before.ux * edge.ux + before.uy * edge.uy < 0 and abs(before.ux * edge.uy - before.uy * edge.ux) < DUST_MM:
            return False
    place = {edge.number: index for index, edge in enumerate(turning)}
    region = Region((tuple(ring),))
    for index, edge in enumerate(turning):
        for other in region.near(edge.box, DUST_MM):
            beside = (place[other.number] - index) % len(turning) in (0, 1, len(turning) - 1)
            if not beside and near(edge, other, DUST_MM) is not None:
                return False
    return True


def can_be_left(ring: Ring, cutouts: Sequence[Ring]) -> bool:
    """True for a sound ring and sound cutouts, either way round, that lie in it and don't overlap."""
    if not is_sound(ring) or not all(is_sound(cutout) or is_sound(cutout[::-1]) for cutout in cutouts):
        return False
    whole, holes = region_of(ring), [region_of(cutout) for cutout in cutouts]
    if any(sticks_out_mm(hole, whole) for hole in holes):
        return False
    return not any(overlap_mm(one, two) for one, two in combinations(holes, 2))


def overlap_mm(one: Region, two: Region, give_mm: float = GIVE_MM) -> float:
    """How deep one region reaches into another, as far as their edges tell (mm); 0 if by no more than `give_mm`."""
    if one.apart_from(two, give_mm):
        return 0.0
    deep = (*_strays(one, two, give_mm, within=True), *_strays(two, one, give_mm, within=True))
    return max((*deep, _side_by_side_mm(one, two, give_mm, same_way=True)))


def sticks_out_mm(one: Region, whole: Region, give_mm: float = GIVE_MM) -> float:
    """How far one region reaches out of another, as far as their edges tell (mm); 0 if by no more than `give_mm`."""
    if whole.frames(one, give_mm):
        return 0.0
    out = (*_strays(one, whole, give_mm, within=False), *_strays(whole, one, give_mm, within=True))
    return max((*out, _side_by_side_mm(one, whole, give_mm, same_way=False)))


def _side_by_side_mm(one: Region, two: Region, give_mm: float, *, same_way: bool) -> float:
    """The longest stretch along which edges of two regions run side by side, both ways alike or not.

    Where either has an edge that runs along the other's the other way round too, it is itself thinner than `give_mm` there.
    """
    longest = math.inf
    for here, there in ((one, two), (two, one)):
        lengths = [0.0]
        touches = touching(here, there, give_mm)
        for touch in touches:
            if touch.same_way is same_way:
                right = [each.stretch for each in touches if each.edge is touch.edge and each.same_way is not same_way]
                before = (0.0, touch.stretch[0])
                lengths += [end - start for start, end in free(touch.stretch[1], [before, *right], 2 * give_mm)]
        longest = min(longest, max(lengths))
        if longest == 0.0:
            break
    return longest


def _strays(one: Region, two: Region, give_mm: float, *, within: bool) -> Iterator[float]:
    """For each stretch of the first's edges further than `give_mm` from the second's, within it or without: how far."""
    for edge in one.near(two.box, 0.0) if within else one.edges:
        found = (near(edge, other, give_mm) for other in two.near(edge.box, give_mm))
        for stretch in free(edge.length, [each for each in found if each]):
            if two.holds(edge.at((stretch[0] + stretch[1]) / 2)) is within:
                yield two.depth_mm(edge, stretch)


class Touch(NamedTuple):
    """Where an edge (its number) of one region runs along one of another, as a stretch of it; both ways alike or not."""

    edge: Edge
    other: Edge
    stretch: Stretch
    same_way: bool

    @property
    def length_mm(self) -> float:
        """How long."""
        return self.stretch[1] - self.stretch[0]


def touching(one: Region, two: Region, give_mm: float = GIVE_MM) -> list[Touch]:
    """Every stretch over twice `give_mm` long, or half its edge, where edges of two regions run side by side within it."""
    found = []
    for edge in one.edges:
        for other in two.near(edge.box, give_mm):
            stretch = along(edge, other, give_mm)
            if stretch is not None and stretch[1] - stretch[0] > min(2 * give_mm, edge.length / 2):
                found.append(Touch(edge, other, stretch, edge.ux * other.ux + edge.uy * other.uy > 0))
    return found


class Gap(NamedTuple):
    """A stretch where nothing lies beside an edge: of a region, by its number, or of the whole (-1)."""

    owner: int
    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """How long."""
        return math.dist(self.start, self.end)


def gaps(whole: Region, regions: Sequence[Region], give_mm: float = GIVE_MM) -> list[Gap]:
    """Where regions, which don't overlap where it matters, leave something of the whole bare: the edges of what is bare.

    Each stretch of an edge must have on its other side the outside of the whole, or another region: one whose edge runs back
    along it within `give_mm`, or one that it lies in. Each stretch of the whole's own edges must have a region inside.
    """
    merged = sorted(
        ((edge, owner) for owner, region in enumerate(regions) for edge in region.edges), key=lambda pair: pair[0].left
    )
    edges = [edge for edge, _ in merged]
    owner_of = {id(edge): owner for edge, owner in merged}
    widest = max((edge.right - edge.left for edge in edges), default=0.0)
    found = []
    for edge, owner in (*((edge, -1) for edge in whole.edges), *merged):
        taken, breaks = [], [0.0, edge.length]
        if owner >= 0:
            taken = [each for other in whole.near(edge.box, give_mm) if (each := near(edge, other, give_mm))]
        for other in nearby(edge.box, edges, widest, give_mm):
            stretch = near(edge, other, give_mm) if owner_of[id(other)] != owner else None
            if stretch is None:
                continue
            way = edge.ux * other.ux + edge.uy * other.uy
            if way * (1 if owner < 0 else -1) > DUST_MM:
                taken.append(stretch)
            else:
                breaks += stretch
        for low, high in free(edge.length, taken, give_mm):
            found += [
                Gap(owner, edge.at(start), edge.at(end))
                for start, end in _pieces(low, high, breaks)
                if end - start > give_mm and _is_bare(edge.at((start + end) / 2), owner, whole, regions)
            ]
    return found


def _pieces(low: float, high: float, breaks: Sequence[float]) -> list[Stretch]:
    marks = sorted({low, high, *(at for at in breaks if low < at < high)})
    return list(pairwise(marks))


def _is_bare(point: Point, owner: int, whole: Region, regions: Sequence[Region]) -> bool:
    if owner >= 0 and not whole.holds(point):
        return False
    return not any(index != owner and region.holds(point) for index, region in enumerate(regions))


def _distance_mm(x: float, y: float, edge: Edge) -> float:
    at = max(0.0, min(edge.length, (x - edge.ax) * edge.ux + (y - edge.ay) * edge.uy))
    return math.hypot(x - edge.ax - at * edge.ux, y - edge.ay - at * edge.uy)
