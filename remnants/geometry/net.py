"""Lines as a net: the faces that they enclose, the ends that are loose, and what would close these. Lengths are millimetres."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from remnants.geometry.outline import Point, Ring, area_mm2
from remnants.geometry.tolerances import TOLERANCE_MM
from remnants.late import Late

if TYPE_CHECKING:
    import shapely
else:
    shapely = Late("shapely")

__all__ = [
    "Bridge",
    "Face",
    "beside",
    "bridges",
    "covered_by",
    "faces",
    "is_narrower",
    "loose_ends",
    "overlaps",
    "pairs_alike",
    "short_box",
    "together",
    "within_others",
]

Path = tuple[Point, ...]

STUB_MM = 20.0
"""What a line reaches past the one that it ends at, at the most, is a slip and no wall (common practice, no source)."""


@dataclass(frozen=True)
class Face:
    """What lines enclose: its `ring`, counter-clockwise, and the holes that other lines leave in it."""

    ring: Ring
    holes: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class Bridge:
    """What closes a gap: from a loose end to what it should meet, over the corner that both lines run at where they have one."""

    path: Path

    @property
    def gap_mm(self) -> float:
        """The width of the gap."""
        return math.dist(self.path[0], self.path[-1])


def faces(paths: Iterable[Path]) -> tuple[Face, ...]:
    """What the paths enclose, each face once, smallest places first. Corners that no turn is at are left out."""
    lines = _noded(paths)
    found = [] if lines is None else [_face(part) for part in shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))]
    return tuple(sorted((face for face in found if face is not None), key=lambda face: face.ring))


def loose_ends(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The lines that end at nothing, each from its loose end on."""
    lines = _noded(paths)
    return () if lines is None else _loose(_parts(lines))


def bridges(paths: Sequence[Path], width_mm: float) -> tuple[Bridge, ...]:
    """What closes each gap of up to `width_mm` between a loose end and another, or a line beside it. Stubs stay.

    An end runs on as it was going where that meets a line sooner than another end lies; the nearest line is the last resort.
    """
    lines = _noded(paths)
    if lines is None:
        return ()
    parts = _without_stubs(_parts(lines), min(width_mm, STUB_MM))
    loose, around = _loose(parts), _Around(parts)
    ends = shapely.MultiPoint([path[0] for path in loose])
    ways = [(index, way) for index, path in enumerate(loose) if (way := around.ahead(path, width_mm))]
    ahead = [(*way, index, -1) for index, way in ways if ends.distance(shapely.Point(way[1])) > TOLERANCE_MM]
    pairs = [(away, loose[two][0], one, two) for away, one, two in _near(loose, width_mm)]
    found: list[Bridge] = []
    met: set[int] = set()
    for _, to, one, two in sorted(ahead + pairs):
        if one not in met and two not in met:
            met |= {one, two} - {-1}
            found.append(Bridge(_joined(loose[one], loose[two], width_mm) if two >= 0 else _past(loose[one][0], to)))
    for index, path in enumerate(loose):
        nearest = None if index in met else around.nearest(path, width_mm)
        if nearest:
            found.append(Bridge(_past(path[0], nearest)))
    return tuple(found)


class _Around:
    """The lines beside an end."""

    def __init__(self, parts: Sequence[Path]) -> None:
        self.parts = parts
        self.lines = [shapely.LineString(part) for part in parts]
        self.tree = shapely.STRtree(self.lines)

    def ahead(self, path: Path, width_mm: float) -> tuple[float, Point] | None:
        """How far on, as the end was going, the next line lies, and where."""
        (ax, ay), (bx, by) = path[0], path[1]
        share = width_mm / math.dist(path[0], path[1])
        way = shapely.LineString((path[0], (ax + (ax - bx) * share, ay + (ay - by) * share)))
        meet = shapely.get_coordinates([way.intersection(line) for line in self._beside(path, way)])
        return min(((math.dist(path[0], (x, y)), (float(x), float(y))) for x, y in meet), default=None)

    def nearest(self, path: Path, width_mm: float) -> Point | None:
        """The nearest place on another line."""
        end = shapely.Point(path[0])
        ways = [shapely.shortest_line(end, line) for line in self._beside(path, end.buffer(width_mm))]
        near = min(((way.length, tuple(way.coords[-1])) for way in ways), default=None)
        return (float(near[1][0]), float(near[1][1])) if near and near[0] <= width_mm else None

    def _beside(self, path: Path, place: shapely.Geometry) -> list[shapely.LineString]:
        return [self.lines[at] for at in sorted(self.tree.query(place)) if self.parts[at] not in (path, path[::-1])]


