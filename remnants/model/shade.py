"""A measured colour, and a colourway of a style."""

import math
from dataclasses import dataclass

from remnants.errors import BadInput, Fault

__all__ = ["ILLUMINANT", "MOST_CHROMA", "PHOTO", "Colourway", "Lab"]

ILLUMINANT = "D65/10"
"""Light and observer that a measurement is taken to be under when it doesn't say."""

PHOTO = "photo"
"""Stands for the light of a shade that was taken from a photograph, corrected by a grey card: rough."""

MOST_CHROMA = 160.0
"""No surface colour lies further from grey along a* or b* than this."""


@dataclass(frozen=True, slots=True)
class Lab:
    """A colour in CIELAB: L* from 0 black to 100 white, a* green to red, b* blue to yellow; no units.

    `illuminant` is the light and observer of the measurement, such as D65/10, or `photo` for one taken from a photograph.
    """

    lightness: float
    a: float
    b: float
    illuminant: str = ILLUMINANT

    def __post_init__(self) -> None:
        faults = []
        if not (math.isfinite(self.lightness) and 0 <= self.lightness <= 100):
            faults.append(Fault("[0]", f"{self.lightness!r} is no L*: give 0 (black) to 100 (white)"))
        faults += [
            Fault(f"[{index}]", f"{value!r} is no {name}*: give a figure from -{MOST_CHROMA:g} to {MOST_CHROMA:g}")
            for index, name, value in ((1, "a", self.a), (2, "b", self.b))
            if not (math.isfinite(value) and abs(value) <= MOST_CHROMA)
        ]
        if not self.illuminant.strip():
            faults.append(Fault("illuminant", f"the measurement's light is blank: leave it out for {ILLUMINANT}"))
        if faults:
            raise BadInput(faults)

    @property
    def from_photo(self) -> bool:
        """Whether it was taken from a photograph, and so is rough."""
        return self.illuminant.strip().casefold() == PHOTO


@dataclass(frozen=True, slots=True)
class Colourway:
    """A colour that a style is made in, with its measured shade where known."""

    name: str
    lab: Lab | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BadInput([Fault("name", "the colour needs a name")])
