"""From net to cut: an outline grown by an allowance at each edge; and a piece with its edges drawn in.

Each edge gets its strip, square to the edge; at an outward corner the strips are carried on to where their outer edges meet
(a mitre), never past either. Lengths are millimetres, rings counter-clockwise; growth is never negative.
"""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, bounds
from remnants.geometry.tolerances import UNION_GRID_MM

__all__ = ["area_around_mm2", "corner_fill", "drawn_in", "edge_strip", "grown", "grown_bounds"]

SHARPEST = 100.0
"""Corners of a piece drawn in are mitred up to this many times the way."""

PARALLEL = 1e-9
"""Sine of the angle below which two edges run the same way."""


def grown(ring: Ring, extra_mm: Sequence[float]) -> Ring:
    """The ring with edge i (corner i to i + 1) grown outward by `extra_mm[i]`, mitred; a gap it closes is filled.

    `extra_mm` has one figure of zero or more for each edge. The answer holds the ring, every strip and every mitre.
    """
    if not any(extra_mm):
        return ring
    mitred = _mitred(ring, extra_mm)
    if mitred is not None:
        return mitred
    shapes = [Polygon(ring)]
    for index, extra in enumerate(extra_mm):
        if extra > 0:
            shapes.append(Polygon(edge_strip(ring, index, extra)))
        fill = corner_fill(ring, index, extra_mm[index - 1], extra)
        if fill:
            shapes.append(Polygon(fill))
    whole = shapely.union_all(shapes, grid_size=UNION_GRID_MM)
    if not isinstance(whole, Polygon):  # strips share an edge with the ring, so only dust can lie apart
        whole = max(shapely.get_parts(whole), key=lambda part: part.area)
    return _without_straight_corners(_corners(whole.exterior))


def drawn_in(outline: Outline, by_mm: float) -> tuple[Outline, ...]:
    """What is left of a piece with each edge, its cutouts' too, `by_mm` further in, corners mitred: outlines, largest first."""
    if by_mm <= 0:
        return (outline,)
    left = shapely.get_parts(outline.usable.buffer(-by_mm, join_style="mitre", mitre_limit=SHARPEST))
    return tuple(
        Outline(_corners(part.exterior), tuple(_corners(ring) for ring in part.interiors))
        for part in sorted(left, key=lambda part: -part.area)
        if not part.is_empty
    )


def _corners(ring: shapely.LinearRing) -> Ring:
    """Corners of a ring, counter-clockwise."""
    corners = tuple((x, y) for x, y in ring.coords[:-1])
    return corners if area_mm2(corners) > 0 else corners[::-1]


def area_around_mm2(ring: Ring, by_mm: float) -> float:
    """Area (mm²) of a simple ring and of all within `by_mm` of it: a little less, for chords stand for round corners."""
    return float(Polygon(ring).buffer(by_mm, quad_segs=4).area)


def grown_bounds(ring: Ring, extra_mm: Sequence[float]) -> tuple[float, float, float, float]:
    """Bounds of the grown ring (mm), without making it."""
    points = list(ring)
    for index, extra in enumerate(extra_mm):
        points += edge_strip(ring, index, extra)[1:3]
        points += corner_fill(ring, index, extra_mm[index - 1], extra)
    return bounds(points)


def edge_strip(ring: Ring, index: int, extra_mm: float) -> Ring:
    """The strip `extra_mm` wide outside edge `index`, square to it: four corners, counter-clockwise."""
    start, end = ring[index], ring[(index + 1) % len(ring)]
    normal = _normal(start, end)
    return start, _along(start, normal, extra_mm), _along(end, normal, extra_mm), end


