"""Outlines: simple polygons with cutouts, as measured.

Lengths are millimetres. An outline lies in its own axes (x to the right, y up). Boundaries count as inside.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

from remnants.errors import BadOutline, Fault
from remnants.geometry.tolerances import DUST_MM, TOLERANCE_MM
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = [
    "TOLERANCE_MM",
    "Outline",
    "Point",
    "Ring",
    "area_mm2",
    "bounds",
    "is_simple",
    "outline_of",
    "perimeter_mm",
    "rectangle",
    "ring_of",
    "round_outline",
]

LARGEST_MM = 1_000_000.0
"""Nothing on a floor is a kilometre long: a larger figure is a slip of the unit."""

MOST_COMPARED = 12
"""Edges of a ring up to which each is compared with each; of more, shapely is faster."""

SAGITTA_MM = 0.25
"""How far the polygon that stands for a circle may stray from it."""


Point = tuple[float, float]
Ring = tuple[Point, ...]


@dataclass(frozen=True)
class Outline:
    """A simple polygon, counter-clockwise, not closed, and the regions in it that can't be used.

    `ring` has 3 or more corners (mm). Cutouts are simple rings; they may overlap one another or reach over the edge.
    Make one with `outline_of`, which checks; the bare constructor trusts its caller.
    """

    ring: Ring
    cutouts: tuple[Ring, ...] = ()

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """(least x, least y, greatest x, greatest y) of the ring, mm."""
        return bounds(self.ring)

    @cached_property
    def usable(self) -> shapely.Polygon | shapely.MultiPolygon:
        """The region that carpet can be cut from: the ring less its cutouts (mm)."""
        whole = shapely.Polygon(self.ring)
        if not self.cutouts:
            return whole
        rest = whole.difference(shapely.union_all([shapely.Polygon(ring) for ring in self.cutouts]))
        return shapely.MultiPolygon([part for part in shapely.get_parts(rest) if isinstance(part, shapely.Polygon)])

    @cached_property
    def usable_area_mm2(self) -> float:
        """Area of the usable region, mm²."""
        if self.is_rectangle:
            left, bottom, right, top = self.bounds
            return (right - left) * (top - bottom)
        if not self.cutouts or self._cutouts_lie_apart():
            return abs(area_mm2(self.ring)) - sum(abs(area_mm2(ring)) for ring in self.cutouts)
        return float(self.usable.area)

    def _cutouts_lie_apart(self) -> bool:
        """True for a ring that is a rectangle along the axes, with cutouts whose boxes lie in it, clear of one another."""
        if not Outline(self.ring).is_rectangle:
            return False
        left, bottom, right, top = self.bounds
        boxes = [bounds(ring) for ring in self.cutouts]
        within = all(left <= x1 and bottom <= y1 and x2 <= right and y2 <= top for x1, y1, x2, y2 in boxes)
        return within and all(
            one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1] for one, two in combinations(boxes, 2)
        )

    @cached_property
    def is_rectangle(self) -> bool:
        """True for four square corners along the axes and no cutouts."""
        if len(self.ring) != 4 or self.cutouts:
            return False
        left, bottom, right, top = self.bounds
        return set(self.ring) == {(left, bottom), (right, bottom), (right, top), (left, top)}


def bounds(ring: Sequence[Point]) -> tuple[float, float, float, float]:
    """(least x, least y, greatest x, greatest y) of the points (mm)."""
    xs = [x for x, _ in ring]
    ys = [y for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def area_mm2(ring: Sequence[Point]) -> float:
    """Signed area of a ring, mm²: positive when it runs counter-clockwise."""
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs) / 2


def perimeter_mm(ring: Ring) -> float:
    """Length of the ring's edges together, mm."""
    return sum(math.dist(start, end) for start, end in zip(ring, (*ring[1:], ring[0]), strict=True))


def is_simple(ring: Ring) -> bool:
    """True if the ring neither crosses nor touches itself."""
    return _goes_round_once(ring) or bool(shapely.Polygon(ring).is_valid)


def _goes_round_once(ring: Ring) -> bool:
    """True for a ring that bends to the left at each corner and goes round once: seen in a tenth of the time."""
    rounds = 0
    x1, y1 = ring[-1][0] - ring[-2][0], ring[-1][1] - ring[-2][1]
    was_up = y1 > 0 or (y1 == 0 and x1 > 0)
    before = ring[-1]
    for point in ring:
        x2, y2 = point[0] - before[0], point[1] - before[1]
        if x1 * y2 - y1 * x2 <= DUST_MM:
            return False
        is_up = y2 > 0 or (y2 == 0 and x2 > 0)
        rounds += is_up and not was_up
        x1, y1, before, was_up = x2, y2, point, is_up
    return rounds == 1


