"""Patches and parts in the pile frame (pile up, +y; mm), and the straight seams that can split them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from remnants.geometry.core import common_core
from remnants.geometry.grow import grown
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, bounds, is_simple
from remnants.model.patch import Allowance, Finish

__all__ = ["Axis", "Shape", "Split", "splits"]


class Axis(IntEnum):
    """What a seam's position is measured along: ACROSS the pile for a side seam (x), ALONG it for a cross seam (y)."""

    ACROSS = 0
    ALONG = 1


@dataclass(frozen=True)
class Shape:
    """A net region with the finish of each edge, counter-clockwise, and the allowance its cut must carry.

    `seamed` holds the axes along which a seam has already narrowed it.
    """

    ring: Ring
    finishes: tuple[Finish, ...]
    allowance: Allowance
    seamed: frozenset[Axis] = frozenset()

    @cached_property
    def extras(self) -> tuple[float, ...]:
        """Allowance of each edge, mm."""
        return tuple(self.allowance.of(finish) for finish in self.finishes)

    @cached_property
    def cut(self) -> Ring:
        """Net plus allowance, mitred."""
        cut = grown(self.ring, self.extras)
        if not self.is_rectangle or len(cut) == 4:
            return cut
        left, bottom, right, top = bounds(cut)
        return (left, bottom), (right, bottom), (right, top), (left, top)

    @cached_property
    def cut_box(self) -> tuple[float, float, float, float]:
        """Bounds of the cut, mm."""
        return bounds(self.cut)

    @cached_property
    def is_simple(self) -> bool:
        """False where a seam through an inward corner has pinched the net to a point, or left nothing of it."""
        return self.is_rectangle or (len(self.ring) > 2 and is_simple(self.ring))

    @cached_property
    def is_rectangle(self) -> bool:
        """True if both net and cut are rectangles along the axes, also where a side has corners on it, as beside a doorway."""
        return Outline(self.ring).is_rectangle or (len(self.ring) > 4 and self._has_four_sides())

    def _has_four_sides(self) -> bool:
        """True if all edges lie on the sides of the box round the ring, those of one side taking the same."""
        taken: dict[tuple[int, int], float] = {}
        for start, end, extra in zip(self.ring, (*self.ring[1:], self.ring[0]), self.extras, strict=True):
            sides = [
                (axis, end_of) for axis in (0, 1) for end_of in (0, 2) if start[axis] == end[axis] == self.box[axis + end_of]
            ]
            if not sides or taken.setdefault(sides[0], extra) != extra:
                return False
        left, bottom, right, top = self.box
        area = (right - left) * (top - bottom)
        return len(taken) == 4 and abs(area_mm2(self.ring) - area) <= TOLERANCE_MM * TOLERANCE_MM

    @cached_property
    def families(self) -> dict[Axis, tuple["Split", ...]]:
        """The families of seams through it that were asked for: each is made once, and so are its halves."""
        return {}

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Bounds of the net ring, mm."""
        return bounds(self.ring)

    def extent(self, axis: Axis) -> float:
        """Extent of the net ring along an axis, mm."""
        return self.box[axis + 2] - self.box[axis]

    def wide_enough(self, min_part_mm: float) -> bool:
        """True if no seam has left it narrower than the smallest part allowed."""
        return all(self.extent(axis) >= min_part_mm - TOLERANCE_MM for axis in self.seamed)


@dataclass(frozen=True)
class Split:
    """A family of straight seams across `shape` from edge `rising` to edge `falling`, at positions low..high along `axis`.

    The ring runs up the axis on edge `rising` and down it on edge `falling`. As the position grows, the low half grows and the
    high half shrinks.
    """

    shape: Shape
    axis: Axis
    low: float
    high: float
    rising: int
    falling: int

    @cached_property
    def known(self) -> dict[float, tuple["Shape", "Shape"]]:
        """Halves already made, by seam position."""
        return {}

    @cached_property
    def measured(self) -> dict[tuple[float, bool], NDArray[np.float64]]:
        """What the low part (True) and the high part were found to take at the least, by seam position."""
        return {}

    def halves(self, at: float) -> tuple[Shape, Shape]:
        """The low and the high half of the shape with the seam at position `at` (mm)."""
        if at not in self.known:
            self.known[at] = self._halves(at)
        return self.known[at]

    def core(self, at: float, beside: float, *, side: int) -> Ring | None:
        """What the cuts of the low half (side 0), or of the high one, have in common with the seam at two positions (mm).

        A ring of few corners, which lies wherever either does; None where that is no single ring.
        """
        if (at, beside, side) not in self._cores:
            shapes = [self.halves(place)[side] for place in (at, beside)]
            simple = all(shape.is_simple for shape in shapes)
            self._cores[at, beside, side] = common_core(shapes[0].cut, shapes[1].cut) if simple else None
        return self._cores[at, beside, side]

    @cached_property
    def _cores(self) -> dict[tuple[float, float, int], Ring | None]:
        return {}

    def _halves(self, at: float) -> tuple[Shape, Shape]:
        ring, finishes, count = self.shape.ring, self.shape.finishes, len(self.shape.ring)
        up, down = self._on(self.rising, at), self._on(self.falling, at)
        ahead = [(self.rising + 1 + step) % count for step in range((self.falling - self.rising) % count)]
        behind = [(self.falling + 1 + step) % count for step in range((self.rising - self.falling) % count)]
        high = self._half((up, *(ring[i] for i in ahead), down), (finishes[self.rising], *(finishes[i] for i in ahead)))
        low = self._half((down, *(ring[i] for i in behind), up), (finishes[self.falling], *(finishes[i] for i in behind)))
        return low, high

    @cached_property
    def uneven(self) -> bool:
        """True between edges of which one slants and takes less than a joint: the joint's strip sticks out beside it."""
        for edge in (self.rising, self.falling):
            start, end = self.shape.ring[edge], self.shape.ring[(edge + 1) % len(self.shape.ring)]
            slants = abs(start[1 - self.axis] - end[1 - self.axis]) > TOLERANCE_MM
            if slants and self.shape.extras[edge] < self.shape.allowance.seam_mm:
                return True
        return False

    def line(self, at: float) -> tuple[Point, Point]:
        """The seam at position `at`, in the shape's axes."""
        first, second = sorted((self._on(self.rising, at), self._on(self.falling, at)))
        return first, second

    def limits(self, min_part_mm: float) -> tuple[float, float]:
        """The positions at which no seam leaves a half narrower than the smallest part allowed; low > high if there are none.

        A half only grows with the seam moving away from it, so each axis that a seam has narrowed cuts off one end.
        """
        behind, ahead = self._corners(self.falling, self.rising), self._corners(self.rising, self.falling)
        low, high, own = self.low, self.high, self.axis
        places = [point[own] for point in behind]
        if max(places) - min(places) < min_part_mm:
            low = max(low, min(places) + min_part_mm)
        places = [point[own] for point in ahead]
        if max(places) - min(places) < min_part_mm:
            high = min(high, max(places) - min_part_mm)
        if Axis(1 - own) in self.shape.seamed and low <= high:
            low = self._wide_from(behind, low, high, min_part_mm)
            high = self._wide_from(ahead, high, low, min_part_mm) if low <= high else high
        return low, high

    def _corners(self, after: int, until: int) -> list[Point]:
        """The corners from the end of edge `after` to the start of edge `until`."""
        count = len(self.shape.ring)
        return [self.shape.ring[(after + 1 + step) % count] for step in range((until - after) % count)]

    def _wide_from(self, corners: Sequence[Point], near: float, far: float, min_part_mm: float) -> float:
        """The first position from `near` on to `far` at which the half with these corners is wide enough along the seams.

        Past `far` if there is none.
        """
        along = 1 - self.axis
        places = [point[along] for point in corners]

        def wide(at: float) -> bool:
            ends = [*places, self._on(self.rising, at)[along], self._on(self.falling, at)[along]]
            return max(ends) - min(ends) >= min_part_mm - TOLERANCE_MM

        if wide(near):
            return near
        if not wide(far):
            return far + (far - near) + (1.0 if far >= near else -1.0)
        while abs(far - near) > TOLERANCE_MM / 100:
            middle = (near + far) / 2
            near, far = (near, middle) if wide(middle) else (middle, far)
        return far

    def _on(self, edge: int, at: float) -> Point:
        """The point of an edge at this position along the axis."""
        start, end = self.shape.ring[edge], self.shape.ring[(edge + 1) % len(self.shape.ring)]
        share = (at - start[self.axis]) / (end[self.axis] - start[self.axis])
        other = start[1 - self.axis] + share * (end[1 - self.axis] - start[1 - self.axis])
        return (at, other) if self.axis is Axis.ACROSS else (other, at)

    def _half(self, ring: Ring, finishes: tuple[Finish, ...]) -> Shape:
        """A half from its corners and finishes, the seam last; edges without length are dropped."""
        finishes = (*finishes, Finish.SEAM)
        kept = [
            (point, finish)
            for point, finish, after in zip(ring, finishes, (*ring[1:], ring[0]), strict=True)
            if abs(point[0] - after[0]) > TOLERANCE_MM / 10 or abs(point[1] - after[1]) > TOLERANCE_MM / 10
        ]
        kept = [piece for edge in _pairs(_without_spurs(kept)) for piece in self._by_finish(*edge)]
        return Shape(
            tuple(point for point, _ in kept),
            tuple(finish for _, finish in kept),
            self.shape.allowance,
            self.shape.seamed | {self.axis},
        )

    @cached_property
    def _beside(self) -> list[tuple[Point, Point, Finish]]:
        """Edges of the shape that run as the seams do and take another allowance than a seam."""
        allowance, ring = self.shape.allowance, self.shape.ring
        return [
            (start, end, finish)
            for start, end, finish in zip(ring, (*ring[1:], ring[0]), self.shape.finishes, strict=True)
            if abs(start[self.axis] - end[self.axis]) <= TOLERANCE_MM and allowance.of(finish) != allowance.of(Finish.SEAM)
        ]

    def _by_finish(self, corner: tuple[Point, Finish], end: Point) -> list[tuple[Point, Finish]]:
        """An edge of a half: a seam that runs on along an edge of the shape is parted where that takes another allowance."""
        (point, finish), axis = corner, self.axis
        if finish is not Finish.SEAM or not self._beside or abs(point[axis] - end[axis]) > TOLERANCE_MM:
            return [corner]
        way = 1 if end[1 - axis] > point[1 - axis] else -1
        at, last = way * point[1 - axis], way * end[1 - axis]
        on_it = [each for each in self._beside if abs(each[0][axis] - point[axis]) <= TOLERANCE_MM]
        found: list[tuple[Point, Finish]] = []
        for low, high, own in sorted((way * one[1 - axis], way * two[1 - axis], own) for one, two, own in on_it):
            if min(high, last) - max(low, at) > TOLERANCE_MM:
                if low - at > TOLERANCE_MM:
                    found.append((self._along(point, way * at), finish))
                    at = low
                found.append((self._along(point, way * at), own))
                at = high
        return [*found, (self._along(point, way * at), finish)] if last - at > TOLERANCE_MM else found

    def _along(self, point: Point, place: float) -> Point:
        """The point at another place along the seams."""
        return (point[0], place) if self.axis is Axis.ACROSS else (place, point[1])