def apart(rings: Sequence[Ring], most_mm: float) -> tuple[tuple[int, int, float], ...]:
    """The pairs of rings that stand up to `most_mm` apart and don't touch, each with how far (mm)."""
    shapes = [shapely.Polygon(ring) for ring in rings]
    pairs = zip(*shapely.STRtree(shapes).query(shapes, "dwithin", most_mm), strict=True) if shapes else ()
    near = sorted((int(one), int(two), float(shapes[one].distance(shapes[two]))) for one, two in pairs if one < two)
    return tuple(pair for pair in near if pair[2] > TOLERANCE_MM)


def beside(rings: Sequence[Ring], paths: Sequence[Path]) -> tuple[tuple[int, ...], ...]:
    """For each ring the places of the paths that meet it or lie in it."""
    found: list[list[int]] = [[] for _ in rings]
    tree = shapely.STRtree([shapely.LineString(path) for path in paths])
    grown = [shapely.Polygon(ring).buffer(TOLERANCE_MM, join_style="mitre") for ring in rings]
    for ring, path in zip(*tree.query(grown, "intersects"), strict=True) if grown else ():
        found[ring].append(int(path))
    return tuple(tuple(sorted(each)) for each in found)


def is_narrower(face: Face, width_mm: float) -> bool:
    """True if a round of `width_mm` across has no place in the face, its holes left out."""
    return bool(shapely.Polygon(face.ring, face.holes).buffer(-width_mm / 2 + TOLERANCE_MM).is_empty)


def within_others(rings: Sequence[Ring]) -> tuple[tuple[int, ...], ...]:
    """For each ring the larger ones that it lies in, smallest first; a ring that equals another lies in none for that."""
    if not rings:
        return ()
    shapes = [shapely.Polygon(ring) for ring in rings]
    tree = shapely.STRtree(shapes)
    grown = [shape.buffer(TOLERANCE_MM, join_style="mitre") for shape in shapes]
    around: list[list[int]] = [[] for _ in rings]
    for outer, inner in zip(*tree.query(grown, "covers"), strict=True):
        if outer != inner and shapes[outer].area - shapes[inner].area > TOLERANCE_MM * shapes[outer].length:
            around[inner].append(int(outer))
    return tuple(tuple(sorted(found, key=lambda index: (shapes[index].area, index))) for found in around)


def covered_by(rings: Sequence[Ring], others: Sequence[Ring]) -> tuple[bool, ...]:
    """For each ring whether it lies in one of the others, edges included."""
    if not rings or not others:
        return (False,) * len(rings)
    tree = shapely.STRtree([shapely.Polygon(ring).buffer(TOLERANCE_MM, join_style="mitre") for ring in others])
    inside = {int(index) for index in tree.query([shapely.Polygon(ring) for ring in rings], "covered_by")[0]}
    return tuple(index in inside for index in range(len(rings)))


def overlaps(rings: Sequence[Ring]) -> tuple[tuple[int, int, float], ...]:
    """The pairs of rings that share more than their edges, each with the area that they share, mm²."""
    shapes = [shapely.Polygon(ring).buffer(-TOLERANCE_MM, join_style="mitre") for ring in rings]
    tree = shapely.STRtree(shapes)
    pairs = sorted((int(one), int(two)) for one, two in zip(*tree.query(shapes, "intersects"), strict=True) if one < two)
    return tuple((one, two, float(shapes[one].intersection(shapes[two]).area)) for one, two in pairs)


def together(paths: Sequence[Path], reach_mm: float) -> tuple[tuple[int, ...], ...]:
    """The paths in groups of those that lie within `reach_mm` of each other, over one another too; by their places."""
    lines = [shapely.LineString(path) for path in paths]
    leader = list(range(len(lines)))

    def first(index: int) -> int:
        while leader[index] != index:
            leader[index] = leader[leader[index]]
            index = leader[index]
        return index

    for one, two in zip(*shapely.STRtree(lines).query(lines, "dwithin", reach_mm), strict=True) if lines else ():
        ends = sorted((first(int(one)), first(int(two))))
        leader[ends[1]] = ends[0]
    groups: dict[int, list[int]] = {}
    for index in range(len(lines)):
        groups.setdefault(first(index), []).append(index)
    return tuple(tuple(group) for group in groups.values())