def _apart_along_axes(ring: Ring) -> bool:
    """True for a ring of a few edges, all along the axes, that meet at their corners alone; False is no answer.

    Such an edge is its own box, so that comparing figures tells exactly which of them meet.
    """
    if len(ring) > MOST_COMPARED:
        return False
    boxes: list[tuple[float, float, float, float]] = []
    (x1, y1), (x2, y2) = ring[-2], ring[-1]
    was_level, was_up, was_right = y1 == y2, y2 > y1, x2 > x1
    x1, y1 = x2, y2
    for x2, y2 in ring:
        level = y1 == y2
        if level == (x1 == x2) or (level == was_level and (was_up, was_right) != (y2 > y1, x2 > x1)):
            return False  # neither along an axis, or back over the edge before
        was_level, was_up, was_right = level, y2 > y1, x2 > x1
        boxes.append((x1, y1, x2, y2) if x1 <= x2 and y1 <= y2 else (x2, y2, x1, y1))
        x1, y1 = x2, y2
    last = len(boxes) - 1
    for first, (left, bottom, right, top) in enumerate(boxes):
        for other in boxes[first + 2 : last if first == 0 else None]:
            if left <= other[2] and other[0] <= right and bottom <= other[3] and other[1] <= top:
                return False
    return True


def ring_of(points: Iterable[Sequence[float]], what: str = "outline") -> Ring:
    """A checked ring, counter-clockwise, from corners (mm) in either winding; a repeated last corner is dropped.

    Raises BadOutline: fewer than three corners, a figure that isn't finite or is over a kilometre, an edge without
    length, edges that cross or touch, no area.
    """
    ring = tuple((float(x), float(y)) for x, y in points)
    if len(ring) > 1 and math.dist(ring[0], ring[-1]) <= TOLERANCE_MM:
        ring = ring[:-1]
    if len(ring) < 3:
        raise BadOutline(f"the {what} has {len(ring)} corners; it needs at least three")
    for index, point in enumerate(ring):
        if not all(math.isfinite(value) and abs(value) <= LARGEST_MM for value in point):
            raise BadOutline([Fault(f"[{index}]", f"{point!r} is no place on a floor: give finite figures under 1 km")])
        if math.dist(point, ring[index - 1]) <= TOLERANCE_MM:
            raise BadOutline([Fault(f"[{index}]", f"the edge before corner {index} has no length; drop one corner")])
    if not (_apart_along_axes(ring) or shapely.Polygon(ring).is_valid):
        raise BadOutline(f"the {what} crosses or touches itself: {_meeting(ring)}; give its corners in order")
    signed = area_mm2(ring)
    if abs(signed) <= TOLERANCE_MM * perimeter_mm(ring):
        raise BadOutline(f"the {what} encloses no area")
    return ring if signed > 0 else (ring[0], *reversed(ring[1:]))


def _meeting(ring: Sequence[Point]) -> str:
    """Which two edges of a ring meet that shouldn't, by the corners they run between, counted from 0 as in files."""
    count = len(ring)
    edges = [shapely.LineString((ring[first], ring[(first + 1) % count])) for first in range(count)]
    pairs = sorted((int(first), int(second)) for first, second in shapely.STRtree(edges).query(edges, "intersects").T)
    for first, second in pairs:
        beside = second - first in (1, count - 1)
        if first < second and not (beside and isinstance(edges[first].intersection(edges[second]), shapely.Point)):
            runs = (f"the edge from corner {start} to {(start + 1) % count}" for start in (first, second))
            return " meets ".join(runs)
    return "two of its edges meet"


def outline_of(points: Iterable[Sequence[float]], cutouts: Iterable[Iterable[Sequence[float]]] = ()) -> Outline:
    """A checked Outline (mm). Raises BadOutline with places such as `[2]` and `cutouts[0][1]`."""
    ring = ring_of(points)
    rings = []
    faults: list[Fault] = []
    for index, cutout in enumerate(cutouts):
        try:
            rings.append(ring_of(cutout, "cutout"))
        except BadOutline as error:
            faults.extend(error.at(f"cutouts[{index}]").faults)
    if faults:
        raise BadOutline(faults)
    made = Outline(ring, tuple(rings))
    if rings and made.usable.is_empty:
        raise BadOutline([Fault("cutouts", "the cutouts leave nothing that can be used")])
    return made


def rectangle(width_mm: float, length_mm: float, corner: Point = (0.0, 0.0)) -> Outline:
    """A rectangle `width_mm` along x and `length_mm` along y from `corner`. Raises BadOutline when it has no size."""
    for name, value in (("width", width_mm), ("length", length_mm)):
        if not (math.isfinite(value) and TOLERANCE_MM < value <= LARGEST_MM):
            raise BadOutline([Fault(name, f"{value!r} mm is no {name}: give one above zero and under 1 km")])
    x, y = corner
    return Outline(((x, y), (x + width_mm, y), (x + width_mm, y + length_mm), (x, y + length_mm)))


def round_outline(centre: Point, radius_mm: float, *, outside: bool) -> Outline:
    """The regular polygon that stands for a circle (mm), within 0.25 mm of it.

    `outside` lies round the circle (a patch may only grow), otherwise inside it (a piece may only shrink).
    Raises BadOutline when the radius is not above zero.
    """
    if not (math.isfinite(radius_mm) and TOLERANCE_MM < radius_mm <= LARGEST_MM):
        raise BadOutline([Fault("radius", f"{radius_mm!r} mm is no radius: give one above zero and under 1 km")])
    half = math.acos(radius_mm / (radius_mm + SAGITTA_MM))
    corners = max(16, 8 * math.ceil(math.pi / half / 8))
    reach = radius_mm / math.cos(math.pi / corners) if outside else radius_mm
    steps = (2 * math.pi * (index + 0.5) / corners for index in range(corners))
    return outline_of([(centre[0] + reach * math.cos(step), centre[1] + reach * math.sin(step)) for step in steps])
