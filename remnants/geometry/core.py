"""What two rings have in common, with few corners: what doesn't fit of that fits of neither, and it is asked in half the time."""

from shapely.geometry import Polygon

from remnants.geometry.outline import Point, Ring
from remnants.geometry.shares import is_convex
from remnants.geometry.tolerances import MICROMETRES_MM

__all__ = ["common_core"]

MOST_CORNERS = 6
"""Corners of a core: enough to take up most of a rounded part, few enough to be asked quickly."""


def common_core(one: Ring, two: Ring) -> Ring | None:
    """A ring (mm) within both rings by a little, nearly as large as what they share; None where that is no single ring.

    Where it is convex it has at most `MOST_CORNERS` corners.
    """
    shared = Polygon(one).intersection(Polygon(two)) if one != two else Polygon(one)
    core = shared.buffer(-MICROMETRES_MM, join_style="mitre")
    if not isinstance(core, Polygon) or core.is_empty or core.interiors:
        return None
    ring = [(float(x), float(y)) for x, y in core.normalize().exterior.coords[-2::-1]]
    return tuple(_thinned(ring)) if is_convex(tuple(ring)) else tuple(ring)


def _thinned(ring: list[Point]) -> list[Point]:
    """A convex ring without the corners that matter least."""
    while len(ring) > MOST_CORNERS:
        ring.pop(
            min(range(len(ring)), key=lambda corner: _cut_off(ring[corner - 1], ring[corner], ring[(corner + 1) % len(ring)]))
        )
    return ring


def _cut_off(before: Point, corner: Point, after: Point) -> float:
    """Twice the area that goes with a corner, mm²."""
    (x1, y1), (x2, y2), (x3, y3) = before, corner, after
    return (x2 - x1) * (y3 - y2) - (y2 - y1) * (x3 - x2)