def pairs_alike(rings: Sequence[Ring]) -> tuple[tuple[int, int], ...]:
    """The pairs of rings that are the same within the tolerance, by their places."""
    shapes = [shapely.Polygon(ring) for ring in rings]
    grown = [shape.buffer(TOLERANCE_MM, join_style="mitre") for shape in shapes]
    pairs = zip(*shapely.STRtree(shapes).query(grown, "covers"), strict=True) if shapes else ()
    near = sorted((int(outer), int(inner)) for outer, inner in pairs if outer < inner)
    return tuple((a, b) for a, b in near if abs(shapes[a].area - shapes[b].area) <= TOLERANCE_MM * shapes[a].length)


def short_box(points: Iterable[Point]) -> Ring:
    """The corners of the least box, at any turn, that holds the points; fewer than four where they lie on a line."""
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(list(points)))
    return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(box)[:4])


def _noded(paths: Iterable[Path]) -> shapely.Geometry | None:
    """The paths as lines that meet at their ends only, on a grid of the tolerance."""
    lines = [shapely.LineString(path) for path in paths if (len(path) > 1 and path[0] != path[-1]) or len(path) > 2]
    return shapely.union_all(lines, grid_size=TOLERANCE_MM) if lines else None


def _parts(lines: shapely.Geometry) -> list[Path]:
    return [tuple((float(x), float(y)) for x, y in part.coords) for part in shapely.get_parts(lines)]


def _loose(parts: Sequence[Path]) -> tuple[Path, ...]:
    ends = Counter(end for part in parts for end in (part[0], part[-1]))
    ways = (way for part in parts for way in (part, part[::-1]))
    return tuple(sorted(way for way in ways if ends[way[0]] == 1))


def _without_stubs(parts: Sequence[Path], width_mm: float) -> list[Path]:
    """Those left when a part is dropped that is shorter than `width_mm`, ends at nothing and leaves others joined."""
    ends = Counter(end for part in parts for end in (part[0], part[-1]))
    return [
        part
        for part in parts
        if not (min(ends[part[0]], ends[part[-1]]) == 1 and max(ends[part[0]], ends[part[-1]]) > 2 and _length(part) < width_mm)
    ]


def _length(path: Path) -> float:
    return sum(math.dist(one, two) for one, two in pairwise(path))


def _near(loose: Sequence[Path], width_mm: float) -> list[tuple[float, int, int]]:
    """The pairs of loose ends within `width_mm`, nearest first."""
    points = [shapely.Point(path[0]) for path in loose]
    tree = shapely.STRtree(points)
    pairs = zip(*tree.query(points, "dwithin", width_mm), strict=True) if points else ()
    return sorted((math.dist(loose[one][0], loose[two][0]), int(one), int(two)) for one, two in pairs if one < two)


def _joined(one: Path, two: Path, width_mm: float) -> Path:
    """From one loose end to the other, over the corner that both run at where it lies near."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = one[0], one[1], two[0], two[1]
    cross = (ax - bx) * (cy - dy) - (ay - by) * (cx - dx)
    if abs(cross) > math.sin(math.radians(20)) * math.dist(one[0], one[1]) * math.dist(two[0], two[1]):
        share = ((cx - ax) * (cy - dy) - (cy - ay) * (cx - dx)) / cross
        corner = (ax + share * (ax - bx), ay + share * (ay - by))
        if 0 < math.dist(corner, one[0]) <= width_mm and 0 < math.dist(corner, two[0]) <= width_mm and share > 0:
            return one[0], corner, two[0]
    return one[0], two[0]


def _past(start: Point, end: Point) -> Path:
    """From a loose end to a line and a hair past it: where lines meet on a grid, one that ends just at another may miss it."""
    share = 1 + 5 * TOLERANCE_MM / max(math.dist(start, end), TOLERANCE_MM)
    return start, (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)


def _face(shape: shapely.Polygon) -> Face | None:
    """The face without corners at which nothing turns; None where nothing is left."""
    rings = [_turning(ring) for ring in (shape.exterior, *shape.interiors)]
    return Face(rings[0], tuple(ring for ring in rings[1:] if ring)) if rings[0] else None


def _turning(line: shapely.LinearRing) -> Ring:
    points = [(float(x), float(y)) for x, y in line.coords[:-1]]
    first = points.index(min(points))
    start = shapely.LinearRing(points[first:] + points[:first])
    kept = tuple((float(x), float(y)) for x, y in shapely.simplify(start, TOLERANCE_MM).coords[:-1])
    if len(kept) < 3:
        return ()
    return kept if area_mm2(kept) > 0 else (kept[0], *reversed(kept[1:]))
