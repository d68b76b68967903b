"""From the strokes of a plan to outlines: closed ones as they are, lines and arcs as the faces that they enclose. Lengths in mm.

Strokes of one layer are put together, or those of all layers that were said for. A gap up to the width said for is closed.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from remnants.errors import BadOutline, Fault
from remnants.exchange.plans.drawn import Drawn, Spot, Stroke
from remnants.exchange.plans.dxf_strokes import CURVE_MM
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry import TOLERANCE_MM, Point, Ring
from remnants.geometry.net import Bridge, Face, beside, bridges, covered_by, faces, is_narrower, loose_ends
from remnants.geometry.outline import area_mm2, perimeter_mm, ring_of
from remnants.geometry.segments import Line
from remnants.units import Unit, write_length

__all__ = ["LEAST_MM", "Found", "Outlines", "outlines_of"]

LEAST_MM = 300.0
"""What a room measures at the least each way (common practice, no source): what is narrower is a wall, or in another unit."""

_WALL_AROUND_MM = 2 * LEAST_MM
"""What lies round others and is narrower than this is their wall."""


@dataclass(frozen=True)
class Found:
    """An outline: its ring, counter-clockwise, and where it was found. `joined` tells that lines enclose it, `filled` a hatch."""

    ring: Ring
    spot: Spot
    joined: bool = False
    filled: bool = False


@dataclass
class Outlines:
    """What was found, and what is told of it. `walls` are strips too narrow for a room. `loose` are ends that meet nothing."""

    found: list[Found] = field(default_factory=list)
    walls: int = 0
    notes: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    loose: list[tuple[str, tuple[Point, ...]]] = field(default_factory=list)


def outlines_of(drawn: Drawn, said: PlanSaid, openings: Sequence[Line], unit: Unit) -> Outlines:
    """The outlines of a plan; those of doors' `openings` close what lines leave open. Gaps are told in `unit`."""
    made = Outlines()
    for layer, strokes in _groups(drawn, said).items():
        closed = [one for stroke in strokes if stroke.closed for one in _closed(made, stroke)]
        lines = [stroke for stroke in strokes if not stroke.closed]
        if lines:
            closed = _with_faces(made, _Net(layer, lines, closed, tuple(openings)), drawn, said.gap_mm, unit)
        made.found += closed
    return made


def _groups(drawn: Drawn, said: PlanSaid) -> dict[str, list[Stroke]]:
    """Strokes that may close one another: of a layer, or of all those said for."""
    groups: dict[str, list[Stroke]] = {}
    for stroke in drawn.strokes:
        layer = stroke.spot.layer
        if layer in said.islands or not said.layers:
            groups.setdefault(layer, []).append(stroke)
        elif layer in said.layers:
            groups.setdefault(said.layers[0] if not said.every_layer else layer, []).append(stroke)
    return dict(sorted(groups.items()))


def _closed(made: Outlines, stroke: Stroke) -> list[Found]:
    """A closed stroke as an outline; a fault where it is none."""
    points = _apart(stroke.points)
    if len(points) < 3:
        return []
    try:
        ring = ring_of(_from(points, points[0]))
    except BadOutline as error:
        made.faults += [Fault(str(stroke.spot), fault.what) for fault in error.faults]
        return []
    origin = points[0]
    ring = _let_out(tuple((x + origin[0], y + origin[1]) for x, y in ring), stroke.curved)
    if stroke.filled and is_narrower(Face(ring), LEAST_MM):
        made.walls += 1
        return []
    return [Found(ring, stroke.spot, filled=stroke.filled)]


def _from(points: Iterable[Point], origin: Point) -> list[Point]:
    """The points seen from one of them: a drawing may lie far from its origin."""
    return [(x - origin[0], y - origin[1]) for x, y in points]


def _apart(points: Sequence[Point]) -> list[Point]:
    """The corners without those that repeat the one before."""
    kept: list[Point] = []
    for point in points:
        if not kept or math.dist(kept[-1], point) > TOLERANCE_MM:
            kept.append(point)
    return kept[:-1] if len(kept) > 1 and math.dist(kept[0], kept[-1]) <= TOLERANCE_MM else kept


