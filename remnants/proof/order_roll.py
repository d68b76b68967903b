"""Questions about the roll and the pieces: do the cuts lie on them, apart, long enough, in one lot, and does the pattern meet?"""

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from remnants.errors import Fault
from remnants.model.match import Grade
from remnants.model.order_plan import ROLL, Placed
from remnants.model.order_rules import RepeatRule
from remnants.proof.lines import TOLERANCE_MM, Point
from remnants.proof.motion import lattice_gap_mm, turned
from remnants.proof.order_case import OrderCase, OrderQuestion
from remnants.proof.regions import overlap_mm, sticks_out_mm

__all__ = ["QUESTIONS"]

WHOLE = 1e-6
"""A number of steps this near to a whole one is one."""


def lengths(case: OrderCase) -> Iterator[Fault]:
    """Is every cut long enough for its floor, and as long as the rule for repeats makes it?"""
    repeat = case.plan.roll.repeat
    for placed in case.plan.placed:
        cut = placed.cut
        needed = cut.box[3] - cut.box[1]
        if repeat and case.rules.repeat_rule is RepeatRule.CAUTIOUS:
            needed += repeat.along_mm
        if not cut.length_mm >= needed - TOLERANCE_MM:
            yield Fault(cut.name, f"cut {cut.length_mm:.1f} mm long, {needed:.1f} mm are needed")
        if repeat and case.rules.repeat_rule is not RepeatRule.TIGHT and math.isfinite(cut.length_mm):
            steps = cut.length_mm / repeat.along_mm * Fraction(repeat.drop).limit_denominator(24).denominator
            if not abs(steps - round(steps)) <= WHOLE * max(1.0, steps):
                yield Fault(cut.name, f"cut {cut.length_mm:.1f} mm long, which is no whole number of repeats or their shares")


def steps(case: OrderCase) -> Iterator[Fault]:
    """Is every cut rounded up to whole steps, by less than one, or cut to whole repeats or an even share of the roll?"""
    step, roll = case.rules.cut_step_mm, case.plan.roll
    by_repeats = roll.repeat is not None and case.rules.repeat_rule is not RepeatRule.TIGHT
    for placed in case.plan.placed if step else ():
        cut = placed.cut
        if not all(-TOLERANCE_MM <= added < step + TOLERANCE_MM for added in cut.rounded_mm):
            yield Fault(cut.name, f"rounded up by {cut.rounded_mm}, the steps are {step:.1f} mm")
        if not by_repeats and _off_mm(cut.length_mm, step) > TOLERANCE_MM:
            yield Fault(cut.name, f"cut {cut.length_mm:.2f} mm long, which is no whole number of steps")
        shares = roll.width_mm / cut.width_mm if cut.width_mm > 0 else 0.0
        share_off = abs(roll.width_mm / max(1, round(shares)) - cut.width_mm)
        at_side = placed.source == ROLL and abs(placed.at[0] + cut.width_mm - roll.width_mm) <= TOLERANCE_MM
        if min(_off_mm(cut.width_mm, step), share_off) > TOLERANCE_MM and not (
            roll.repeat and (at_side or placed.source != ROLL)
        ):
            yield Fault(
                cut.name, f"cut {cut.width_mm:.2f} mm wide, which is no whole number of steps nor an even share of the roll"
            )


def _off_mm(length_mm: float, step_mm: float) -> float:
    return abs(length_mm - step_mm * round(length_mm / step_mm)) if math.isfinite(length_mm) else math.inf


def roll_length(case: OrderCase) -> Iterator[Fault]:
    """Do the cuts end where the length told does, and is no more told to be needed at least?"""
    plan, taken = case.plan, _taken(case)
    for place, (name, told, _) in enumerate(taken):
        end = max((placed.at[1] + placed.cut.length_mm for placed in _on(case, place)), default=0.0) - case.lengths[place][0]
        if not abs(end - told) <= TOLERANCE_MM:
            yield Fault(name, f"the cuts end at {end:.1f} mm, told {told:.1f} mm")
    if not abs(sum(length for _, length, _ in taken) - plan.length_mm) <= TOLERANCE_MM:
        yield Fault("roll", f"{plan.length_mm:.1f} mm are told, which the rolls do not add up to")
    for least in (plan.bound_mm, plan.least_mm, plan.stock_bound_mm or 0.0, plan.exact_mm or 0.0):
        if not least <= plan.length_mm + TOLERANCE_MM:
            yield Fault("roll", f"told {plan.length_mm:.1f} mm, and {least:.1f} mm as the least that is needed")


