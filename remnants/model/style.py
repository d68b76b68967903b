"""What a carpet is: construction, roll width, pattern repeat, rows."""

import math
from dataclasses import dataclass, fields
from enum import StrEnum

from remnants.errors import BadInput, Fault
from remnants.model.shade import Colourway

__all__ = ["Construction", "Repeat", "Style"]


class Construction(StrEnum):
    """How the pile is made (words of ISO 2424)."""

    CUT = "cut"
    LOOP = "loop"
    CUT_AND_LOOP = "cut-and-loop"
    WOVEN = "woven"
    NEEDLED = "needled"


@dataclass(frozen=True, slots=True)
class Repeat:
    """Pattern repeat in the pile frame: `across_mm` along x (across the pile), `along_mm` along y.

    Each next repeat across is shifted along the pile by `drop` of `along_mm`: 0 set match, 0.5 half-drop, 0.25 quarter-drop.
    """

    across_mm: float
    along_mm: float
    drop: float = 0.0

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no repeat: give a length above zero")
            for name, value in (("across", self.across_mm), ("along", self.along_mm))
            if not (math.isfinite(value) and value > 0)
        ]
        if not (math.isfinite(self.drop) and 0 <= self.drop < 1):
            faults.append(Fault("drop", f"{self.drop!r} is no drop: give a share from 0 to under 1, such as 0.5 for half-drop"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True, slots=True)
class Style:
    """A carpet style. `roll_width_mm` and `row_mm` (spacing of tuft rows across the pile, mm) are None where unknown.

    `mass_g_m2` is its mass per area (g/m²), `pile_height_mm` and `backing_mm` the heights of its pile and of the backing under
    it (mm), None where unknown; `backing_material` says in words what that is made of. `colours` lists the colourways that are
    known with it, often only those with a measured shade. `repeat_bar_mm` is how far off its repeat may be, either way, where it
    was measured from a photograph.
    """

    name: str
    construction: Construction = Construction.CUT
    roll_width_mm: float | None = None
    repeat: Repeat | None = None
    row_mm: float | None = None
    colours: tuple[Colourway, ...] = ()
    mass_g_m2: float | None = None
    pile_height_mm: float | None = None
    backing_mm: float | None = None
    backing_material: str = ""
    repeat_bar_mm: float | None = None

    def __post_init__(self) -> None:
        faults = [] if self.name.strip() else [Fault("name", "the style needs a name")]
        lengths = (
            (each.name.removesuffix("_mm"), getattr(self, each.name)) for each in fields(self) if each.name.endswith("_mm")
        )
        faults += [
            Fault(where, f"{value!r} mm is no length above zero")
            for where, value in lengths
            if value is not None and not (math.isfinite(value) and value > 0)
        ]
        if self.mass_g_m2 is not None and not (math.isfinite(self.mass_g_m2) and self.mass_g_m2 > 0):
            faults.append(Fault("mass", f"{self.mass_g_m2!r} is no mass per area: give grams a square metre, such as 2400"))
        if faults:
            raise BadInput(faults)

    @property
    def thickness_mm(self) -> float | None:
        """Height of pile and backing together, mm; None unless both are known."""
        if self.pile_height_mm is None or self.backing_mm is None:
            return None
        return self.pile_height_mm + self.backing_mm
