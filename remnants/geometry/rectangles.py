"""The largest rectangle that can be cut from an outline, its sides along and across the pile.

The outline is sliced into upright strips; a rectangle over several strips is free where all of them are. With every edge along
an axis the best rectangle begins and ends at a slice, so the search over slices is exact. With slanted edges the slices are
made finer, first everywhere and then round the best places found, and the rectangle is grown until all four sides touch.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TYPE_CHECKING, NamedTuple

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring
from remnants.geometry.strips import (
    Span,
    Spans,
    Strip,
    common,
    corners_across,
    edges,
    is_square_cut,
    sliced,
    strips_of,
)
from remnants.geometry.tolerances import DUST_MM
from remnants.geometry.turn import between, turned, turned_ring
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["Rectangle", "largest_rectangle"]

COARSE_SLICES = 32
"""Slices across an outline with slanted edges, beside those at its corners."""

MOST_SLICES = 2000
"""So many at most, where a thin outline lies aslant and coarse slices see nothing in it."""

STARTS = 3
"""How many of the best places are refined where edges slant."""

ROUNDS = 4
"""Rounds of refinement; each looks four times closer."""


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle (mm) with its least corner at (x, y), `width_mm` along x (across the pile) and `length_mm` along y.

    It lies in the frame in which the pile lays along +y: the piece's own axes turned by -`pile_deg`.
    """

    x: float
    y: float
    width_mm: float
    length_mm: float
    pile_deg: float = 0.0

    @property
    def area_mm2(self) -> float:
        """Width times length, mm²."""
        return self.width_mm * self.length_mm

    @property
    def ring(self) -> Ring:
        """Its four corners in the piece's own axes, counter-clockwise (mm)."""
        right, top = self.x + self.width_mm, self.y + self.length_mm
        return turned_ring(((self.x, self.y), (right, self.y), (right, top), (self.x, top)), self.pile_deg)


class Found(NamedTuple):
    """A free block: two x and two y (mm)."""

    left: float
    right: float
    low: float
    high: float

    @property
    def area(self) -> float:
        return (self.right - self.left) * (self.high - self.low)


def largest_rectangle(outline: Outline, pile_deg: float = 0.0) -> Rectangle:
    """The largest rectangle in the usable region of `outline` (mm), sides along and across the pile bearing `pile_deg`.

    With `pile_deg` 0 the sides run along the piece's own axes. Exact when, seen along the pile, every edge runs along an axis;
    otherwise inside for certain, touching on all four sides, and within a percent or so of the best.
    Boundaries count as inside. Of equals the leftmost, then the lowest. Width and length are 0 where nothing is thicker than
    the tolerance.
    """
    seen = turned(outline, between(pile_deg, 0.0))
    if seen.is_rectangle:
        left, bottom, right, top = seen.bounds
        return Rectangle(left, bottom, right - left, top - bottom, pile_deg)
    corners = corners_across(seen)
    if is_square_cut(seen):
        found = _best_block(strips_of(seen, corners), 1)
    else:
        found = [_grown(seen, block) for block in _refined(seen, corners)] or _in_the_thickest(seen)
    if not found:
        return Rectangle(*seen.ring[0], 0.0, 0.0, pile_deg)
    best = max(found, key=lambda block: block.area)
    return Rectangle(best.left, best.low, best.right - best.left, best.high - best.low, pile_deg)


def _in_the_thickest(outline: Outline) -> list[Found]:
    """A block in the largest circle of an outline too thin for slices; none where it is no thicker than the tolerance."""
    radius = shapely.maximum_inscribed_circle(outline.usable, tolerance=TOLERANCE_MM)
    half = radius.length / math.sqrt(2) - DUST_MM
    if half <= TOLERANCE_MM:
        return []
    x, y = radius.coords[0]
    return [_grown(outline, Found(x - half, x + half, y - half, y + half))]


def _longest(spans: Spans) -> Span:
    best = spans[0]
    for span in spans:
        if span[1] - span[0] > best[1] - best[0]:
            best = span
    return best


