"""Amounts of material as a shop asks for them."""

import math

from remnants.geometry.tolerances import WHOLE
from remnants.materials.needs import Measure, Need, Stuff
from remnants.units import Unit, is_imperial, write_area, write_length

__all__ = ["amount_text", "strip_lines"]

ML_PER_FL_OZ = 29.5735295625
"""US fluid ounce: 231/128 cubic inches, exact by the inch of 25.4 mm."""


def amount_text(need: Need, unit: Unit) -> str:
    """How much: lengths and areas in `unit`, volumes in ml (and fluid ounces beside feet and inches), pieces counted."""
    match need.measure:
        case Measure.LENGTH:
            return write_length(need.amount, unit)
        case Measure.AREA:
            return write_area(need.amount, unit)
        case Measure.VOLUME:
            ml = math.ceil(need.amount - WHOLE)
            return f"{ml} ml ({need.amount / ML_PER_FL_OZ:.1f} fl oz)" if is_imperial(unit) else f"{ml} ml"
        case Measure.COUNT:
            count = f"{need.amount:.0f}"
            return f"{count} lengths" if need.stuff is Stuff.STRIP and need.amount != 1 else count


def strip_lines(need: Need, unit: Unit) -> list[str]:
    """What to cut from each length of strip; lengths used whole are counted."""
    whole = sum(len(length.pieces) == 1 and length.rest_mm == 0 for length in need.strips)
    lines = [f"{whole} whole"] if whole else []
    for length in need.strips:
        if len(length.pieces) == 1 and length.rest_mm == 0:
            continue
        pieces = " + ".join(write_length(piece, unit) for piece in length.pieces)
        rest = f", {write_length(length.rest_mm, unit)} left" if length.rest_mm > 1 else ""
        lines.append(f"one length: {pieces}{rest}")
    return lines
