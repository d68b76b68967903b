"""What is left of a piece once cuts are taken out of it."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, is_simple
from remnants.geometry.tolerances import ASLANT_MM, HAIR_MM, SPECK_MM, TIP_MM
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["remainders"]


def remainders(outline: Outline, cuts: Sequence[Ring]) -> tuple[Outline, ...]:
    """The connected remains of the usable region of `outline` after `cuts`, largest first (mm, the piece's own axes).

    Corners of a cut within the tolerance of one of the piece, and upright and level sides within it of a line through one, are
    set on it. What is thinner than the tolerance is dropped, and specks that have less than two millimetres of edge together,
    so that the remains are outlines that could have been measured: their area, the cuts, slivers and specks make up the usable
    area. What hangs together by less than the tolerance is told as two remains, and no ring touches itself. What a remain
    encloses becomes a cutout. Empty when nothing is left. Never raises for cuts that overlap or reach outside: on floats as
    they come, clipping edges that almost coincide breaks off, or leaves a cut out without a word; on a grid it does neither.
    """
    rest: shapely.Geometry = outline.usable
    if cuts:
        taken = [shapely.Polygon(ring) for ring in (*outline.cutouts, *_set_on_lines(outline, cuts))]
        rest = shapely.difference(shapely.Polygon(outline.ring), shapely.union_all(taken, grid_size=HAIR_MM), grid_size=HAIR_MM)
    made = [remain for part in _polygons(rest) for remain in _tidied(part)]
    made.sort(key=lambda remain: (-remain.usable_area_mm2, remain.bounds))
    specks = 0.0
    while made and (specks := specks + made[-1].usable.length) <= SPECK_MM:
        made.pop()
    return tuple(made)


def _polygons(region: shapely.Geometry) -> list[shapely.Polygon]:
    return [part for part in shapely.get_parts(region) if isinstance(part, shapely.Polygon) and not part.is_empty]


def _set_on_lines(outline: Outline, cuts: Sequence[Ring]) -> list[Ring]:
    """The cuts with each corner set on one of the outline's, and each upright or level side on a line through one of its or of
    an earlier cut's corners, where they are equal within the tolerance.

    Any other slanted side stays where it is: moved across or along at one end alone it would lie askew, and what is left beside
    it be told too thin. A cut that would cross itself stays as it is.
    """
    corners = sorted(point for ring in (outline.ring, *outline.cutouts) for point in ring)
    across = sorted({x for x, _ in corners})
    along = sorted({y for _, y in corners})
    found = [(ring, _set_on(ring, corners, (across, along))) for ring in cuts]
    return [settled if settled == ring or is_simple(settled) else ring for ring, settled in found]


def _set_on(ring: Ring, corners: Sequence[Point], lines: tuple[list[float], list[float]]) -> Ring:
    """The ring with corners set on these (sorted); others set across where an upright side ends, along where a level one does."""
    across, along = lines
    told = []
    for before, (x, y), after in zip((ring[-1], *ring[:-1]), ring, (*ring[1:], ring[0]), strict=True):
        near = corners[bisect_left(corners, (x - TOLERANCE_MM,)) : bisect_right(corners, (x + TOLERANCE_MM, math.inf))]
        at_corner = any(abs(y - v) <= TOLERANCE_MM for _, v in near)
        upright = min(abs(before[0] - x), abs(after[0] - x)) <= TOLERANCE_MM
        level = min(abs(before[1] - y), abs(after[1] - y)) <= TOLERANCE_MM
        told.append((_settled(across, x) if at_corner or upright else x, _settled(along, y) if at_corner or level else y))
    return tuple(told)


def _settled(known: list[float], value: float) -> float:
    """The known value equal to `value` within the tolerance, the nearest if several; else `value`, known from now on."""
    place = bisect_left(known, value)
    nearest = min(known[max(place - 1, 0) : place + 1], key=lambda other: abs(other - value))
    if abs(nearest - value) <= TOLERANCE_MM:
        return nearest
    known.insert(place, value)
    return value


def _tidied(part: shapely.Polygon) -> list[Outline]:
    """The polygon as outlines without slivers; mostly one."""
    made = _outline(part)
    if made is None:
        return []
    if _keeps_off_itself(made, TOLERANCE_MM):
        return [] if _is_sliver(made.usable) else [made]
    return _opened(part)


def _outline(part: shapely.Polygon) -> Outline | None:
    """The polygon's rings without dust; None if nothing is left."""
    ring = _without_dust(part.exterior.coords[:-1])
    holes = [_without_dust(inner.coords[:-1]) for inner in part.interiors]
    return Outline(ring, tuple(hole for hole in holes if hole)) if ring else None


def _keeps_off_itself(made: Outline, least_mm: float) -> bool:
    """True if no ring crosses itself or comes as near to itself as that."""
    rings = [shapely.Polygon(ring) for ring in (made.ring, *made.cutouts)]
    return all(ring.is_valid and shapely.minimum_clearance(ring) > least_mm for ring in rings)


def _opened(part: shapely.Polygon) -> list[Outline]:
    """The rare polygon that touches itself: shrunk by the tolerance, so that it falls apart, and each piece grown back in it.

    A piece that touches itself again stays shrunk. Its sharp tips, which growing back leaves blunt, are those that they were.
    """
    half = TOLERANCE_MM / 2
    corners = [(float(x), float(y)) for ring in (part.exterior, *part.interiors) for x, y in ring.coords[:-1]]
    found = []
    for piece in _polygons(part.buffer(-half, join_style="mitre", mitre_limit=2.0)):
        back = shapely.intersection(piece.buffer(half, join_style="mitre", mitre_limit=2.0), part, grid_size=HAIR_MM)
        blunt = [_outline(_with_tips(each, corners)) for each in _polygons(back)]
        grown = [made for made in blunt if made and not _is_sliver(made.usable)]
        shrunk = _outline(piece)
        if all(_keeps_off_itself(made, HAIR_MM) for made in grown):
            found += grown
        elif shrunk is not None:
            found.append(shrunk)
    return found


def _with_tips(part: shapely.Polygon, corners: Sequence[Point]) -> shapely.Polygon:
    """The polygon with each short edge that is the blunt end of a tip run out to the one of the corners that was the tip."""
    ring = [(float(x), float(y)) for x, y in part.exterior.coords[:-1]]
    tips: dict[int, Point] = {}
    for index in range(len(ring)):
        before, one, two, after = (ring[(index + step) % len(ring)] for step in (-1, 0, 1, 2))
        beside = {index - 1, (index + 1) % len(ring)}  # of two short edges that meet one alone can be an end
        if math.dist(one, two) <= 2 * TOLERANCE_MM and not beside & set(tips):
            tips |= [(index, tip) for tip in corners if _leads_to(before, one, tip) and _leads_to(after, two, tip)]
    points = [tips.get(index, point) for index, point in enumerate(ring) if (index - 1) % len(ring) not in tips]
    return shapely.Polygon(points, part.interiors) if len(points) > 2 else part


def _leads_to(start: Point, end: Point, tip: Point) -> bool:
    """True if an edge leads on to a point beyond its end and near it; all three lie on the grid, so it may miss it by that."""
    (x, y), (u, v) = (end[0] - start[0], end[1] - start[1]), (tip[0] - end[0], tip[1] - end[1])
    return math.hypot(u, v) <= TIP_MM and x * u + y * v >= 0 and abs(x * v - y * u) <= 4 * HAIR_MM * math.hypot(x, y)


def _is_sliver(region: shapely.Polygon | shapely.MultiPolygon) -> bool:
    """True when the region is nowhere thicker than the tolerance, seen aslant."""
    if region.area > ASLANT_MM * region.length:
        return False
    return bool(region.buffer(-ASLANT_MM / 2).is_empty)


def _without_dust(points: Sequence[Sequence[float]]) -> Ring | None:
    """The ring, counter-clockwise, without corners that bend or stick out by less than the tolerance; None if nothing is left."""
    corners: list[Point] = [(float(point[0]), float(point[1])) for point in points]
    index, quiet = 0, 0
    while len(corners) >= 3 and quiet < len(corners):
        index %= len(corners)
        before, here, after = corners[index - 1], corners[index], corners[(index + 1) % len(corners)]
        if _is_dust(before, here, after):
            del corners[index]
            index, quiet = max(index - 1, 0), 0
        else:
            index, quiet = index + 1, quiet + 1
    if len(corners) < 3:
        return None
    ring = tuple(corners)
    return ring if area_mm2(ring) > 0 else (ring[0], *reversed(ring[1:]))


def _is_dust(before: Point, here: Point, after: Point) -> bool:
    """True for a corner equal to its neighbour, on the line between both, or the tip of a spike, within the tolerance."""
    if math.dist(before, here) <= TOLERANCE_MM:
        return True
    twice_area = abs((here[0] - before[0]) * (after[1] - before[1]) - (here[1] - before[1]) * (after[0] - before[0]))
    return twice_area <= TOLERANCE_MM / 10 * max(math.dist(before, after), math.dist(before, here), math.dist(here, after))
