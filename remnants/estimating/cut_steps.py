"""Cuts rounded up to what a tape shows: whole steps of the shop's rule; and what that takes of the roll."""

from collections.abc import Sequence
from dataclasses import replace

from remnants.geometry import TOLERANCE_MM
from remnants.model.order_plan import Cut, Placed
from remnants.model.order_rules import OrderRules, Roll

__all__ = ["exact_length_mm", "in_steps"]


def in_steps(cut: Cut, rules: OrderRules, roll: Roll) -> Cut:
    """The cut as wide as it is cut: whole steps, or an even share of the roll. Its length is rounded already."""
    if not rules.cut_step_mm:
        return cut
    left, low, right, high = cut.box
    start = (left - cut.origin[0]) % roll.repeat.across_mm if roll.repeat and cut.origin else 0.0
    if roll.repeat and roll.repeat.across_mm - start <= TOLERANCE_MM:
        start = 0.0
    wide = rules.cut_width_mm(right - left, roll.width_mm, start)
    patterned = roll.repeat is not None and rules.cut_length_mm(high - low, None) < cut.length_mm - TOLERANCE_MM
    longer = 0.0 if patterned else cut.length_mm - (high - low)
    return replace(cut, box=(left, low, left + wide, high), rounded_mm=(wide - (right - left), longer))


def exact_length_mm(placed: Sequence[Placed]) -> float:
    """Roll (mm) that these cuts of one roll would take, each beside and behind the same others, if none were rounded up."""
    ends: list[tuple[float, float, float]] = []
    for each in sorted(placed, key=lambda one: (one.at[1], one.at[0])):
        cut, (x, _) = each.cut, each.at
        right = x + cut.width_mm - cut.rounded_mm[0]
        start = max((end for low, high, end in ends if min(high, right) - max(low, x) > TOLERANCE_MM), default=0.0)
        ends.append((x, right, start + cut.length_mm - cut.rounded_mm[1]))
    return max((end for _, _, end in ends), default=0.0)
