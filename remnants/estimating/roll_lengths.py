"""How long a roll is: what it lets a floor be laid with, and how that is told."""

from remnants.geometry import TOLERANCE_MM
from remnants.model.order_plan import Laying
from remnants.model.order_rules import Roll
from remnants.units import Unit, is_imperial, write_length

__all__ = ["fits_one_roll", "longest_told", "write_roll_length"]


def fits_one_roll(way: Laying, roll: Roll) -> bool:
    """True unless a cut is longer than any roll, or all of them together are more than any holds."""
    if not roll.comes_in_lengths:
        return True
    area = sum(cut.width_mm * cut.length_mm for cut in way.cuts)
    longest = max((cut.length_mm for cut in way.cuts), default=0.0)
    return max(longest, area / roll.width_mm) <= roll.longest_mm + TOLERANCE_MM


def longest_told(roll: Roll, unit: Unit) -> str:
    """How long the longest roll is, as a clause."""
    best = max(roll.there, key=lambda each: each.length_mm, default=None)
    name = f"the longest, {best.name}," if best else "a roll"
    return f"{name} gives {write_length(roll.longest_mm, unit)}"


def write_roll_length(length_mm: float, unit: Unit) -> str:
    """A length of roll (mm) as it is ordered: in feet and inches for whoever reads inches or feet, else as `write_length`."""
    return write_length(length_mm, Unit.FT if is_imperial(unit) else unit)
