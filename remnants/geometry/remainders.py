"""What is left of a piece once cuts are taken out of it."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, is_simple
from remnants.geometry.tolerances import ASLANT_MM, HAIR_MM, SLIDE_MM, SPECK_MM, TIP_MM
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = ["remainders"]

Side = tuple[Point, Point]
"""From a corner of a ring to the next."""


def remainders(outline: Outline, cuts: Sequence[Ring]) -> tuple[Outline, ...]:
    """The connected remains of the usable region of `outline` after `cuts`, largest first (mm, the piece's own axes).

    Sides of a cut within the tolerance of an edge of the piece, and upright and level ones within it of a line through a corner,
    are set on it. What is thinner than the tolerance is dropped, and specks that have less than two millimetres of edge together,
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
    """The cuts with each upright or level side on a line through one of the outline's or of an earlier cut's corners, and each
    slanted one on the line of one of the outline's edges, where they are equal within the tolerance.

    Sides are moved and corners only along with them, to where their two sides meet: any other slanted side stays on its line.
    With one end moved it would lie askew, and what is left beside it be told too thin. A cut that would cross itself stays as it
    is.
    """
    corners = [point for ring in (outline.ring, *outline.cutouts) for point in ring]
    across = sorted({x for x, _ in corners})
    along = sorted({y for _, y in corners})
    edges = _Edges([side for ring in (outline.ring, *outline.cutouts) for side in _sides(ring)])
    found = [(ring, _set_on(ring, edges, (across, along))) for ring in cuts]
    return [settled if settled == ring or is_simple(settled) else ring for ring, settled in found]


def _sides(ring: Ring) -> list[Side]:
    """The sides of a ring, each from a corner to the next, the last one first."""
    return list(pairwise((ring[-1], *ring)))


def _upright(side: Side) -> bool:
    return abs(side[0][0] - side[1][0]) <= TOLERANCE_MM


def _level(side: Side) -> bool:
    return abs(side[0][1] - side[1][1]) <= TOLERANCE_MM


def _set_on(ring: Ring, edges: _Edges, lines: tuple[list[float], list[float]]) -> Ring:
    """The ring with its slanted sides on these edges, its others on these lines across and along, each where it lies there."""
    across, along = lines
    sides = _sides(ring)
    slanted = [None if _upright(side) or _level(side) else edges.under(side) for side in sides]
    told = []
    for index, (x, y) in enumerate(ring):
        both = [(sides[each], slanted[each]) for each in (index, (index + 1) % len(ring))]
        upright, level = (any(lies(side) for side, _ in both) for lies in (_upright, _level))
        here = (_settled(across, x) if upright else x, _settled(along, y) if level else y)
        leaning = [edge or side for side, edge in both if not _upright(side) and not _level(side)]
        if leaning and not (upright and level):
            here = _met(here, leaning, upright=upright, level=level)
        most = SLIDE_MM if _blunt(both[0][0], both[1][0]) else ASLANT_MM
        told.append(here if math.dist(here, (x, y)) <= most else (x, y))
    return tuple(told)


def _blunt(one: Side, two: Side) -> bool:
    """True where the next side leads on rather than back: at a sharp corner a tip would slide away."""
    (x1, y1), (x2, y2), (x3, y3) = *one, two[1]
    return (x2 - x1) * (x3 - x2) + (y2 - y1) * (y3 - y2) > 0


class _Edges:
    """Slanted edges, by their left ends: of hundreds only those are tried that lie above or below a side."""

    def __init__(self, sides: Sequence[Side]) -> None:
        self._edges = sorted((side for side in sides if not _upright(side) and not _level(side)), key=_left)
        self._widest = max((abs(one[0] - two[0]) for one, two in self._edges), default=0.0)

    def under(self, side: Side) -> Side | None:
        """The edge on whose line both ends of the side lie within the tolerance, and beside which it runs; None without one."""
        (x1, y1), (x2, y2) = side
        first = bisect_left(self._edges, _left(side) - self._widest - TOLERANCE_MM, key=_left)
        for place in range(first, len(self._edges)):
            (u1, v1), (u2, v2) = self._edges[place]
            if min(u1, u2) > max(x1, x2) + TOLERANCE_MM:
                break
            du, dv = u2 - u1, v2 - v1
            most = TOLERANCE_MM * math.hypot(du, dv)
            if abs((x1 - u1) * dv - (y1 - v1) * du) > most or abs((x2 - u1) * dv - (y2 - v1) * du) > most:
                continue
            ends = sorted(((x - u1) * du + (y - v1) * dv) / (du * du + dv * dv) for x, y in side)
            if ends[0] < 1 and ends[1] > 0:
                return self._edges[place]
        return None


def _left(side: Side) -> float:
    return min(side[0][0], side[1][0])


def _met(here: Point, lines: Sequence[Side], *, upright: bool, level: bool) -> Point:
    """Where a corner lies whose slanted sides are on these lines; an upright or level side of it is set by `here`."""
    x, y = here
    (u1, v1), (u2, v2) = lines[0]
    du, dv = u2 - u1, v2 - v1
    if upright:
        return x, v1 + (x - u1) * dv / du
    if level:
        return u1 + (y - v1) * du / dv, y
    (s1, t1), (s2, t2) = lines[1]
    ds, dt = s2 - s1, t2 - t1
    turned = du * dt - dv * ds
    if turned == 0:
        return here
    way = ((s1 - u1) * dt - (t1 - v1) * ds) / turned
    return u1 + way * du, v1 + way * dv


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