def corner_fill(ring: Ring, index: int, before_mm: float, after_mm: float) -> Ring:
    """What the mitre adds at outward corner `index` between the strips of the edges before and after it, or ().

    It is the wedge between the two normals, kept within both strips' outer edges.
    """
    corner = ring[index]
    before = _normal(ring[index - 1], corner)
    after = _normal(corner, ring[(index + 1) % len(ring)])
    cross = before[0] * after[1] - before[1] * after[0]
    dot = before[0] * after[0] + before[1] * after[1]
    one_sided = not (before_mm > 0 and after_mm > 0)
    if cross <= PARALLEL or not (before_mm or after_mm) or (one_sided and dot >= -PARALLEL):
        return ()
    reach_before = min(before_mm, after_mm / dot) if dot > PARALLEL else before_mm
    reach_after = min(after_mm, before_mm / dot) if dot > PARALLEL else after_mm
    foot_before, foot_after = _along(corner, before, reach_before), _along(corner, after, reach_after)
    tip = _meeting(corner, before, before_mm, after, after_mm)
    in_wedge = reach_before == before_mm and reach_after == after_mm
    fill = (corner, foot_before, tip, foot_after) if in_wedge else (corner, foot_before, foot_after)
    return tuple(dict.fromkeys(fill))


def _mitred(ring: Ring, extra_mm: Sequence[float]) -> Ring | None:
    """The plain mitred offset where it says the same as the strips and their fills; None where it doesn't."""
    count = len(ring)
    normals = [_normal(ring[index], ring[(index + 1) % count]) for index in range(count)]
    corners: list[Point] = []
    for index in range(count):
        (before, after), (a, b) = (normals[index - 1], normals[index]), (extra_mm[index - 1], extra_mm[index])
        cross = before[0] * after[1] - before[1] * after[0]
        dot = before[0] * after[0] + before[1] * after[1]
        square = abs(dot) <= PARALLEL
        if abs(cross) <= PARALLEL:
            if a != b or dot < 0:
                return None
            corners.append(_along(ring[index], after, b))
            continue
        if not square and a != b and (cross < 0 or b * dot > a or a * dot > b):
            return None
        corners.append(_meeting(ring[index], before, a, after, b))
    for index in range(count):
        start, end = corners[index], corners[(index + 1) % count]
        x, y = ring[(index + 1) % count][0] - ring[index][0], ring[(index + 1) % count][1] - ring[index][1]
        if (end[0] - start[0]) * x + (end[1] - start[1]) * y <= 0:
            return None
    convex = all(n1[0] * n2[1] - n1[1] * n2[0] >= -PARALLEL for n1, n2 in zip(normals, normals[1:] + normals[:1], strict=True))
    if not convex and not Polygon(corners).is_valid:
        return None
    return tuple(corners)


def _without_straight_corners(ring: Ring) -> Ring:
    """The ring without corners that lie on the line between their neighbours (within the tolerance), and without slits."""
    kept = list(ring)
    index = 0
    while len(kept) > 3 and index < len(kept):
        before, corner, after = kept[index - 1], kept[index], kept[(index + 1) % len(kept)]
        span = math.dist(before, after)
        off = abs((after[0] - before[0]) * (corner[1] - before[1]) - (after[1] - before[1]) * (corner[0] - before[0]))
        if span > 0 and off / span <= TOLERANCE_MM / 100:
            del kept[index]
        elif _is_slit(before, corner, after):
            del kept[index]
            index = max(index - 1, 0)
        else:
            index += 1
    return tuple(kept)


def _is_slit(before: Point, tip: Point, after: Point) -> bool:
    """True if a counter-clockwise ring runs into itself and back at this corner, nearer than a tenth of the tolerance."""
    (ax, ay), (bx, by) = (tip[0] - before[0], tip[1] - before[1]), (after[0] - tip[0], after[1] - tip[1])
    inward, back = ax * by - ay * bx, ax * bx + ay * by < 0
    return back and -TOLERANCE_MM / 10 * max(math.hypot(ax, ay), math.hypot(bx, by)) <= inward <= 0


def _normal(start: Point, end: Point) -> Point:
    """Outward unit normal of an edge of a counter-clockwise ring."""
    x, y = end[0] - start[0], end[1] - start[1]
    length = math.hypot(x, y)
    return y / length, -x / length


def _along(point: Point, direction: Point, distance: float) -> Point:
    return point[0] + direction[0] * distance, point[1] + direction[1] * distance


def _meeting(corner: Point, before: Point, a: float, after: Point, b: float) -> Point:
    """Where the lines at `a` along normal `before` and at `b` along normal `after` from `corner` meet."""
    cross = before[0] * after[1] - before[1] * after[0]
    x = (a * after[1] - b * before[1]) / cross
    y = (b * before[0] - a * after[0]) / cross
    return corner[0] + x, corner[1] + y
