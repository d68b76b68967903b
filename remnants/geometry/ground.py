"""What of a ring lies on the floor of a room, and what is left of that floor beside it. Lengths are millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Outline, Ring, area_mm2, bounds
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["beyond_mm2", "covers", "has_arm", "leaves_sliver", "on_ground", "overlap"]

SHARPEST = 5.0
"""Corners drawn in and let out again are mitred up to this many times the way: sharper tips are slivers themselves."""


def on_ground(box: tuple[float, float, float, float], ground: Ring) -> tuple[Ring, ...]:
    """The parts of a box (least x, least y, greatest x, greatest y; mm) that lie on the ground, counter-clockwise."""
    left, bottom, right, top = box
    if Outline(ground).is_rectangle:
        x1, y1, x2, y2 = bounds(ground)
        left, bottom, right, top = max(left, x1), max(bottom, y1), min(right, x2), min(top, y2)
        whole = ((left, bottom), (right, bottom), (right, top), (left, top))
        return (whole,) if right - left > TOLERANCE_MM and top - bottom > TOLERANCE_MM else ()
    met = shapely.get_parts(shapely.box(left, bottom, right, top).intersection(_floor(ground)))
    parts = [part for part in met if isinstance(part, shapely.Polygon) and part.area > TOLERANCE_MM**2]
    return tuple(_corners(part) for part in parts)


def covers(ring: Ring, inner: Ring) -> bool:
    """True if the second ring lies in the first, edges included, within the tolerance."""
    return bool(shapely.Polygon(ring).buffer(TOLERANCE_MM, join_style="mitre").covers(shapely.Polygon(inner)))


def overlap(rings: Sequence[Ring]) -> bool:
    """True if two of the rings meet by more than the tolerance."""
    drawn = [shapely.Polygon(ring) for ring in rings]
    pairs = combinations(drawn, 2)
    return any(not one.intersection(two).buffer(-TOLERANCE_MM).is_empty for one, two in pairs)


def beyond_mm2(taken: Sequence[Ring], within: Sequence[Ring]) -> float:
    """How much floor outlines take (mm²) beyond what lies `within` some others; what several of them share counts once."""
    both = [shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in rings]) for rings in (taken, within)]
    return float(shapely.difference(both[0], both[1]).area)


def has_arm(ring: Ring, least_mm: float) -> bool:
    """True if some of a ring is narrower than `least_mm`; a box is told by its sides."""
    left, lower, right, upper = bounds(ring)
    if Outline(ring).is_rectangle or least_mm <= 2 * TOLERANCE_MM:
        return min(right - left, upper - lower) < least_mm - TOLERANCE_MM
    shape = shapely.Polygon(ring)
    return not shape.difference(_opened(shape, least_mm)).buffer(-TOLERANCE_MM).is_empty


def leaves_sliver(ground: Ring, taken: Sequence[Ring], least_mm: float) -> bool:
    """True if taking these rings out of the ground leaves a strip narrower than `least_mm` that wasn't so narrow before."""
    if least_mm <= 2 * TOLERANCE_MM:
        return False
    floor = _floor(ground)
    left = floor.difference(shapely.union_all([shapely.Polygon(ring) for ring in taken]))
    narrow = left.difference(_opened(left, least_mm)).difference(_narrow(ground, least_mm))
    return not narrow.buffer(-TOLERANCE_MM).is_empty


@lru_cache(maxsize=16)
def _floor(ground: Ring) -> shapely.Polygon:
    return shapely.Polygon(ground)


@lru_cache(maxsize=16)
def _narrow(ground: Ring, least_mm: float) -> shapely.Geometry:
    """What is narrower than that of a ground itself."""
    floor = _floor(ground)
    return floor.difference(_opened(floor, least_mm)).buffer(TOLERANCE_MM)


def _opened(shape: shapely.Geometry, least_mm: float) -> shapely.Geometry:
    """What of a shape is at least that wide."""
    by_mm = least_mm / 2 - TOLERANCE_MM
    drawn = shape.buffer(-by_mm, join_style="mitre", mitre_limit=SHARPEST)
    return drawn.buffer(by_mm + TOLERANCE_MM, join_style="mitre", mitre_limit=SHARPEST)


def _corners(part: shapely.Polygon) -> Ring:
    ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
    return ring if area_mm2(ring) > 0 else ring[::-1]
