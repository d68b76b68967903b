"""Pins of tack strip under thin carpet: which class stays below the pile, and which points may reach through."""

from dataclasses import dataclass

from remnants.materials.rules import MaterialRules
from remnants.model import Style

__all__ = ["PINS", "Pin", "PinAdvice", "pin_advice"]


@dataclass(frozen=True, slots=True)
class Pin:
    """A class of pin and how far its points stand above the wood (mm)."""

    name: str
    height_mm: float


PINS = (Pin("C", 25.4 / 4), Pin("E", 25.4 * 7 / 32), Pin("D", 25.4 * 3 / 16), Pin("J", 25.4 * 5 / 32))
"""Tallest first: 1/4, 7/32, 3/16 and 5/32 in (trade magazine, fcimag.com article 84118)."""


@dataclass(frozen=True, slots=True)
class PinAdvice:
    """The class to use, None when no class stays under or the thickness isn't known; those that may reach through; and why."""

    best: Pin | None
    through: tuple[Pin, ...]
    told: str

    @property
    def thin(self) -> bool:
        """True when some pin may reach through, or nobody knows: the edge is then checked by hand."""
        return self.best is None or bool(self.through)


def pin_advice(style: Style | None, rules: MaterialRules) -> PinAdvice:
    """Which pins stay under this carpet: those at least the clearance lower than pile and backing together.

    Pins must not come through the carpet (CRI 105 (2015), 11.1). The tallest that stays under holds best.
    """
    thickness = style.thickness_mm if style else None
    if style is None or thickness is None:
        name = f"{style.name}: " if style else ""
        told = f"{name}pile and backing heights are not known; lay an offcut on a strip and feel for points before you nail it"
        return PinAdvice(None, (), told)
    under = tuple(pin for pin in PINS if pin.height_mm + rules.pin_clearance.value <= thickness)
    through = tuple(pin for pin in PINS if pin not in under)
    about = f"{style.name} is {thickness:.1f} mm thick, pile and backing"
    if not under:
        told = f"{about}: even class J pins (3.97 mm) may reach through; glue these edges or bind them, and use no strip"
    elif through:
        names = ", ".join(pin.name for pin in through)
        told = f"{about}: use class {under[0].name} ({under[0].height_mm:.2f} mm); points of {names} may reach through"
    else:
        told = f"{about}: class {under[0].name} ({under[0].height_mm:.2f} mm) stays under"
    return PinAdvice(under[0] if under else None, through, told)
