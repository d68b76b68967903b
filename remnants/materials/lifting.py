"""What a piece of carpet weighs, and when two lift it."""

from dataclasses import dataclass

from remnants.materials.rules import MaterialRules
from remnants.model import Piece, Style

__all__ = ["Load", "piece_load"]


@dataclass(frozen=True, slots=True)
class Load:
    """A load in kg; `assumed` when the style's mass is not known; `heavy` when it is over what one person should lift."""

    mass_kg: float
    assumed: bool
    heavy: bool


def piece_load(piece: Piece, style: Style | None, rules: MaterialRules) -> Load:
    """The load of a whole piece: its usable area times the style's mass per area."""
    known = style.mass_g_m2 if style else None
    mass_kg = piece.outline.usable_area_mm2 / 1e6 * (known or rules.assumed_mass.value) / 1000
    return Load(mass_kg, known is None, mass_kg > rules.lift.value)