def _best_block(strips: Sequence[Strip], wanted: int, least: float = 0.0) -> list[Found]:
    """The best block from each of the `wanted` best first strips, best first: over `least` mm², thicker than the tolerance."""
    best: list[Found] = []
    end = strips[-1].right
    for first, (left, _, at_first) in enumerate(strips):
        spans = at_first
        mine: tuple[float, float, float] | None = None
        bar = least
        for _, right, free in strips[first:]:
            spans = common(spans, free) if free is not spans else spans
            if not spans:
                break
            low, high = spans[0] if len(spans) == 1 else _longest(spans)
            if (end - left) * (high - low) <= bar:
                break
            area = (right - left) * (high - low)
            if area > bar and right - left > TOLERANCE_MM:
                mine, bar = (right, low, high), area
        if mine is not None:
            best = sorted([*best, Found(left, *mine)], key=lambda block: -block.area)[:wanted]
            least = best[-1].area if len(best) == wanted else least
    return best


def _refined(outline: Outline, corners: Sequence[float]) -> list[Found]:
    """Good blocks of an outline with slanted edges: the best few on coarse slices, each sliced finer round its two sides."""
    refined = []
    blocks, step = _coarse(outline, corners)
    for block in blocks:
        best, reach = block, step
        for _ in range(ROUNDS):
            finer = _merged(strips_of(outline, _slices_round(best, reach, corners)), best.left + reach, best.right - reach)
            best = next(iter(_best_block(finer, 1, best.area)), best)
            reach /= 4
        refined.append(best)
    return refined


def _coarse(outline: Outline, corners: Sequence[float]) -> tuple[list[Found], float]:
    """The best few blocks, apart from one another, on slices fine enough to see them; and the width of a slice."""
    step = (corners[-1] - corners[0]) / COARSE_SLICES
    while True:
        slices = sliced(corners, step)
        best = _best_block(strips_of(outline, slices), 3 * STARTS)
        if (best and best[0].right - best[0].left > 3 * step) or len(slices) > MOST_SLICES:
            return _apart(best, step), step
        step /= 4


def _apart(blocks: Sequence[Found], reach: float) -> list[Found]:
    """The first few blocks, leaving out those with both sides within `reach` of a better one's."""
    kept: list[Found] = []
    for block in blocks:
        if all(abs(block.left - other.left) > reach or abs(block.right - other.right) > reach for other in kept):
            kept.append(block)
    return kept[:STARTS]


def _slices_round(block: Found, reach: float, corners: Sequence[float]) -> list[float]:
    """Slices within `reach` of the sides of a block, four a side, and those at the corners in between."""
    near = {side + reach * quarter / 4 for side in (block.left, block.right) for quarter in range(-4, 5)}
    first, last = max(block.left - reach, corners[0]), min(block.right + reach, corners[-1])
    return sorted({first, last, *(x for x in (*near, *corners) if first < x < last)})


def _merged(strips: Sequence[Strip], left: float, right: float) -> list[Strip]:
    """The strips with those between two x made one, since a block's sides aren't sought there."""
    inner = [strip for strip in strips if strip.left >= left and strip.right <= right]
    if len(inner) < 2:
        return list(strips)
    free = reduce(common, (strip.free for strip in inner[1:]), inner[0].free)
    first = strips.index(inner[0])
    return [*strips[:first], Strip(inner[0].left, inner[-1].right, free), *strips[first + len(inner) :]]


def _grown(outline: Outline, block: Found) -> Found:
    """The block widened to left and right as far as the edges between its two y allow."""
    left, right = outline.bounds[0], outline.bounds[2]
    for ring in (outline.ring, *outline.cutouts):
        for start, end in edges(ring):
            reach = _reach(start, end, block.low + DUST_MM, block.high - DUST_MM)
            if reach is None:
                continue
            if reach[0] >= block.right - DUST_MM:
                right = min(right, max(reach[0], block.right))
            elif reach[1] <= block.left + DUST_MM:
                left = max(left, min(reach[1], block.left))
    return Found(left, right, block.low, block.high)


def _reach(start: Point, end: Point, low: float, high: float) -> Span | None:
    """Least and greatest x of the part of an edge between two y, or None."""
    (x1, y1), (x2, y2) = (start, end) if start[1] <= end[1] else (end, start)
    if y2 < low or y1 > high:
        return None
    if y1 == y2:
        return min(x1, x2), max(x1, x2)
    slope = (x2 - x1) / (y2 - y1)
    at_low = x1 if y1 >= low else x1 + slope * (low - y1)
    at_high = x2 if y2 <= high else x1 + slope * (high - y1)
    return min(at_low, at_high), max(at_low, at_high)