def _let_out(ring: Ring, curved: Iterable[Point]) -> Ring:
    """The ring with its corners on a curve moved out, where it bulges out: a room may only grow.

    A chord strays from its curve by CURVE_MM; its ends moved out by four times that, it lies outside, also where one end stays.
    """
    known = {_near(point) for point in curved}
    if not known:
        return ring
    moved: list[Point] = []
    for index, corner in enumerate(ring):
        before, after = ring[index - 1], ring[(index + 1) % len(ring)]
        one, two = _direction(before, corner), _direction(corner, after)
        turns_left = one[0] * two[1] - one[1] * two[0] > 0
        if _near(corner) in known and turns_left:
            out = _direction((0.0, 0.0), (one[1] + two[1], -one[0] - two[0]))
            moved.append((corner[0] + 4 * CURVE_MM * out[0], corner[1] + 4 * CURVE_MM * out[1]))
        else:
            moved.append(corner)
    return tuple(moved)


def _near(point: Point) -> tuple[int, int]:
    return round(point[0] / TOLERANCE_MM), round(point[1] / TOLERANCE_MM)


def _direction(start: Point, end: Point) -> Point:
    length = math.dist(start, end) or 1.0
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


@dataclass(frozen=True)
class _Net:
    """Lines of a layer, closed outlines beside them, and openings that close what the lines leave open."""

    layer: str
    lines: Sequence[Stroke]
    closed: Sequence[Found]
    openings: tuple[Line, ...]

    @property
    def paths(self) -> list[tuple[Point, ...]]:
        """All of it as lines."""
        rings = [(*each.ring, each.ring[0]) for each in self.closed]
        return [stroke.points for stroke in self.lines] + rings + list(self.openings)

    @property
    def curved(self) -> set[Point]:
        """The corners that lie on a curve."""
        return {point for stroke in self.lines for point in stroke.curved}


def _with_faces(made: Outlines, net: _Net, drawn: Drawn, gap_mm: float, unit: Unit) -> list[Found]:
    """The closed outlines, those that lines divide as their parts, and what lines enclose beside them."""
    closing = [bridge for bridge in bridges(net.paths, gap_mm) if bridge.gap_mm <= gap_mm]
    made.notes += _gaps_told(closing, net, drawn, unit)
    paths = net.paths + [bridge.path for bridge in closing]
    made.loose += [(net.layer, end) for end in loose_ends(paths)]
    whole, parts = [], []
    lines = [*(stroke.points for stroke in net.lines), *net.openings, *(bridge.path for bridge in closing)]
    for one, near in zip(net.closed, beside([one.ring for one in net.closed], lines), strict=True):
        inner = [lines[at] for at in near]
        found = faces([(*one.ring, one.ring[0]), *inner]) if inner else ()
        same = not found or any(
            abs(area_mm2(face.ring) - area_mm2(one.ring)) <= TOLERANCE_MM * perimeter_mm(one.ring) for face in found
        )
        if same:
            whole.append(one)
        else:
            kept = [face for face, within in zip(found, covered_by([f.ring for f in found], [one.ring]), strict=True) if within]
            parts += _rooms_in(made, kept, net)
    every = faces(paths)
    rings = [one.ring for one in net.closed]
    others = [face for face, within in zip(every, covered_by([f.ring for f in every], rings), strict=True) if not within]
    return [*whole, *parts, *_rooms_in(made, others, net)]


def _rooms_in(made: Outlines, found: Sequence[Face], net: _Net) -> list[Found]:
    """The faces that are no walls, each where one of its lines lies."""
    rooms = []
    for face in found:
        if is_narrower(face, _WALL_AROUND_MM if face.holes else LEAST_MM):
            made.walls += 1
            continue
        rooms.append(Found(_let_out(face.ring, net.curved), _spot_of(face, net), joined=True))
    return rooms


def _spot_of(face: Face, net: _Net) -> Spot:
    """The first line that starts or ends at a corner of the face, else the first of all."""
    corners = {_near(corner) for corner in face.ring}
    at = (stroke for stroke in net.lines if corners & {_near(stroke.points[0]), _near(stroke.points[-1])})
    return next(at, net.lines[0]).spot


def _gaps_told(closing: Sequence[Bridge], net: _Net, drawn: Drawn, unit: Unit) -> list[str]:
    seen = [bridge for bridge in closing if bridge.gap_mm > 10 * TOLERANCE_MM]
    if not seen:
        return []
    widest = max(seen, key=lambda bridge: bridge.gap_mm)
    count = f"{len(seen)} gaps" if len(seen) > 1 else "a gap"
    most = ", the widest" if len(seen) > 1 else ""
    return [
        f"closed {count} on layer {net.layer!r}{most} of {write_length(widest.gap_mm, unit)} at {drawn.place(widest.path[0])}"
    ]
