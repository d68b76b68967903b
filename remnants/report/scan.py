"""Straight lines across rings: hatching, a point well inside, whether a box of words lies inside. Any one unit throughout.

Rings count by the even-odd rule: a ring inside another is a hole.
"""

import math
from collections.abc import Sequence

__all__ = ["MOST_LINES", "box_in_ring", "hatching", "in_ring", "inner_point", "spans"]

Point = tuple[float, float]

MOST_LINES = 2000
"""Of one hatching: four times what a metre of paper takes. A ring far off the paper, of a size typed wrong, gets no more."""


def spans(rings: Sequence[Sequence[Point]], y: float) -> tuple[tuple[float, float], ...]:
    """The stretches of the level line at `y` that lie inside the rings, as (left, right)."""
    crossings = []
    for ring in rings:
        for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (y1 <= y) != (y2 <= y):
                crossings.append(x1 + (y - y1) * (x2 - x1) / (y2 - y1))
    crossings.sort()
    return tuple(zip(crossings[::2], crossings[1::2], strict=False))


def hatching(rings: Sequence[Sequence[Point]], spacing: float, angle_deg: float) -> tuple[tuple[Point, Point], ...]:
    """Parallel lines `spacing` apart across the inside of the rings, at `angle_deg` counter-clockwise from level.

    Across more than `MOST_LINES` of them they lie further apart.
    """
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    level = [[(x * cos + y * sin, y * cos - x * sin) for x, y in ring] for ring in rings]
    heights = [y for ring in level for _, y in ring]
    spacing = max(spacing, (max(heights) - min(heights)) / MOST_LINES)
    first = math.floor(min(heights) / spacing) + 1
    lines = []
    for step in range(first, math.ceil(max(heights) / spacing)):
        # Off the round figure, where corners tend to lie: a line along an edge would be drawn or not by chance.
        y = (step + 0.0137) * spacing
        for left, right in spans(level, y):
            lines.append(((left * cos - y * sin, left * sin + y * cos), (right * cos - y * sin, right * sin + y * cos)))
    return tuple(lines)


def inner_point(ring: Sequence[Point]) -> Point:
    """A point well inside the ring: the middle of the widest stretch of the level lines at a quarter, half and three quarters."""
    heights = [y for _, y in ring]
    bottom, top = min(heights), max(heights)
    best = (0.0, ring[0])
    for share in (0.5, 0.37, 0.63, 0.23, 0.77):
        y = bottom + (top - bottom) * share
        for left, right in spans([ring], y):
            if right - left > best[0] * 1.05:
                best = (right - left, ((left + right) / 2, y))
    return best[1]


def in_ring(point: Point, ring: Sequence[Point]) -> bool:
    """True when the point lies inside the ring (on its boundary: either)."""
    return any(left <= point[0] <= right for left, right in spans([ring], point[1]))


def box_in_ring(box: tuple[float, float, float, float], ring: Sequence[Point]) -> bool:
    """True when the upright box (left, bottom, right, top) lies wholly inside the ring."""
    left, bottom, right, top = box
    levels = [bottom, top, *(y for _, y in ring if bottom < y < top)]
    return all(any(a <= left and right <= b for a, b in spans([ring], y)) for y in levels)
