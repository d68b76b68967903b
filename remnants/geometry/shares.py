"""Convex shares of a simple ring (mm): triangles on its own corners, united while they stay convex."""

import math

import shapely
from shapely.geometry import Polygon

from remnants.geometry.outline import Ring, area_mm2
from remnants.geometry.tolerances import HAIR_MM

__all__ = ["convex_shares", "is_convex"]


def convex_shares(ring: Ring) -> tuple[Ring, ...]:
    """The ring (mm) cut into convex rings at its inward corners; itself when it has none."""
    if is_convex(ring):
        return (ring,)
    triangles = _triangles(ring)
    return tuple(_merged(triangles, ring))


def is_convex(ring: Ring) -> bool:
    """True if a counter-clockwise ring (mm) has no inward corner, give or take a hair."""
    for index, corner in enumerate(ring):
        before, after = ring[index - 1], ring[(index + 1) % len(ring)]
        cross = (corner[0] - before[0]) * (after[1] - corner[1]) - (corner[1] - before[1]) * (after[0] - corner[0])
        if cross < -HAIR_MM * math.dist(before, after):
            return False
    return True


def _triangles(ring: Ring) -> list[Ring]:
    """The ring cut into triangles on its own corners."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(Polygon(ring)))
    rings = [tuple((x, y) for x, y in triangle.exterior.coords[:-1]) for triangle in triangles]
    return [corners if area_mm2(corners) > 0 else corners[::-1] for corners in rings]


def _merged(shares: list[Ring], ring: Ring) -> list[Ring]:
    """Neighbours united across their common edge while they stay convex."""
    merged = True
    while merged:
        merged = False
        for one in range(len(shares)):
            for two in range(one + 1, len(shares)):
                union = _joined(shares[one], shares[two])
                if union is not None and is_convex(union):
                    shares = [share for index, share in enumerate(shares) if index not in (one, two)] + [union]
                    merged = True
                    break
            if merged:
                break
    return shares


def _joined(one: Ring, two: Ring) -> Ring | None:
    """Two counter-clockwise rings that share an edge as one ring, or None."""
    for i, start in enumerate(one):
        end = one[(i + 1) % len(one)]
        for j, other in enumerate(two):
            if other == end and two[(j + 1) % len(two)] == start:
                first = one[i + 1 :] + one[: i + 1]
                second = two[j + 1 :] + two[: j + 1]
                return first + second[1:-1]
    return None
