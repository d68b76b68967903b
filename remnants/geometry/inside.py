"""How far does one ring reach out of another? Lengths are millimetres."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Ring
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["reach_outside_mm"]

STEPS = 200
"""Steps along the edge of what lies outside, at each of which its reach is measured."""


def reach_outside_mm(ring: Ring, ground: Ring) -> float:
    """The furthest that a ring reaches out of the ground (mm); 0 where it lies on it, within the tolerance, edges included."""
    floor, inner = _floor(ground), shapely.Polygon(ring)
    if floor.buffer(TOLERANCE_MM, join_style="mitre").covers(inner):
        return 0.0
    beyond = inner.difference(floor)
    points = shapely.get_coordinates(shapely.segmentize(beyond, beyond.length / STEPS)) if not beyond.is_empty else ()
    return max([TOLERANCE_MM, *(float(far) for far in shapely.distance(shapely.points(points), floor))]) if len(points) else 0.0


@lru_cache(maxsize=16)
def _floor(ground: Ring) -> shapely.Polygon:
    return shapely.Polygon(ground)
