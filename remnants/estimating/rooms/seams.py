"""Seams of a layout: what each would rather not do, what that weighs, and how it will show. Trade habits, not measurements."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from remnants.estimating.rooms.feet import Path, met_by_feet
from remnants.geometry import TOLERANCE_MM, Point
from remnants.geometry.bands import inside_mm, on_line
from remnants.geometry.paths import shortest_within
from remnants.geometry.tolerances import WHOLE
from remnants.geometry.turn import between, turned, turned_point
from remnants.model import Construction, Seam, SeamKind, Show
from remnants.model.order_plan import Laying, RoomSeam
from remnants.model.order_rules import OrderRules, Weights
from remnants.model.rooms import Doorway, Floors, Room

__all__ = ["between_lots", "join_seam", "room_seam", "walked_lines", "with_joins"]

CORRIDOR_MM = 2400.0
"""What is no wider, and over twice as long as wide, is a corridor: people walk along it (ours)."""

LANE_MM = 1000.0
"""How far into the room a doorway's traffic is straight."""


def walked_lines(room: Room) -> tuple[Path, ...]:
    """Where feet go, in room axes (mm): the traffic drawn, straight in at each doorway, from door to door, along a corridor."""
    lanes: list[Path] = [(door.middle, _inward(room, door)) for door in room.doorways]
    lanes += [_across(door) for door in room.openings]
    doors = [shortest_within(room.outline, one.middle, other.middle) for one, other in combinations(room.doorways, 2)]
    return (*room.traffic, *lanes, *(path for path in (*doors, *_along_corridor(room)) if path))


def _along_corridor(room: Room) -> tuple[Path, ...]:
    """The lane from end to end of a corridor of which nobody told where people walk: there is no other way to go."""
    if room.traffic or len(room.doorways) + len(room.openings) > 1:
        return ()
    ring = room.outline.ring
    a, b = max(zip(ring, (*ring[1:], ring[0]), strict=True), key=lambda wall: round(math.dist(*wall), 3))
    bearing = _bearing((a, b))
    left, low, right, high = turned(room.outline, between(bearing, 0.0)).bounds
    if right - left > CORRIDOR_MM or high - low <= LONG * (right - left):
        return ()
    middle = (left + right) / 2
    ends = [turned_point((middle, end), bearing) for end in (low, high)]
    return (shortest_within(room.outline, ends[0], ends[1]),)


def _across(door: Doorway) -> Path:
    """One lane either side of an opening that the carpet runs through."""
    (x, y), (dx, dy) = door.middle, _square(door)
    return (x - dx, y - dy), (x + dx, y + dy)


def _square(door: Doorway) -> Point:
    """A step of one lane, square to the doorway."""
    (x1, y1), (x2, y2) = door.start, door.end
    length = math.dist(door.start, door.end)
    return -(y2 - y1) / length * LANE_MM, (x2 - x1) / length * LANE_MM


def _inward(room: Room, door: Doorway) -> Point:
    """The point one lane inside the doorway."""
    step, middle = _square(door), door.middle
    sides = [(middle[0] + sign * step[0], middle[1] + sign * step[1]) for sign in (1, -1)]
    return max(sides, key=lambda end: inside_mm(room.outline, (middle, end)))


def room_seam(
    room: Room,
    line: tuple[Point, Point],
    kind: SeamKind,
    *,
    pile_deg: float,
    area_mm: tuple[float, float],
    paths: Sequence[Path],
    construction: Construction,
    weights: Weights,
) -> tuple[RoomSeam, float]:
    """The seam with its grade and sentence, and what it weighs (mm of roll). `line` lies in the room's pile frame (mm).

    `area_mm` is how far the room reaches there, across the pile and along it.
    """
    across_area = _across_area(line, area_mm)
    line = turned_point(line[0], pile_deg), turned_point(line[1], pile_deg)
    length = math.dist(*line)
    for door in room.openings:
        if abs(length - math.dist(door.start, door.end)) <= TOLERANCE_MM and on_line(door.middle, *line):
            return join_seam(room.name, door, pile_deg=pile_deg, construction=construction, weights=weights)
    doors = sum(_through(line, door) for door in room.doorways) + sum(_runs_through(line, door) for door in room.openings)
    met = met_by_feet(line, paths)
    across_light = _across_light(line, room.light_deg)
    weight = (
        weights.each_seam_mm
        + length / 1000 * weights.side_seam_per_m_mm
        + (weights.cross_seam_mm if kind is SeamKind.CROSS else 0.0)
        + doors * weights.in_doorway_mm
        + met.along_mm / 1000 * weights.on_path_per_m_mm
        + met.crossings * weights.across_path_mm
        + met.turns * weights.feet_turn_mm
        + across_area * weights.across_area_mm
        + (length / 1000 * weights.across_light_per_m_mm if across_light else 0.0)
    )
    faults = (
        *(["runs into a doorway"] if doors else []),
        *(["is crossed by people who walk"] if met.crossings else []),
        *(["lies where feet turn"] if met.turns else []),
        *(["has light striking across it"] if across_light else []),
    )
    show = _show(kind, construction, len(faults))
    sentence = f"{kind.value} seam in {construction.value} pile" + (f"; it {', '.join(faults)}" if faults else "")
    return RoomSeam(room.name, Seam(kind, line, length, show=show, sentence=sentence), faults), weight


