"""A ground as its convex hull less convex pockets: what a solver with straight lines can read (mm)."""

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from remnants.geometry.lie import Ground
from remnants.geometry.outline import Outline, area_mm2
from remnants.geometry.shares import convex_shares
from remnants.geometry.tolerances import DUST_MM

__all__ = ["Corners", "hull_and_pockets", "share_corners"]

Corners = NDArray[np.float64]
"""Corners of a convex ring, counter-clockwise: (n, 2) mm."""


def hull_and_pockets(ground: Ground) -> tuple[Corners, tuple[Corners, ...]]:
    """The convex hull of the usable region, and convex rings that tile the hull less the region."""
    return _hull_and_pockets(ground.outline)


@lru_cache(maxsize=4096)
def _hull_and_pockets(outline: Outline) -> tuple[Corners, tuple[Corners, ...]]:
    hull = shapely.orient_polygons(outline.usable.convex_hull)
    rest = hull.difference(outline.usable)
    pockets = []
    for part in shapely.get_parts(rest):
        if part.geom_type != "Polygon" or part.area <= DUST_MM * part.length:
            continue
        if part.interiors:
            triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(part))
            pockets += [_corners(tuple(triangle.exterior.coords[:-1])) for triangle in triangles]
        else:
            pockets += [_corners(share) for share in convex_shares(_counter_clockwise(tuple(part.exterior.coords[:-1])))]
    return _corners(tuple(hull.exterior.coords[:-1])), tuple(pockets)


def share_corners(ring: tuple[tuple[float, float], ...]) -> tuple[tuple[int, ...], ...]:
    """The ring's convex shares as indexes of its corners, counter-clockwise."""
    places = {point: index for index, point in enumerate(ring)}
    return tuple(tuple(places[point] for point in share) for share in convex_shares(ring))


def _counter_clockwise(ring: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return ring if area_mm2(ring) > 0 else ring[::-1]


def _corners(ring: tuple[tuple[float, float], ...]) -> Corners:
    return np.array(_counter_clockwise(tuple((x, y) for x, y in ring)), dtype=np.float64)
