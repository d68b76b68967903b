"""Floors cut into bands along +y, and lines over floors: what an estimator's breadths and seams need. Lengths are millimetres."""

import math
from collections.abc import Sequence
from functools import lru_cache

import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2
from remnants.geometry.tolerances import UNION_GRID_MM

__all__ = [
    "band",
    "holds",
    "inside_mm",
    "is_thinner_outside",
    "length_near_mm",
    "on_line",
    "runs_within",
    "slab",
    "united",
]

Run = tuple[Point, Point]


def band(floor: Outline, left: float, right: float) -> tuple[Outline, ...]:
    """The connected parts of the floor between x = `left` and x = `right` (mm), lowest first."""
    start, bottom, end, top = floor.bounds
    if not floor.cutouts and len(floor.ring) == 4 and all(x in (start, end) and y in (bottom, top) for x, y in floor.ring):
        return _of_rectangle(floor, left, right)
    return _outlines(floor.usable.intersection(box(left, bottom - 1, right, top + 1), grid_size=UNION_GRID_MM))


def _of_rectangle(floor: Outline, left: float, right: float) -> tuple[Outline, ...]:
    """The same for a rectangle that stands upright, without geometry: corner by corner what that gives."""
    start, _, end, _ = floor.bounds
    low, high = (_on_grid(x) for x in (max(left, start), min(right, end)))
    ring = [(low if x == start else high, _on_grid(y)) for x, y in floor.ring]
    area = area_mm2(ring)
    if low >= high or area <= TOLERANCE_MM * 2 * (high - low + area / (high - low)):
        return ()
    first = floor.ring[0][0]
    if first == start < left:
        at = ring.index((low, min(y for _, y in ring)))
    elif first == end > right:
        at = ring.index((high, max(y for _, y in ring)))
    else:
        at = 0
    return (Outline((*ring[at:], *ring[:at])),)


def _on_grid(length_mm: float) -> float:
    return math.floor(length_mm / UNION_GRID_MM + 0.5) / round(1 / UNION_GRID_MM)


def slab(floor: Outline, low: float, high: float) -> tuple[Outline, ...]:
    """The connected parts of the floor between y = `low` and y = `high` (mm), leftmost first."""
    left, _, right, _ = floor.bounds
    return _outlines(floor.usable.intersection(box(left - 1, low, right + 1, high), grid_size=UNION_GRID_MM))


def united(one: Outline, other: Outline) -> Outline | None:
    """Two floors that share a stretch of their edges, and nothing else, as one; None where they don't."""
    rings = [Polygon(one.ring), Polygon(other.ring)]
    whole = shapely.union_all(rings, grid_size=UNION_GRID_MM)
    if not isinstance(whole, Polygon) or abs(whole.area - sum(ring.area for ring in rings)) > TOLERANCE_MM * whole.length:
        return None
    holes = tuple(_ring(hole.coords[:-1]) for hole in whole.interiors)
    return Outline(_ring(whole.exterior.coords[:-1]), (*one.cutouts, *other.cutouts, *holes))


def _outlines(shape: Polygon) -> tuple[Outline, ...]:
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon) and part.area > TOLERANCE_MM * part.length]
    holes = [tuple(_ring(hole.coords[:-1]) for hole in part.interiors) for part in parts]
    made = [Outline(_ring(part.exterior.coords[:-1]), inner) for part, inner in zip(parts, holes, strict=True)]
    return tuple(sorted(made, key=lambda outline: (outline.bounds[1], outline.bounds[0])))


def _ring(corners: Sequence[Sequence[float]]) -> Ring:
    ring = tuple((float(x), float(y)) for x, y in corners)
    return ring if area_mm2(ring) > 0 else (ring[0], *reversed(ring[1:]))


def runs_within(floor: Outline, start: Point, end: Point) -> tuple[Run, ...]:
    """The stretches of the line from `start` to `end` (mm) that run inside the floor; along its edge counts as outside."""
    found = LineString([start, end]).intersection(_inner(floor))
    lines = [part for part in shapely.get_parts(found) if isinstance(part, LineString) and part.length > 3 * TOLERANCE_MM]
    return tuple(sorted(_let_out(line.coords[0], line.coords[-1]) for line in lines))


@lru_cache(maxsize=64)
def _inner(floor: Outline) -> BaseGeometry:
    """The floor without its edge."""
    return floor.usable.buffer(-TOLERANCE_MM)


def _let_out(a: Sequence[float], b: Sequence[float]) -> Run:
    """A run as far as the walls that it was kept clear of by the tolerance."""
    share = TOLERANCE_MM / math.dist(a, b)
    dx, dy = (b[0] - a[0]) * share, (b[1] - a[1]) * share
    return (a[0] - dx, a[1] - dy), (b[0] + dx, b[1] + dy)


def inside_mm(floor: Outline, path: Sequence[Point]) -> float:
    """Length of a path (mm) that runs inside the floor, its edge included."""
    return float(LineString(path).intersection(floor.usable.buffer(TOLERANCE_MM)).length)


def length_near_mm(line: Run, path: Sequence[Point], reach_mm: float) -> float:
    """How much of a line (mm) lies within `reach_mm` of a path."""
    lane = _lane(tuple(path), reach_mm)
    left, low, right, high = lane.bounds
    (x1, y1), (x2, y2) = line
    if max(x1, x2) < left or min(x1, x2) > right or max(y1, y2) < low or min(y1, y2) > high:
        return 0.0
    return float(LineString(line).intersection(lane).length)


@lru_cache(maxsize=1024)
def _lane(path: Ring, reach_mm: float) -> BaseGeometry:
    """What lies within so much of a path, its ends cut off square."""
    return LineString(path).buffer(reach_mm, cap_style="flat")


def is_thinner_outside(floor: Outline, width_mm: float) -> bool:
    """True if what lies between parts of the floor, or an island in it, is thinner than this anywhere (mm)."""
    reach = width_mm / 2
    closed = floor.usable.buffer(reach, join_style="mitre").buffer(-reach, join_style="mitre")
    return bool(closed.area - floor.usable.area > TOLERANCE_MM * floor.usable.length)


def on_line(point: Point, a: Point, b: Point) -> bool:
    """True if the point lies between a and b (mm), within the tolerance; at either end counts."""
    length = math.dist(a, b)
    off = abs((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])) / length
    along = ((point[0] - a[0]) * (b[0] - a[0]) + (point[1] - a[1]) * (b[1] - a[1])) / length
    return off <= TOLERANCE_MM and -TOLERANCE_MM <= along <= length + TOLERANCE_MM


def holds(ground: Outline, ring: Ring) -> bool:
    """True if the ring (mm) lies on the usable ground, within the tolerance; touching is inside."""
    return bool(ground.usable.buffer(TOLERANCE_MM, join_style="mitre").covers(Polygon(ring)))