def _pairs(kept: list[tuple[Point, Finish]]) -> Iterator[tuple[tuple[Point, Finish], Point]]:
    """Each corner with its finish, and the corner after it."""
    for corner, after in zip(kept, (*kept[1:], *kept[:1]), strict=True):
        yield corner, after[0]


def _without_spurs(kept: list[tuple[Point, Finish]]) -> list[tuple[Point, Finish]]:
    """Drops corners where the ring turns back on itself: a seam that ends in an inward corner runs over an edge of the shape.

    Of the two edges that meet there what is left of the longer stays, with its finish.
    """
    before = kept[-1][0] if kept else (0.0, 0.0)  # nothing is left where a seam lies on a tip
    for index, (point, finish) in enumerate(kept):
        after = kept[(index + 1) % len(kept)][0]
        axis = _turns_back(before, point, after)
        if axis is not None:
            longer_after = abs(after[axis] - point[axis]) > abs(before[axis] - point[axis])
            trimmed = list(kept)
            trimmed[index - 1] = (before, finish if longer_after else kept[index - 1][1])
            del trimmed[index]
            return _without_spurs(trimmed)
        before = point
    return kept


def _turns_back(before: Point, point: Point, after: Point) -> int | None:
    """The axis along which a ring turns back on itself at a point, or None."""
    (x1, y1), (x, y), (x2, y2) = before, point, after
    if (x1 - x) * (x2 - x) > 0 and max(abs(y1 - y), abs(y2 - y)) <= TOLERANCE_MM / 10:
        return 0
    if (y1 - y) * (y2 - y) > 0 and max(abs(x1 - x), abs(x2 - x)) <= TOLERANCE_MM / 10:
        return 1
    return None


