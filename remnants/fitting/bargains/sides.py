"""Sides of a patch moved in or out: how far, and at which places something along them changes.

A patch is shaved by up to 150 mm on one side, and grown by up to 1 m² (common practice, no source).
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

from remnants.fitting.bargains.lever import EFFORT, Lever, of_one_patch, which
from remnants.geometry.inside import reach_outside_mm
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.geometry.segments import Line, edges_of
from remnants.geometry.tolerances import BESIDE_MM
from remnants.model.bargain import Change, ChangeKind
from remnants.model.patch import Finish, Job, Patch
from remnants.model.plan import Plan
from remnants.model.repair_room import RepairRoom
from remnants.units import MM_PER_IN, Unit, is_imperial, write_length

__all__ = ["grown", "shaved", "side_name", "tape_step_mm"]

MOST_SHAVED_MM = 150.0
MOST_SHARE = 0.25
"""Of a side, no more than this share is shaved off."""

MOST_GROWN_MM2 = 1_000_000.0
MOST_STOPS = 6
"""Places where something along a side changes that are tried, the nearest first."""


def tape_step_mm(unit: Unit) -> float:
    """The least that a tape in this unit shows: 1/16 in or 1 mm."""
    return MM_PER_IN / 16 if is_imperial(unit) else 1.0


def side_name(out: Point) -> str:
    """Which side of a patch it is on the drawing, by the way out of the patch."""
    x, y = out
    if abs(x) >= abs(y):
        return "right" if x > 0 else "left"
    return "upper" if y > 0 else "lower"


@dataclass(frozen=True)
class _Side:
    """A straight side between two outward square corners, its ends (mm), and the way out of the patch (a unit vector)."""

    edge: int
    line: Line
    out: Point
    depth_mm: float
    """How long the shorter of the sides beside it is."""

    @property
    def name(self) -> str:
        """Which side it is on the drawing."""
        return side_name(self.out)

    @property
    def length_mm(self) -> float:
        """How long it is."""
        return math.dist(*self.line)

    def moved(self, by_mm: float) -> Line:
        """Where it lies, moved out by so much."""
        (ax, ay), (bx, by) = self.line
        x, y = self.out[0] * by_mm, self.out[1] * by_mm
        return (ax + x, ay + y), (bx + x, by + y)

    def out_mm(self, point: Point) -> float:
        """How far out a point lies."""
        return (point[0] - self.line[0][0]) * self.out[0] + (point[1] - self.line[0][1]) * self.out[1]

    def along_mm(self, point: Point) -> float:
        """How far along the side, from its first end, a point lies."""
        (ax, ay), (bx, by) = self.line
        return ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / self.length_mm


def shaved(job: Job, index: int, unit: Unit, *, seen: bool) -> Iterator[Lever]:
    """Each side joined to the old carpet shaved, the least that helps found by halving: between two stops more never helps less.

    At a wall or doorway none is: what stays there would be a strip too narrow to keep, behind a seam of its own.

    Whatever makes the larger patch makes a smaller one with its parts cut down to it, as long as none is then too narrow: n parts
    are, past the length less n times the least part, which is a stop. What its seams look like only gets better while the side
    passes nothing in the room: the others get shorter, and where something begins or ends is a stop as well (where it is to be
    `seen` less, and not only filled).
    """
    patch, room = job.patches[index], job.room_of(job.patches[index])
    for side in _sides(patch.ring):
        finish = patch.edges[side.edge]
        if finish is not Finish.SEAM:
            continue
        most = min(MOST_SHAVED_MM, MOST_SHARE * side.depth_mm)
        most = math.floor(most / tape_step_mm(unit)) * tape_step_mm(unit)
        across = -min(side.out_mm(corner) for corner in patch.ring)
        narrow = [across - n * job.min_part_mm for n in range(2, patch.max_parts + 1)]
        passed = _stops_past(-far for far in _events(room, side)) if room and seen else ()
        stops = tuple(sorted({stop for stop in (*narrow, *passed) if 0 < stop < most} | {most})) if most > 0 else ()
        words = f"Shave {which(job, patch)} {{}} on its {side.name} side ({finish.value})"
        change = Change(ChangeKind.SHAVE, patch.name, edge=side.edge, finish=finish.value)
        asked = partial(of_one_patch, index, partial(_inward, side))
        cost = "As much of the old carpet stays on that side: it must be sound."
        yield Lever(EFFORT["shave"], "a smaller patch", change, asked, partial(_words, words, unit), cost, stops, halved=True)


def grown(job: Job, index: int, unit: Unit) -> Iterator[Lever]:
    """Each side grown to the wall or doorway, or past what people see or walk on: only there a seam goes or shows less.

    No strip of old carpet is left at the wall that is narrower than a part may be.
    """
    patch, room = job.patches[index], job.room_of(job.patches[index])
    if room is None or not room.ring:
        return
    for side in _sides(patch.ring):
        if patch.edges[side.edge] is not Finish.SEAM:
            continue
        wall = _wall_beyond(room, side)
        stops = [*([wall[0]] if wall else ()), *_stops_past(far for far in _events(room, side))]
        most = MOST_GROWN_MM2 / side.length_mm
        kept = (wall[0] - job.min_part_mm if wall else math.inf) + TOLERANCE_MM
        stops = [stop for stop in stops if stop <= kept or (wall and stop == wall[0])]
        stops = sorted(stop for stop in set(stops) if stop <= most and _lies_in(room, patch, side, stop))
        if stops:
            at = wall if wall and wall[0] in stops else None
            words = f"Grow {which(job, patch)} {{}} on its {side.name} side"
            change = Change(ChangeKind.GROW, patch.name, edge=side.edge, finish=(at[1] if at else Finish.SEAM).value)
            asked = partial(of_one_patch, index, partial(_outward, side, at))
            told, cost = partial(_grown_words, words, unit, at), "As much more of the old carpet is cut out there."
            yield Lever(EFFORT["grow"], "a larger patch", change, asked, told, cost, tuple(stops[:MOST_STOPS]))


def _words(words: str, unit: Unit, by_mm: float, _plan: Plan) -> str:
    return words.format(write_length(by_mm, unit))


def _grown_words(words: str, unit: Unit, wall: tuple[float, Finish] | None, by_mm: float, plan: Plan) -> str:
    ends = {Finish.WALL: " to the wall", Finish.TRANSITION: " to the doorway"}
    end = ends.get(wall[1], " to the edge of the room") if wall and wall[0] == by_mm else ""
    return _words(words, unit, by_mm, plan) + end


def _inward(side: _Side, patch: Patch, by_mm: float) -> Patch:
    return _moved(side, patch, -by_mm)


def _outward(side: _Side, wall: tuple[float, Finish] | None, patch: Patch, by_mm: float) -> Patch:
    grown = _moved(side, patch, by_mm)
    if wall is None or wall[0] != by_mm:
        return grown
    edges = tuple(wall[1] if edge == side.edge else finish for edge, finish in enumerate(grown.edges))
    return replace(grown, edges=edges)


def _moved(side: _Side, patch: Patch, by_mm: float) -> Patch:
    ring, ends = list(patch.ring), (side.edge, (side.edge + 1) % len(patch.ring))
    for corner in ends:
        x, y = ring[corner]
        ring[corner] = (x + by_mm * side.out[0], y + by_mm * side.out[1])
    return replace(patch, ring=tuple(ring))


def _sides(ring: Ring) -> Iterator[_Side]:
    """Sides (counter-clockwise ring) between two outward square corners."""
    count = len(ring)
    for edge in range(count):
        a, b, c, d = (ring[(edge + step) % count] for step in (-1, 0, 1, 2))
        before, along, after = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1]), (d[0] - c[0], d[1] - c[1])
        turns = [p[0] * q[1] - p[1] * q[0] > 0 for p, q in ((before, along), (along, after))]
        square = all(abs(p[0] * q[0] + p[1] * q[1]) <= TOLERANCE_MM for p, q in ((before, along), (along, after)))
        if square and all(turns):
            length = math.hypot(*along)
            yield _Side(edge, (b, c), (along[1] / length, -along[0] / length), min(math.hypot(*before), math.hypot(*after)))


def _stops_past(events: Iterator[float]) -> tuple[float, ...]:
    """Just before each event, at it, and just past it, as far as they lie ahead; the nearest first."""
    ahead = sorted(far for far in events if far > TOLERANCE_MM)[:MOST_STOPS]
    return tuple(far + by for far in ahead for by in (-2 * BESIDE_MM, 0.0, 2 * BESIDE_MM) if far + by > 0)


def _events(room: RepairRoom, side: _Side) -> Iterator[float]:
    """How far out (mm, inward below 0) something that the side may meet begins or ends: doorways, lanes, furniture."""
    lines = [room.line_of(door) for door in room.doorways]
    lines += [step for lane in room.lanes for step in edges_of(lane, closed=False)]
    lines += [edge for ring in room.hidden for edge in edges_of(ring, closed=True)]
    for line in lines:
        places = [(side.along_mm(point), side.out_mm(point)) for point in line]
        (first, low), (second, high) = places
        yield from (out for _, out in places)
        for end in (0.0, side.length_mm):
            if (first - end) * (second - end) < 0:
                yield low + (high - low) * (end - first) / (second - first)


def _wall_beyond(room: RepairRoom, side: _Side) -> tuple[float, Finish] | None:
    """How far out the side lies on one edge of the room, and its finish there; None where there is none, or part of a doorway."""
    found: list[tuple[float, Finish]] = []
    for number, edge in enumerate(edges_of(room.ring, closed=True)):
        outs, alongs = [side.out_mm(end) for end in edge], sorted(side.along_mm(end) for end in edge)
        if max(outs) - min(outs) <= TOLERANCE_MM < outs[0] and _covers(alongs, (0.0, side.length_mm)):
            doors = [sorted(side.along_mm(end) for end in room.line_of(door)) for door in room.doorways if door.edge == number]
            open_at = [door for door in doors if door[0] < side.length_mm - TOLERANCE_MM and door[1] > TOLERANCE_MM]
            if not open_at:
                found.append((outs[0], room.edges[number]))
            elif _covers(open_at[0], (0.0, side.length_mm)):
                found.append((outs[0], Finish.TRANSITION))
    return min(found, default=None, key=lambda each: each[0])


def _covers(outer: list[float], inner: tuple[float, float]) -> bool:
    return outer[0] <= inner[0] + TOLERANCE_MM and outer[1] >= inner[1] - TOLERANCE_MM


def _lies_in(room: RepairRoom, patch: Patch, side: _Side, by_mm: float) -> bool:
    return reach_outside_mm(_moved(side, patch, by_mm).ring, room.ring) <= TOLERANCE_MM
