"""How far does one ring reach out of another, and which plainer rings lie inside some? Lengths are millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["plainer", "plainer_path", "reach_outside_mm"]

FIRST_MM, MORE = 0.5, 1.5
"""How much is drawn in at first to make rings plainer, and how much more each time after."""

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


def plainer(rings: Sequence[Ring], most: int) -> tuple[Ring, ...]:
    """Rings inside these with so many corners in all at most: as they are, or drawn in by as little as brings it about (mm).

    What lies in a ring of such rings isn't covered by them, and neither is what goes round it then.
    """
    if sum(map(len, rings)) <= most:
        return tuple(rings)
    whole, step_mm = shapely.union_all([shapely.Polygon(ring) for ring in rings]), FIRST_MM
    while True:
        drawn = whole.buffer(-step_mm, join_style="mitre").simplify(step_mm * 0.9)
        parts = [part for part in shapely.get_parts(drawn) if isinstance(part, shapely.Polygon) and not part.interiors]
        found = tuple(tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1]) for part in parts if not part.is_empty)
        if sum(map(len, found)) <= most:
            return found
        step_mm *= MORE


def plainer_path(path: Sequence[Point], most: int) -> tuple[Point, ...]:
    """A path of so many points at most, from the same start to the same end, as near to this one as that allows (mm)."""
    found, step_mm = tuple(path), FIRST_MM
    while len(found) > max(2, most):
        found = tuple((float(x), float(y)) for x, y in shapely.LineString(path).simplify(step_mm).coords)
        step_mm *= MORE
    return found
