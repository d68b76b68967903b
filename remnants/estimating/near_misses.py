"""A little less trim that would save a breadth: told and never done, as how much trim a wall needs is for the shop to say."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from remnants.errors import NoPlan
from remnants.estimating.roll_lengths import write_roll_length
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.grow import grown_bounds
from remnants.geometry.turn import between, turned_ring
from remnants.model.order_plan import OrderPlan
from remnants.model.order_rules import OrderRules
from remnants.model.rooms import Floors, Room
from remnants.units import Unit, write_length

__all__ = ["NearMiss", "near_miss_told", "near_misses"]

MOST_TRIED = 2
MOST_ROOMS = 20
"""Of a larger house nobody asks it."""

LEAST_SAVED_MM = 150.0
"""What a near miss must save in roll, unless it saves a seam (ours)."""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """So much less trim (mm) at one side of a room, or at both, saves so many seams and so much roll (mm)."""

    room: str
    less_mm: float
    sides: int
    seams: int
    saved_mm: float


def near_misses(
    plan: OrderPlan, floors: Floors, rules: OrderRules, bearings: Sequence[float], order: Callable[[Floors], OrderPlan]
) -> tuple[NearMiss, ...]:
    """Those for this order of these floors, what saves most first; what is the same both ways round once.

    `bearings` are the ways a pile may lay in a room, from its own zero (degrees); `order` answers for other floors.
    """
    if len(floors.rooms) > MOST_ROOMS:
        return ()
    tried = sorted(_narrower(floors, plan, rules, bearings), key=lambda each: (each[1], each[0].name))[:MOST_TRIED]
    found = []
    for room, less, sides in tried:
        try:
            other = order(replace(floors, rooms=tuple(room if each.name == room.name else each for each in floors.rooms)))
        except NoPlan:
            continue
        saved, seams = plan.ordered_mm - other.ordered_mm, len(plan.seams) - len(other.seams)
        if (saved >= LEAST_SAVED_MM and seams >= 0) or (saved >= -TOLERANCE_MM and seams > 0):
            found.append(NearMiss(room.name, less, sides, seams, max(0.0, saved)))
    return tuple(sorted(dict.fromkeys(found), key=lambda each: (-each.saved_mm, each.room)))


def _narrower(floors: Floors, plan: OrderPlan, rules: OrderRules, bearings: Sequence[float]) -> Iterator[tuple[Room, float, int]]:
    """Every room that is over so many breadths by no more than the trim at its sides, with so much less of it."""
    width, seam = plan.roll.width_mm, rules.seam_mm
    for room in floors.rooms:
        for bearing in bearings if room.pile_deg is None else (room.pile_deg,):
            ring = turned_ring(room.outline.ring, between(bearing, 0.0))
            left, _, right, _ = grown_bounds(ring, room.trims_mm)
            over = right - left - width
            between_seams = width - 2 * seam
            if between_seams <= 0 or over <= TOLERANCE_MM:
                continue
            less = over - between_seams * math.floor(over / between_seams)
            made = _trimmed(room, ring, less)
            if less > TOLERANCE_MM and made:
                yield made[0], less, made[1]


def _trimmed(room: Room, ring: Sequence[tuple[float, float]], less_mm: float) -> tuple[Room, int] | None:
    """The room with so much less trim across, from one side if that has as much; None where both have less."""
    low, high = min(x for x, _ in ring), max(x for x, _ in ring)
    ends = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    sides = [
        [place for place, (a, b) in enumerate(ends) if all(abs(x - at) <= TOLERANCE_MM for x, _ in (a, b))] for at in (low, high)
    ]
    if not all(sides):
        return None
    have = [max(room.trims_mm[place] for place in side) for side in sides]
    first = max((0, 1), key=lambda side: have[side])
    takes = {first: min(less_mm, have[first])}
    takes[1 - first] = less_mm - takes[first]
    if takes[1 - first] > have[1 - first] + TOLERANCE_MM:
        return None
    trims = list(room.trims_mm)
    for side, take in takes.items():
        for place in sides[side]:
            trims[place] = max(0.0, min(trims[place], have[side] - take))
    return replace(room, trims_mm=tuple(trims)), 1 + (takes[1 - first] > TOLERANCE_MM)


def near_miss_told(miss: NearMiss, unit: Unit) -> str:
    """In a sentence."""
    less = write_length(miss.less_mm, unit)
    saves = [f"{miss.seams} seam{'s' * (miss.seams > 1)}"] if miss.seams else []
    if miss.saved_mm > TOLERANCE_MM:
        saves.append(f"{write_roll_length(miss.saved_mm, unit)} of roll")
    where = "at one side" if miss.sides == 1 else "at its two sides together"
    return f"{miss.room}: {less} less trim {where} would save {' and '.join(saves)}."
