"""Layouts: a patch split by straight seams into shapes, each given to a donor, and where each then lies."""

from collections.abc import Iterator
from dataclasses import dataclass

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.shape import Axis, Shape, Split
from remnants.geometry.outline import TOLERANCE_MM, Point

__all__ = ["Joint", "Laid", "Layout", "Leaf", "Segment", "leaves", "segments"]


@dataclass(frozen=True, eq=False)
class Leaf:
    """A shape that one cut of a donor is to fill."""

    shape: Shape
    donor: Donor


@dataclass(frozen=True, eq=False)
class Joint:
    """A seam at position `at` of a family of seams, with what lies on either side."""

    split: Split
    at: float
    low: "Layout"
    high: "Layout"


Layout = Leaf | Joint


@dataclass(frozen=True, eq=False)
class Laid:
    """A leaf with the move (mm, pile frame) that brings its shape onto the donor's ground."""

    shape: Shape
    donor: Donor
    move: Point


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of seam between two leaves (their indexes), in the pile frame (mm)."""

    axis: Axis
    line: tuple[Point, Point]
    parts: tuple[int, int]


def leaves(layout: Layout) -> tuple[Leaf, ...]:
    """The leaves, low side first."""
    return (layout,) if isinstance(layout, Leaf) else leaves(layout.low) + leaves(layout.high)


def segments(layout: Layout) -> tuple[Segment, ...]:
    """Every stretch of seam, outermost joint first."""
    return tuple(_segments(layout, 0))


def _segments(layout: Layout, first: int) -> Iterator[Segment]:
    if isinstance(layout, Leaf):
        return
    low, high = leaves(layout.low), leaves(layout.high)
    for i, one in enumerate(low):
        for j, two in enumerate(high):
            shared = _shared(one.shape, two.shape, layout)
            if shared is not None:
                yield Segment(layout.split.axis, shared, (first + i, first + len(low) + j))
    yield from _segments(layout.low, first)
    yield from _segments(layout.high, first + len(low))


def _shared(one: Shape, two: Shape, joint: Joint) -> tuple[Point, Point] | None:
    """The stretch of the joint's line along which two shapes meet, or None."""
    axis, at = joint.split.axis, joint.at
    limits = [_stretches(shape, axis, at) for shape in (one, two)]
    meets = [(max(a[0], b[0]), min(a[1], b[1])) for a in limits[0] for b in limits[1]]
    meets = [stretch for stretch in meets if stretch[1] - stretch[0] > TOLERANCE_MM]
    if not meets:
        return None
    low, high = min(start for start, _ in meets), max(end for _, end in meets)
    return ((at, low), (at, high)) if axis is Axis.ACROSS else ((low, at), (high, at))


def _stretches(shape: Shape, axis: Axis, at: float) -> list[tuple[float, float]]:
    """The edges of a shape that lie on the line at `at`, as stretches along it."""
    edges = zip(shape.ring, (*shape.ring[1:], shape.ring[0]), strict=True)
    return [
        (min(a[1 - axis], b[1 - axis]), max(a[1 - axis], b[1 - axis]))
        for a, b in edges
        if abs(a[axis] - at) <= TOLERANCE_MM and abs(b[axis] - at) <= TOLERANCE_MM
    ]