def ordered(case: OrderCase) -> Iterator[Fault]:
    """Is as much ordered as the cuts take, as the supplier sells it, and no more than that makes necessary?"""
    roll, taken = case.plan.roll, _taken(case)
    for place, (name, length, told) in enumerate(taken):
        most = _on_it_mm(case, name)
        least = max(length + roll.end_loss_mm, min(roll.least_mm, most)) if _on(case, place) else 0.0
        enough = told < least + roll.step_mm if roll.step_mm else told <= least + TOLERANCE_MM
        if not (least - TOLERANCE_MM <= told and enough):
            yield Fault(name, f"{told:.1f} mm can't be ordered for {length:.1f} mm of cuts")
        steps = told / roll.step_mm if roll.step_mm and math.isfinite(told) else 0.0
        if not (abs(steps - round(steps)) <= WHOLE * max(1.0, steps) or abs(told - most) <= TOLERANCE_MM):
            yield Fault(name, f"{told:.1f} mm can't be ordered in steps of {roll.step_mm:.1f} mm")
    if not abs(sum(told for _, _, told in taken) - case.plan.ordered_mm) <= TOLERANCE_MM:
        yield Fault("roll", f"{case.plan.ordered_mm:.1f} mm are ordered, which the rolls do not add up to")


def rolls_there(case: OrderCase) -> Iterator[Fault]:
    """Is every roll that is cut one that there is, cut once, of the lot told, and is no more taken of it than is on it?"""
    roll, rolls = case.plan.roll, case.plan.rolls
    told_lengths = bool(roll.there) or roll.length_mm > 0
    if case.sources.get(ROLL) and bool(rolls) is not told_lengths:
        yield Fault("roll", "nobody tells which rolls are cut" if told_lengths else "rolls are told that nobody asked for")
    there = {each.name: each for each in roll.there}
    for place, taken in enumerate(rolls):
        if taken.name in [each.name for each in rolls[:place]] or (there and taken.name not in there):
            yield Fault(taken.name, "is cut twice, or there is no such roll")
        if taken.lot != (there[taken.name].lot if taken.name in there else roll.lot):
            yield Fault(taken.name, f"told of lot {taken.lot!r}, which it is not")
        if not taken.ordered_mm <= _on_it_mm(case, taken.name) + TOLERANCE_MM:
            yield Fault(taken.name, f"{taken.ordered_mm:.1f} mm are taken, {_on_it_mm(case, taken.name):.1f} mm are on it")
        start = rolls[place - 1].start_mm + rolls[place - 1].ordered_mm - roll.end_loss_mm if place else 0.0
        if not abs(taken.start_mm - start) <= TOLERANCE_MM:
            yield Fault(taken.name, f"starts at {taken.start_mm:.1f} mm, where the one before it ends at {start:.1f} mm")


def one_roll(case: OrderCase) -> Iterator[Fault]:
    """Does every floor that is cut from roll come from one roll?"""
    found: dict[str, set[int]] = {}
    for placed, _ in case.sources.get(ROLL, ()):
        found.setdefault(placed.cut.room, set()).add(case.roll_at(placed.at[1]))
    for name, rolls in sorted(found.items()):
        if len(rolls) > 1:
            yield Fault(name, f"is cut from {len(rolls)} rolls")


def _taken(case: OrderCase) -> list[tuple[str, float, float]]:
    """Name of each length of roll, what its cuts take and what is ordered of it (mm)."""
    return [(each.name, each.length_mm, each.ordered_mm) for each in case.plan.rolls] or [
        ("roll", case.plan.length_mm, case.plan.ordered_mm)
    ]


def _on(case: OrderCase, place: int) -> list[Placed]:
    return [placed for placed, _ in case.sources.get(ROLL, ()) if case.roll_at(placed.at[1]) == place]


def _on_it_mm(case: OrderCase, name: str) -> float:
    roll = case.plan.roll
    if roll.there:
        return next((each.length_mm for each in roll.there if each.name == name), 0.0)
    return roll.length_mm or math.inf


def on_roll(case: OrderCase) -> Iterator[Fault]:
    """Does every cut from the roll lie on it?"""
    width = case.plan.roll.width_mm
    for placed, _ in case.sources.get(ROLL, ()):
        x, y = placed.at
        start, end = case.lengths[case.roll_at(y)]
        over = max(-x, start - y, x + placed.cut.width_mm - width, y + placed.cut.length_mm - end if case.plan.rolls else 0.0)
        if not over <= TOLERANCE_MM:
            yield Fault(placed.cut.name, f"lies {over:.2f} mm over the roll's side, start or end")


def on_pieces(case: OrderCase) -> Iterator[Fault]:
    """Does every cut from stock come from a piece that there is, and lie in it, clear of cutouts?"""
    for tag in case.sources:
        if tag != ROLL and tag not in case.pieces:
            yield Fault(tag, "is cut but is not among the stock")
    for remains in case.remains:
        if remains.tag in case.pieces:
            names = [placed.cut.name for placed, _ in case.sources[remains.tag]]
            for name, cut in zip(names, remains.cuts, strict=True):
                if out := sticks_out_mm(cut, remains.ground.outline):
                    yield Fault(name, f"reaches {out:.2f} mm outside {remains.tag}")
                if deep := max((overlap_mm(cut, cutout) for cutout in remains.ground.cutouts), default=0.0):
                    yield Fault(name, f"reaches {deep:.2f} mm into a cutout of {remains.tag}")


