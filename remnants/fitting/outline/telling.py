"""What is told of a proposed outline: where each side stops and why, and what will be seen of it."""

import math
from collections.abc import Sequence

from remnants.fitting.outline.events import SIDES, Side
from remnants.fitting.outline.place import Place
from remnants.fitting.outline.shaping import turning
from remnants.geometry.outline import TOLERANCE_MM, Ring, bounds
from remnants.geometry.turn import turned_point, whole_turn
from remnants.model.finish import Finish
from remnants.model.plan import Plan, Verdict
from remnants.model.proposal import Outlined, Stop, StopKind
from remnants.model.sight import SightKind
from remnants.units import Unit, write_area, write_length

__all__ = ["against", "seam_length_mm", "side_name", "stops_of", "words_of"]

LEAST_TOLD_MM2 = 10_000.0
"""Less carpet than this between two outlines (0.01 m²) is not told."""

WHY = {
    StopKind.DAMAGE: "{past} past the damage{row}",
    StopKind.WALL: "at the wall, so there is no seam there",
    StopKind.DOORWAY: "at the doorway, where another floor begins",
    StopKind.JAMB: "clear of a doorway, {past} past the damage",
    StopKind.FURNITURE: "under furniture, {past} past the damage",
    StopKind.LANE: "clear of where people walk, {past} past the damage",
    StopKind.CORNER: "in line with a corner of the room, {past} past the damage",
    StopKind.PATTERN: "at a line of the pattern, {past} past the damage",
    StopKind.DONOR: "as far as a piece in stock reaches, {past} past the damage",
}


def side_name(side: Side, pile_deg: float) -> str:
    """What a side of a box in the pile frame is called in the room: left, right, lower or upper."""
    out = (float(side.out), 0.0) if side.axis == 0 else (0.0, float(side.out))
    x, y = turned_point(out, whole_turn(pile_deg))
    if abs(x) > abs(y):
        return "right" if x > 0 else "left"
    return "upper" if y > 0 else "lower"


def stops_of(place: Place, rings: Sequence[Ring], ring: Ring, *, kinds: Sequence[StopKind], unit: str) -> tuple[Stop, ...]:
    """The four sides of an outline round some damage (`rings`; all in the pile frame), each with where and why it stops."""
    box, damage = bounds(ring), bounds([point for each in rings for point in each])
    stops = []
    for side, kind in zip(SIDES, kinds, strict=True):
        past = max(0.0, side.out * (box[side.place] - damage[side.place]))
        row = ", between two rows" if place.has_rows and side.axis == 0 else ""
        name = side_name(side, place.pile_deg)
        words = WHY[kind].format(past=write_length(past, Unit(unit)), row=row)
        stops.append(Stop(name, kind, f"{name[:1].upper()}{name[1:]} side: {words}"))
    return tuple(stops)


def words_of(outlines: Sequence[Outlined], plan: Plan, unit: Unit, *, sound_mm2: float) -> tuple[str, ...]:
    """Sentences about a proposal: its size, where each side stops and why, its seams, what makes it.

    `sound_mm2`: how much of the floor is cut away that isn't damaged.
    """
    said: list[str] = []
    for outlined in outlines:
        ring = turning(outlined.ring)
        across, along = _size(ring)
        size = f"{write_length(across, unit)} × {write_length(along, unit)}"
        shape = "" if _is_rectangle(ring) else " over all"
        said.append(f"{outlined.patch}: {size}{shape}, {_ends(outlined)}.")
        said += [f"{stop.words}." for stop in outlined.stops]
    sound = f"{write_area(sound_mm2, unit)} of sound carpet is cut away"
    if plan.verdict is Verdict.NONE:
        said += [f"{sound}.", *(f"Nothing in stock makes it: {short.reason}" for short in plan.short)]
    elif seams_mm := seam_length_mm(plan):
        said.append(f"{sound}; the seams are {write_length(seams_mm, unit)} long in all.")
    else:
        said.append(f"{sound}; no seam with the floor that stays.")
    return tuple(said)


def seam_length_mm(plan: Plan) -> float:
    """How long all its seams are (mm), with the floor and inside, furniture over them or not."""
    return math.fsum(sight.length_mm for sight in plan.sights)


def against(number: int, best: tuple[Plan, float], least: tuple[Plan, float], unit: Unit) -> str:
    """Why the recommended outline is that, though outline `number` cuts away less; "" where that needs no word.

    Of each the plan, and how much sound carpet it cuts away (mm²).
    """
    (plan, sound_mm2), (other, its_mm2) = best, least
    if (
        plan.merit is None
        or other.merit is None
        or not plan.merit.look < other.merit.look
        or sound_mm2 - its_mm2 < LEAST_TOLD_MM2
    ):
        return ""
    one, two = ([sight for sight in each.sights if sight.kind is SightKind.SEAM] for each in (plan, other))
    fewer = f", with {_seams(len(one))} instead of {len(two)}" if len(one) < len(two) else ""
    longer_mm = seam_length_mm(other) - seam_length_mm(plan)
    differ = f", and its seams are {write_length(abs(longer_mm), unit)} {'longer' if longer_mm > 0 else 'shorter'}"
    told = f"Outline {number} cuts away {write_area(sound_mm2 - its_mm2, unit)} less{differ if abs(longer_mm) >= 1.0 else ''}."
    return f"Recommended as less of it is seen{fewer}. {told}"


def _seams(count: int) -> str:
    return "no seam" if not count else "1 seam" if count == 1 else f"{count} seams"


def _size(ring: Ring) -> tuple[float, float]:
    """Width and length of a rectangle, however it lies, or of the box round another outline (mm)."""
    left, lower, right, upper = bounds(ring)
    if not _is_rectangle(ring) or any(point[0] in (left, right) and point[1] in (lower, upper) for point in ring):
        return right - left, upper - lower
    return math.dist(ring[0], ring[1]), math.dist(ring[1], ring[2])


def _is_rectangle(ring: Ring) -> bool:
    """True if it has four corners, opposite sides of one length, and both diagonals."""
    if len(ring) != 4:
        return False
    a, b, c, d = ring
    pairs = ((a, b, c, d), (b, c, d, a), (a, c, b, d))
    return all(abs(math.dist(one, two) - math.dist(three, four)) <= TOLERANCE_MM for one, two, three, four in pairs)


def _ends(outlined: Outlined) -> str:
    walls = sum(stop.kind is StopKind.WALL for stop in outlined.stops)
    doors = sum(stop.kind is StopKind.DOORWAY for stop in outlined.stops)
    seams = Finish.SEAM in outlined.edges
    names = [stop.side for stop in outlined.stops if stop.kind is StopKind.WALL]
    told = []
    if walls == 4:
        return "all of the floor, wall to wall"
    if {"left", "right"} <= set(names) or {"lower", "upper"} <= set(names):
        told.append("wall to wall")
    elif walls:
        told.append("to the wall" if walls == 1 else "into the corner")
    if doors:
        told.append("to the doorway")
    return " and ".join(told) if told else "an island in the floor" if seams else "all of the floor"