def _across_area(line: tuple[Point, Point], area_mm: tuple[float, float]) -> float:
    """By how much an area is longer than twice its width where the seam runs across its length: 1 where it is three times so."""
    (x1, y1), (x2, y2) = line
    along, across = area_mm[::-1] if abs(y2 - y1) >= abs(x2 - x1) else area_mm
    return min(MOST_TIMES_LONGER, max(0.0, across / along - LONG))


LONG = 2.0
"""An area more than twice as long as wide has a length that seams should run (ours)."""

MOST_TIMES_LONGER = 5.0
"""A corridor is one, however long it is."""


def join_seam(
    room: str, door: Doorway, *, pile_deg: float, construction: Construction, weights: Weights
) -> tuple[RoomSeam, float]:
    """The seam in a doorway where the carpets of two rooms meet, the place for one, and what it weighs (mm of roll)."""
    line = door.start, door.end
    length = math.dist(*line)
    off_pile = abs(math.sin(math.radians(_bearing(line) - pile_deg)))
    kind = SeamKind.SIDE if off_pile < ALONG else SeamKind.CROSS if off_pile > 1 - ALONG else SeamKind.ANGLED
    where = "under a door that stays shut" if door.shut else f"in the doorway to {door.to}"
    show = Show.HARDLY if door.shut else _show(kind, construction, 0)
    seam = Seam(kind, line, length, show=show, sentence=f"{kind.value} seam in {construction.value} pile, {where}")
    return RoomSeam(room, seam, to=door.to), length / 1000 * weights.side_seam_per_m_mm + weights.doorway_join_mm


def with_joins(laying: Laying, floors: Floors, rules: OrderRules, construction: Construction) -> Laying:
    """The laying with the joins in those doorways of its room in which the carpets of two rooms meet."""
    doors = [door for room, door in floors.joins if room == laying.room]
    joins = [
        join_seam(laying.room, door, pile_deg=laying.pile_deg, construction=construction, weights=rules.weights) for door in doors
    ]
    drawback = sum(weight for _, weight in joins)
    return replace(laying, seams=(*laying.seams, *(seam for seam, _ in joins)), drawback_mm=laying.drawback_mm + drawback)


def between_lots(join: RoomSeam) -> RoomSeam:
    """A join beyond which the carpet is of another lot: it shows a step more, and says why."""
    steps = list(Show)
    show = steps[min(steps.index(join.seam.show) + 1, len(steps) - 1)]
    seam = replace(join.seam, show=show, sentence=f"{join.seam.sentence}; the carpet beyond it is of another lot")
    return replace(join, seam=seam, faults=(*join.faults, "meets another lot"))


def _bearing(line: tuple[Point, Point]) -> float:
    return math.degrees(math.atan2(line[1][0] - line[0][0], line[1][1] - line[0][1]))


def _through(line: tuple[Point, Point], door: Doorway) -> bool:
    """True if the seam ends in the opening, not at its very side."""
    width = math.dist(door.start, door.end)
    for end in line:
        along = math.dist(door.start, end), math.dist(door.end, end)
        if abs(sum(along) - width) <= TOLERANCE_MM and min(along) > TOLERANCE_MM:
            return True
    return False


def _runs_through(line: tuple[Point, Point], door: Doorway) -> bool:
    """True if the seam runs through the opening, or ends in it, not at its very side and not along it."""
    (x1, y1), (x2, y2) = line
    sides = [(x2 - x1) * (y - y1) - (y2 - y1) * (x - x1) for x, y in (door.start, door.end)]
    (a1, b1), (a2, b2) = door.start, door.end
    ends = [(a2 - a1) * (y - b1) - (b2 - b1) * (x - a1) for x, y in line]
    least = TOLERANCE_MM * math.dist(*line)
    apart = sides[0] * sides[1] < 0 and min(map(abs, sides)) > least
    return apart and (ends[0] * ends[1] <= 0 or min(map(abs, ends)) <= TOLERANCE_MM * math.dist(door.start, door.end))


ALONG = 1e-6
"""Sine of the angle below which a line runs along the pile, or across it."""


def _across_light(line: tuple[Point, Point], light_deg: float | None) -> bool:
    if light_deg is None:
        return False
    return abs(math.sin(math.radians(_bearing(line) - light_deg))) > math.sin(math.radians(45)) + WHOLE


def _show(kind: SeamKind, construction: Construction, faults: int) -> Show:
    """One step worse for a cross seam, for any but cut pile, and for each fault (common practice, no source)."""
    steps = (kind is not SeamKind.SIDE) + (construction is not Construction.CUT) + faults
    return tuple(Show)[min(steps, len(Show) - 1)]
