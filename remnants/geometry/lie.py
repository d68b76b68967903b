"""Where a part can lie on a piece: exact, touching allowed, cutouts avoided.

A part Q lies on ground D at the move v if Q + v is inside D. The moves that do are D (seen from a point of Q) less every
move at which Q meets an edge of D: for each edge and each convex share of Q, the edge swept by Q's mirror image.
Worked on whole micrometres. The ground is first grown by half the tolerance, so that an exact fit is a small region and not
a lost line; every move found is within the tolerance of true containment, and no true one is missed.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import pyclipper
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from remnants.geometry.hull import grid_hull
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, bounds
from remnants.geometry.shares import convex_shares, is_convex

__all__ = ["MICRONS", "Ground", "Paths", "Region", "apart", "fits", "grid_shares", "line_region", "overlap", "region"]

MICRONS = 1000.0
"""Whole micrometres in a millimetre: the grid that regions are worked on."""

SLACK = round(TOLERANCE_MM * MICRONS / 2)
"""Half the tolerance in micrometres: what the ground is grown by on every side."""

TOUCH = 2
"""Micrometres by which two regions are grown to see whether they touch."""

Paths = list[list[list[int]]]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Ground:
    """A piece's usable region made ready for questions, in whatever axes its outline is given in (mm)."""

    outline: Outline

    @cached_property
    def exact(self) -> Paths:
        """The usable region on the grid: outer rings counter-clockwise, holes clockwise."""
        return _paths(self.outline)

    @cached_property
    def grown(self) -> Paths:
        """The usable region grown by half the tolerance."""
        if self.outline.is_rectangle:
            left, bottom, right, top = _grid_box(self.outline.bounds)
            left, bottom, right, top = left - SLACK, bottom - SLACK, right + SLACK, top + SLACK
            return [[[left, bottom], [right, bottom], [right, top], [left, top]]]
        offset = pyclipper.PyclipperOffset(2.0)
        offset.AddPaths(self.exact, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
        paths: Paths = offset.Execute(SLACK)
        return paths

    @cached_property
    def edges(self) -> Ints:
        """Every edge of the grown region: (n, 2, 2) micrometres."""
        return _edges(self.grown)

    @cached_property
    def exact_edges(self) -> Ints:
        """Every edge of the region itself: (n, 2, 2) micrometres."""
        return _edges(self.exact)


@dataclass(frozen=True)
class Region:
    """The moves (mm) at which a part lies on its ground; `paths` in micrometres. Empty when there are none."""

    paths: Paths

    def __bool__(self) -> bool:
        return bool(self.paths)

    def corners(self) -> tuple[Point, ...]:
        """The corner moves (mm), in a settled order: lowest first, then leftmost."""
        found = {(x, y) for path in self.paths for x, y in path}
        return tuple((x / MICRONS, y / MICRONS) for x, y in sorted(found, key=lambda move: (move[1], move[0])))

    def middles(self) -> tuple[Point, ...]:
        """The corners (mm) of the region drawn in by all but a micrometre of its slack, lowest first: true contact.

        Where a part just fits, the region is the places of contact, widened by the slack; they may be lines with corners of
        their own. Each is set to a round hundredth of a millimetre where that is in the region.
        """
        for draw_in in (SLACK - 1, SLACK // 2, 0):
            offset = pyclipper.PyclipperOffset(2.0)
            offset.AddPaths(self.paths, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
            paths = offset.Execute(-draw_in)
            if paths:
                return tuple(dict.fromkeys(self._rounded(move) for move in Region(paths).corners()))
        centres = [((left + right) / 2, (low + high) / 2) for left, low, right, high in map(bounds, self._tuples())]
        held = [(x / MICRONS, y / MICRONS) for x, y in centres if self.holds((x / MICRONS, y / MICRONS))]
        return tuple(held) or self.corners()  # a point or a line: there is no inside to draw in

    def _tuples(self) -> list[list[Point]]:
        return [[(x, y) for x, y in path] for path in self.paths]

    def _rounded(self, move: Point) -> Point:
        round_move = (round(move[0], 2), round(move[1], 2))
        return round_move if self.holds(round_move) else move

    @property
    def box(self) -> tuple[float, float, float, float]:
        """(least x, least y, greatest x, greatest y) of the moves, mm; the region must not be empty."""
        left, bottom, right, top = bounds([(x, y) for path in self.paths for x, y in path])
        return left / MICRONS, bottom / MICRONS, right / MICRONS, top / MICRONS

    def holds(self, move: Point) -> bool:
        """True if a move (mm), to the nearest micrometre, is in the region or on its edge."""
        point = (round(move[0] * MICRONS), round(move[1] * MICRONS))
        inside = False
        for path in self.paths:
            place = pyclipper.PointInPolygon(point, path)
            if place == -1:
                return True
            inside ^= place == 1
        return inside


def fits(ground: Ground, part: Ring) -> bool:
    """True if the part (mm, its turn already right) lies somewhere on the ground, within the tolerance."""
    return bool(region(ground, part))


def region(ground: Ground, part: Ring, *, slack: bool = True) -> Region:
    """All moves (mm) that bring `part` inside the ground. `slack` False leaves the half tolerance off: true contact."""
    if ground.outline.is_rectangle:
        return _in_box(ground, part, slack=slack)
    paths, edges = (ground.grown, ground.edges) if slack else (ground.exact, ground.exact_edges)
    if not paths:
        return Region([])
    (x0, y0), shares = _seen_from_inside(part)
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(paths, pyclipper.PT_SUBJECT, True)
    for share in shares:
        clipper.AddPaths(_sweeps(edges, share).tolist(), pyclipper.PT_CLIP, True)
    found: Paths = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return Region([[[x - x0, y - y0] for x, y in path] for path in found])


def line_region(ground: Ground, axis: int, length_mm: float) -> Paths:
    """The places (micrometres) of the low end of a line `length_mm` long along `axis` (0 = x, 1 = y) inside the ground."""
    paths, edges = ground.grown, ground.edges
    if not paths:
        return []
    reach = round(length_mm * MICRONS)
    line = np.array([[0, 0], [reach, 0] if axis == 0 else [0, reach]], dtype=np.int64)
    middle = reach // 2  # a line that touches from outside has its middle outside
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(
        [[[x - middle, y] if axis == 0 else [x, y - middle] for x, y in path] for path in paths], pyclipper.PT_SUBJECT, True
    )
    swept = _sweeps(edges, line)
    one, two = swept[:, 1] - swept[:, 0], swept[:, 3] - swept[:, 0]
    solid = one[:, 0] * two[:, 1] != one[:, 1] * two[:, 0]
    if solid.any():
        clipper.AddPaths(swept[solid].tolist(), pyclipper.PT_CLIP, True)
    found: Paths = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return found


@lru_cache(maxsize=4096)
def grid_shares(ring: Ring) -> tuple[Ints, ...]:
    """Convex shares on the grid, counter-clockwise: each (corners, 2) micrometres."""
    shares = []
    for share in convex_shares(ring):
        corners = np.rint(np.array(share) * MICRONS).astype(np.int64)
        keep = np.any(corners != np.roll(corners, 1, axis=0), axis=1)
        shares.append(corners[keep] if keep.sum() >= 3 else corners)
    return tuple(shares)


def apart(first: Ring, second: Ring, moves_first: Region, moves_second: Region) -> tuple[Point, Point] | None:
    """Moves for two parts of one ground, each within its region, at which they don't overlap; None if there are none.

    With R1 and R2 the regions and N the relative moves at which the parts overlap, it works if and only if
    R2 + -R1 has a point outside the inside of N.
    """
    if not moves_first or not moves_second:
        return None
    relative = _differences(moves_second.paths, moves_first.paths)
    blocked = [
        grid_hull([(int(p[0] - q[0]), int(p[1] - q[1])) for p in one for q in two])
        for one in grid_shares(first)
        for two in grid_shares(second)
    ]
    shrunk = _shrunk(blocked)
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(relative, pyclipper.PT_SUBJECT, True)
    if shrunk:
        clipper.AddPaths(shrunk, pyclipper.PT_CLIP, True)
    free = clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    for step in sorted({(x, y) for path in free for x, y in path}, key=lambda move: (abs(move[0]) + abs(move[1]), move)):
        base = _common(moves_first.paths, [[[x - step[0], y - step[1]] for x, y in path] for path in moves_second.paths])
        if base is not None:
            return (base[0] / MICRONS, base[1] / MICRONS), ((base[0] + step[0]) / MICRONS, (base[1] + step[1]) / MICRONS)
    return None


def overlap(one: Ring, two: Ring) -> bool:
    """True if two rings (mm) share more than the tolerance allows where they touch."""
    shared = (
        Polygon(one)
        .buffer(-TOLERANCE_MM / 2, join_style="mitre")
        .intersection(Polygon(two).buffer(-TOLERANCE_MM / 2, join_style="mitre"))
    )
    return bool(shared.area > 0)


def _in_box(ground: Ground, part: Ring, *, slack: bool) -> Region:
    """Closed form: the part's bounds against a rectangle."""
    give = SLACK if slack else 0
    left, bottom, right, top = _grid_box(ground.outline.bounds)
    x0, y0, x1, y1 = _grid_box(bounds(part))
    low_x, high_x, low_y, high_y = left - give - x0, right + give - x1, bottom - give - y0, top + give - y1
    if low_x > high_x or low_y > high_y:
        return Region([])
    return Region([[[low_x, low_y], [high_x, low_y], [high_x, high_y], [low_x, high_y]]])


def _sweeps(edges: Ints, share: Ints) -> Ints:
    """For each edge, the moves at which the convex share meets it: (edges, corners + 2, 2), counter-clockwise.

    The sum of a segment and a convex ring: walk the mirrored ring from the corner farthest to the right of the edge to the one
    farthest to its left standing at the edge's end, and back standing at its start.
    """
    mirror = -share
    count = len(mirror)
    start, along = edges[:, 0, :], edges[:, 1, :] - edges[:, 0, :]
    side = along[:, 0:1] * mirror[None, :, 1] - along[:, 1:2] * mirror[None, :, 0]
    lowest, highest = side.argmin(axis=1), side.argmax(axis=1)
    turn = (np.arange(count + 2)[None, :]) + lowest[:, None]
    span = (highest - lowest) % count
    step = np.arange(count + 2)[None, :]
    at_end = step <= span[:, None]
    index = np.where(at_end, turn, turn - 1) % count
    index = np.where(step == count + 1, lowest[:, None], index)
    swept: Ints = start[:, None, :] + mirror[index] + np.where(at_end[:, :, None], along[:, None, :], 0)
    return swept


@lru_cache(maxsize=4096)
def _seen_from_inside(ring: Ring) -> tuple[tuple[int, int], tuple[Ints, ...]]:
    """A place inside a part (at its edge, touching from outside would count), and its convex shares seen from there."""
    shares = grid_shares(ring)
    place = shares[0].mean(axis=0).round().astype(np.int64)
    return (int(place[0]), int(place[1])), tuple(share - place for share in shares)


def _paths(outline: Outline) -> Paths:
    """The usable region on the grid."""
    paths: Paths = []
    for polygon in shapely.get_parts(shapely.orient_polygons(outline.usable)) if outline.cutouts else (outline.usable,):
        for ring in (polygon.exterior, *polygon.interiors):
            paths.append(np.rint(np.array(ring.coords[:-1]) * MICRONS).astype(np.int64).tolist())
    return paths


def _edges(paths: Paths) -> Ints:
    if not paths:
        return np.empty((0, 2, 2), dtype=np.int64)
    rings = [np.array(path, dtype=np.int64) for path in paths]
    return np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings])


def _grid_box(box: tuple[float, float, float, float]) -> tuple[int, int, int, int]:
    left, bottom, right, top = (round(value * MICRONS) for value in box)
    return left, bottom, right, top


def _shrunk(paths: Paths) -> Paths:
    """The union of the paths less half the tolerance at its edge: parts that touch don't overlap."""
    offset = pyclipper.PyclipperOffset(2.0)
    offset.AddPaths(pyclipper.SimplifyPolygons(paths, pyclipper.PFT_NONZERO), pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
    shrunk: Paths = offset.Execute(-SLACK)
    return shrunk


def _differences(plus: Paths, minus: Paths) -> Paths:
    """The set {a - b} for a in one region and b in the other."""
    sums: Paths = []
    for one in _region_shares(plus):
        for two in _region_shares(minus):
            sums.append(grid_hull([(p[0] - q[0], p[1] - q[1]) for p in one for q in two]))
    united: Paths = pyclipper.SimplifyPolygons(sums, pyclipper.PFT_NONZERO)
    return united


def _region_shares(paths: Paths) -> list[list[tuple[int, int]]]:
    """A region (outer rings and holes) as convex rings of grid points."""
    if len(paths) == 1 and is_convex(tuple((x, y) for x, y in paths[0])):
        return [[(x, y) for x, y in paths[0]]]
    shape = shapely.union_all([_uncrossed(path) for path in paths if pyclipper.Orientation(path)])
    holes = [_uncrossed(path) for path in paths if not pyclipper.Orientation(path)]
    if holes:
        shape = shape.difference(shapely.union_all(holes))
    triangles = shapely.constrained_delaunay_triangles(shape)
    return [[(round(x), round(y)) for x, y in triangle.exterior.coords[:-1]] for triangle in shapely.get_parts(triangles)]


def _uncrossed(path: list[list[int]]) -> BaseGeometry:
    """What a path goes round. A wedge of micrometres, where a part just fits, may cross another one when set on the grid."""
    shape: BaseGeometry = Polygon(path)
    return shape if shape.is_valid else shapely.make_valid(shape)


def _common(one: Paths, two: Paths) -> tuple[float, float] | None:
    """A point (micrometres) of both regions, touching counts; None if they are apart.

    Both are grown by `TOUCH` so that a touch has area. Where little more than that is shared, its middle is the true touch.
    """
    grown = []
    for paths in (one, two):
        offset = pyclipper.PyclipperOffset(2.0)
        offset.AddPaths(paths, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
        grown.append(offset.Execute(TOUCH))
    if not all(grown):  # a region that is a line, at the very end of the tolerance
        return None
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths(grown[0], pyclipper.PT_SUBJECT, True)
    clipper.AddPaths(grown[1], pyclipper.PT_CLIP, True)
    shared = clipper.Execute(pyclipper.CT_INTERSECTION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    if not shared:
        return None
    left, bottom, right, top = bounds([(x, y) for x, y in shared[0]])
    middle = ((left + right) / 2, (bottom + top) / 2)
    if max(right - left, top - bottom) <= 4 * TOUCH:
        return middle
    x, y = min(((x, y) for x, y in shared[0]), key=lambda p: (abs(p[0] - middle[0]) + abs(p[1] - middle[1]), p[1], p[0]))
    return float(x), float(y)
