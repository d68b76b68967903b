"""The rules that an order is planned by: trims, seams allowed, what each drawback weighs, rounding. Frozen, checked when made."""

import math
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

from remnants.errors import BadInput, Fault
from remnants.geometry import TOLERANCE_MM
from remnants.model import Repeat
from remnants.model.money import Price
from remnants.rules import KeepRule

__all__ = ["OrderRules", "RepeatRule", "Roll", "RollThere", "Weights"]


class RepeatRule(StrEnum):
    """How a pattern lengthens a cut.

    TIGHT: each cut only starts where the pattern meets. WHOLE: it is cut to whole repeats too (to whole shares of one where the
    pattern drops), which is the trade's tighter rule. CAUTIOUS: and a full repeat is added to every cut.
    """

    TIGHT = "tight"
    WHOLE = "whole"
    CAUTIOUS = "cautious"


@dataclass(frozen=True, slots=True)
class Weights:
    """What a drawback of a layout weighs, in mm of roll that one would rather buy. Our own, common practice gives no figures.

    What is a drawback follows the CRI standard of 2011, §6.2: few seams, that run the length of the area, with traffic along and
    not across them, away from where feet turn, light not striking across, none square to a doorway's opening. `across_area_mm`
    is for a seam across an area three times as long as wide, more in proportion where it is longer, up to five times that.
    """

    each_seam_mm: float = 300.0
    side_seam_per_m_mm: float = 100.0
    cross_seam_mm: float = 600.0
    doorway_join_mm: float = 300.0
    in_doorway_mm: float = 3000.0
    on_path_per_m_mm: float = 30.0
    across_path_mm: float = 2000.0
    feet_turn_mm: float = 600.0
    across_area_mm: float = 300.0
    across_light_per_m_mm: float = 30.0


@dataclass(frozen=True, slots=True)
class RollThere:
    """A roll that there is: its name, what is on it (mm), and its lot ("": nobody told it, so it is taken for one of its own)."""

    name: str
    length_mm: float
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Roll:
    """The roll to order from: width (mm), pattern, order step and least order (mm; 0 for none), lot if it is known.

    A roll is `length_mm` long (0: as long as it takes), several of them alike and of one lot. Where `there` names rolls, in their
    order as they were made, these are all that there are. `end_loss_mm` of every length is squared off and lost.
    """

    width_mm: float
    repeat: Repeat | None = None
    step_mm: float = 0.0
    least_mm: float = 0.0
    lot: str = ""
    length_mm: float = 0.0
    end_loss_mm: float = 0.0
    there: tuple[RollThere, ...] = ()

    def __post_init__(self) -> None:
        faults = []
        if not (math.isfinite(self.width_mm) and self.width_mm > 0):
            faults.append(Fault("width", f"{self.width_mm!r} mm is no roll width: give one above zero"))
        lengths = ("step", "least", "length", "end_loss")
        for name, value in ((name, getattr(self, f"{name}_mm")) for name in lengths):
            if not (math.isfinite(value) and value >= 0):
                faults.append(Fault(name, f"{value!r} mm is no length: give zero or more"))
        names = [each.name.strip() for each in self.there]
        for index, each in enumerate(self.there):
            where = f"rolls[{index}]"
            if not (math.isfinite(each.length_mm) and each.length_mm > self.end_loss_mm):
                faults.append(Fault(f"{where}.length", f"{each.length_mm!r} mm is nothing to cut from, the end loss taken off"))
            if not names[index] or names.index(names[index]) < index:
                faults.append(Fault(f"{where}.name", f"{each.name!r} can't name a roll: give each a name of its own"))
        if 0 < self.length_mm <= self.end_loss_mm:
            faults.append(Fault("length", "a roll is no longer than its end loss: give its whole length"))
        if faults:
            raise BadInput(faults)

    @property
    def longest_mm(self) -> float:
        """The longest length that one roll gives, its end loss taken off; without end where nobody told how long a roll is."""
        lengths = [each.length_mm for each in self.there] or [self.length_mm or math.inf]
        return max(lengths) - self.end_loss_mm

    @property
    def comes_in_lengths(self) -> bool:
        """True where it is told how long rolls are."""
        return math.isfinite(self.longest_mm)

    def ordered_mm(self, length_mm: float) -> float:
        """The length to order for `length_mm` of cuts: with the end loss, up to the supplier's least and to whole steps.

        Nothing for nothing.
        """
        if length_mm <= 0:
            return 0.0
        needed = max(length_mm + self.end_loss_mm, self.least_mm)
        if not self.step_mm:
            return needed
        return self.step_mm * math.ceil(round(needed / self.step_mm, 9))


@dataclass(frozen=True)
class OrderRules:
    """How rooms are laid. Lengths mm.

    `wall_mm` is the trim at each wall edge (37.5 at both ends makes the 75 mm to a length of the CRI 2011 planning list); a room
    may say otherwise for an edge. `seam_mm` is trimmed from each side of a seam (common practice, no source). No fill is narrower
    than `least_fill_mm` (no standard gives a figure; ours). A fill has at most `cross_seams` joins end to end, and so as many
    T-joints with the breadth beside it. `keep` says which leftovers are worth keeping. Cuts are rounded up to whole steps of
    `cut_step_mm` (0: not at all), so that a tape finds them (common practice, no source).
    """

    wall_mm: float = 37.5
    seam_mm: float = 25.0
    least_fill_mm: float = 300.0
    cross_seams: int = 0
    repeat_rule: RepeatRule = RepeatRule.WHOLE
    weights: Weights = field(default_factory=Weights)
    prices: tuple[Price, ...] = ()
    keep: KeepRule = field(default_factory=KeepRule)
    cut_step_mm: float = 0.0

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no length: give zero or more")
            for name, value in (
                ("trim.wall", self.wall_mm),
                ("trim.seam", self.seam_mm),
                ("least_fill", self.least_fill_mm),
                ("cut_step", self.cut_step_mm),
            )
            if not (math.isfinite(value) and value >= 0)
        ]
        if not 0 <= self.cross_seams <= 11:
            faults.append(Fault("cross_seams", f"{self.cross_seams!r} joins in one fill: give 0 to 11"))
        if faults:
            raise BadInput(faults)

    def cut_length_mm(self, needed_mm: float, repeat: Repeat | None) -> float:
        """The length to cut for `needed_mm`, by the repeat rule, or in whole steps where that makes no whole repeats."""
        if repeat is None or self.repeat_rule is RepeatRule.TIGHT:
            return _whole_steps(needed_mm, self.cut_step_mm)
        step = repeat.along_mm / Fraction(repeat.drop).limit_denominator(24).denominator
        whole = step * math.ceil(round(needed_mm / step, 9))
        return whole + repeat.along_mm if self.repeat_rule is RepeatRule.CAUTIOUS else whole

    def cut_width_mm(self, needed_mm: float, roll_mm: float, start_mm: float = 0.0) -> float:
        """The width to cut for `needed_mm`: whole steps, or an even share of the roll's width `roll_mm` where that is less.

        An even share is found by folding. A cut whose pattern starts `start_mm` into the roll is never past the roll's side.
        """
        if not self.cut_step_mm:
            return needed_mm
        share = roll_mm / max(1, math.floor((roll_mm + TOLERANCE_MM) / needed_mm))
        return max(needed_mm, min(_whole_steps(needed_mm, self.cut_step_mm), share, roll_mm - start_mm))


def _whole_steps(needed_mm: float, step_mm: float) -> float:
    return max(needed_mm, step_mm * math.ceil((needed_mm - TOLERANCE_MM) / step_mm)) if step_mm else needed_mm