def cuts_apart(case: OrderCase) -> Iterator[Fault]:
    """Do no two cuts share carpet of the roll or of one piece?"""
    for cuts in case.sources.values():
        for (one, here), (other, there) in combinations(cuts, 2):
            if deep := overlap_mm(here, there):
                yield Fault(one.cut.name, f"lies over {other.cut.name}, {deep:.2f} mm deep")


def lots(case: OrderCase) -> Iterator[Fault]:
    """Is every floor of one lot, and floors that are seen together of the same?"""
    found: dict[str, set[tuple[str, ...]]] = {}
    for placed in case.plan.placed:
        found.setdefault(placed.cut.room, set()).add(_lot(case, placed))
    for name, own in sorted(found.items()):
        if len(own) > 1:
            yield Fault(name, f"pieces of {len(own)} lots meet in it")
    for one, other in _seen_together(case):
        if len(found.get(one, set()) | found.get(other, set())) > 1:
            yield Fault(one, f"meets another lot in view at the doorway to {other}")


def _lot(case: OrderCase, placed: Placed) -> tuple[str, ...]:
    """What tells one lot from another; () is the roll's. A roll whose lot nobody told is of one of its own."""
    candidate = case.pieces.get(placed.source)
    if placed.source == ROLL and case.plan.roll.there and case.plan.rolls:
        taken = case.plan.rolls[case.roll_at(placed.at[1])]
        own = taken.lot.strip().casefold()
        return (
            () if own and own == case.plan.roll.lot.strip().casefold() else ("roll", own or taken.name, "lot" if own else "name")
        )
    if candidate is None or (case.plan.roll.lot.strip() and candidate.match.grade is Grade.SAME_LOT):
        return ()
    return candidate.piece.style, candidate.piece.colour, candidate.piece.lot


def _seen_together(case: OrderCase) -> Iterator[tuple[str, str]]:
    floors = case.plan.floors
    hidden = {room.name for room in floors.rooms if room.hidden}
    open_doors = [(room.name, door.to) for room in floors.rooms for door in room.doorways if door.to and not door.shut]
    for one, other in (*open_doors, *((flight.name, flight.joins) for flight in floors.stairs if flight.joins)):
        if not {one, other} & hidden:
            yield one, other


def pattern(case: OrderCase) -> Iterator[Fault]:
    """Does the pattern on every cut fall as it does on its floor, one pattern to a floor, where the room has it?"""
    repeat = case.plan.roll.repeat
    if repeat is None:
        return
    origins: dict[str, set[Point | None]] = {}
    for placed in case.plan.placed:
        origins.setdefault(placed.cut.room, set()).add(placed.cut.origin)
        origin = placed.cut.origin
        if origin is None:
            yield Fault(placed.cut.name, "its pattern is not placed")
            continue
        motif = _motif(case, placed.source)
        if motif is None:
            yield Fault(placed.cut.name, f"no motif point is recorded of {placed.source}, which it is cut from")
            continue
        start = case.lengths[case.roll_at(placed.at[1])][0] if placed.source == ROLL else 0.0
        step = (
            placed.cut.box[0] - origin[0] - placed.at[0] + motif[0],
            placed.cut.box[1] - origin[1] - (placed.at[1] - start) + motif[1],
        )
        gap = lattice_gap_mm(step, repeat.across_mm, repeat.along_mm, repeat.drop)
        if not gap <= 2 * TOLERANCE_MM:
            yield Fault(placed.cut.name, f"its pattern is {gap:.2f} mm off the floor's")
    for name, found in sorted(origins.items()):
        if len(found) > 1:
            yield Fault(name, "its cuts do not share one pattern")
    for spread in case.spreads:
        asked, told = spread.room.motif, origins.get(spread.room.name, set())
        if asked is not None and None not in told:
            due = turned(asked, -spread.laying.pile_deg)
            for x, y in (each for each in told if each is not None):
                gap = lattice_gap_mm((x - due[0], y - due[1]), repeat.across_mm, repeat.along_mm, repeat.drop)
                if not gap <= 2 * TOLERANCE_MM:
                    yield Fault(spread.room.name, f"its pattern is {gap:.2f} mm off where it was asked for")


def _motif(case: OrderCase, source: str) -> Point | None:
    """Where the pattern's reference point lies on a source, the pile along +y; None where nobody recorded it."""
    if source not in case.pieces:
        return 0.0, 0.0
    piece = case.pieces[source].piece
    return turned(piece.motif, -piece.pile_deg) if piece.motif else None


QUESTIONS: tuple[OrderQuestion, ...] = (
    lengths,
    steps,
    roll_length,
    ordered,
    rolls_there,
    one_roll,
    on_roll,
    on_pieces,
    cuts_apart,
    lots,
    pattern,
)
