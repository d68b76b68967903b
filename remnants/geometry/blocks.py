"""A square-cut piece as its bounding rectangle less rectangles: what an exact solver on whole numbers can read (mm)."""

from itertools import pairwise

import shapely
from shapely.prepared import prep

from remnants.geometry.outline import Outline

__all__ = ["blocked"]

Box = tuple[float, float, float, float]


def blocked(outline: Outline) -> tuple[Box, ...] | None:
    """The rectangles (left, bottom, right, top) that cover the bounds less the usable region; None unless it is square-cut.

    Every edge of a square-cut outline and of its cutouts runs along an axis.
    """
    rings = (outline.ring, *outline.cutouts)
    for ring in rings:
        if any(x1 != x2 and y1 != y2 for (x1, y1), (x2, y2) in pairwise((*ring, ring[0]))):
            return None
    if outline.is_rectangle:
        return ()
    left, bottom, right, top = outline.bounds
    xs = sorted({min(max(x, left), right) for ring in rings for x, _ in ring})
    ys = sorted({min(max(y, bottom), top) for ring in rings for _, y in ring})
    usable = prep(outline.usable)
    found: list[Box] = []
    for low, high in pairwise(ys):
        row: list[Box] = []
        for start, end in pairwise(xs):
            if usable.contains(shapely.Point((start + end) / 2, (low + high) / 2)):
                continue
            if row and row[-1][2] == start:
                row[-1] = (row[-1][0], low, end, high)
            else:
                row.append((start, low, end, high))
        found += row
    return tuple(found)
