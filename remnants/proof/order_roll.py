"""Questions about the roll and the pieces: do the cuts lie on them, apart, long enough, in one lot, and does the pattern meet?"""

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from remnants.errors import Fault
from remnants.model.match import Grade
from remnants.model.order_plan import ROLL
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
    plan = case.plan
    end = max((placed.at[1] + placed.cut.length_mm for placed, _ in case.sources.get(ROLL, ())), default=0.0)
    if not abs(end - plan.length_mm) <= TOLERANCE_MM:
        yield Fault("roll", f"the cuts end at {end:.1f} mm, told {plan.length_mm:.1f} mm")
    for least in (plan.bound_mm, plan.least_mm, plan.stock_bound_mm or 0.0, plan.exact_mm or 0.0):
        if not least <= plan.length_mm + TOLERANCE_MM:
            yield Fault("roll", f"told {plan.length_mm:.1f} mm, and {least:.1f} mm as the least that is needed")


def ordered(case: OrderCase) -> Iterator[Fault]:
    """Is as much ordered as the cuts take, as the supplier sells it, and no more than that makes necessary?"""
    plan, roll = case.plan, case.plan.roll
    cuts = case.sources.get(ROLL, ())
    least = max(plan.length_mm, roll.least_mm) if cuts else 0.0
    enough = plan.ordered_mm < least + roll.step_mm if roll.step_mm else plan.ordered_mm <= least + TOLERANCE_MM
    if not (least - TOLERANCE_MM <= plan.ordered_mm and enough):
        yield Fault("roll", f"{plan.ordered_mm:.1f} mm can't be ordered for {plan.length_mm:.1f} mm of cuts")
    steps = plan.ordered_mm / roll.step_mm if roll.step_mm and math.isfinite(plan.ordered_mm) else 0.0
    if not abs(steps - round(steps)) <= WHOLE * max(1.0, steps):
        yield Fault("roll", f"{plan.ordered_mm:.1f} mm can't be ordered in steps of {roll.step_mm:.1f} mm")


def on_roll(case: OrderCase) -> Iterator[Fault]:
    """Does every cut from the roll lie on it?"""
    width = case.plan.roll.width_mm
    for placed, _ in case.sources.get(ROLL, ()):
        x, y = placed.at
        over = max(-x, -y, x + placed.cut.width_mm - width)
        if not over <= TOLERANCE_MM:
            yield Fault(placed.cut.name, f"lies {over:.2f} mm over the roll's side or start")


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
        found.setdefault(placed.cut.room, set()).add(_lot(case, placed.source))
    for name, own in sorted(found.items()):
        if len(own) > 1:
            yield Fault(name, f"pieces of {len(own)} lots meet in it")
    for one, other in _seen_together(case):
        if len(found.get(one, set()) | found.get(other, set())) > 1:
            yield Fault(one, f"meets another lot in view at the doorway to {other}")


def _lot(case: OrderCase, source: str) -> tuple[str, ...]:
    """What tells one lot from another; () is the roll's."""
    candidate = case.pieces.get(source)
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
        step = (
            placed.cut.box[0] - origin[0] - placed.at[0] + motif[0],
            placed.cut.box[1] - origin[1] - placed.at[1] + motif[1],
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


QUESTIONS: tuple[OrderQuestion, ...] = (lengths, steps, roll_length, ordered, on_roll, on_pieces, cuts_apart, lots, pattern)