def splits(shape: Shape, axis: Axis) -> tuple[Split, ...]:
    """Every family of straight seams square to `axis`: in each, the same two edges are joined throughout."""
    if axis not in shape.families:
        shape.families[axis] = tuple(_splits(shape, axis))
    return shape.families[axis]


def _splits(shape: Shape, axis: Axis) -> Iterator[Split]:
    count = len(shape.ring)
    levels = sorted({point[axis] for point in shape.ring})
    found: dict[tuple[int, int], tuple[float, float]] = {}
    for low, high in pairwise(levels):
        if high - low <= TOLERANCE_MM:
            continue
        middle = (low + high) / 2
        crossed = []
        for edge in range(count):
            start, end = shape.ring[edge], shape.ring[(edge + 1) % count]
            if min(start[axis], end[axis]) < middle < max(start[axis], end[axis]):
                share = (middle - start[axis]) / (end[axis] - start[axis])
                crossed.append((start[1 - axis] + share * (end[1 - axis] - start[1 - axis]), edge))
        crossed.sort()
        for (_, one), (_, two) in zip(crossed[::2], crossed[1::2], strict=True):
            rises = shape.ring[(one + 1) % count][axis] > shape.ring[one][axis]
            pair = (one, two) if rises else (two, one)
            before = found.get(pair, (low, low))
            found[pair] = (before[0], high) if before[1] == low or pair not in found else (low, high)
    for (rising, falling), (low, high) in found.items():
        yield Split(shape, axis, low, high, rising, falling)
