"""Where on a roll a cut may lie so that its pattern meets the floor's. Millimetres outside, whole micrometres for the packer.

Both patterns are one lattice: (across, drop * along) and (0, along). With the floor's reference point at `origin` and the roll's
at its corner, a cut whose corner is p seen from the origin may lie at every q with p - q on the lattice.
"""

from remnants.geometry import TOLERANCE_MM, Point
from remnants.model import Repeat
from remnants.model.order_plan import Cut
from remnants.packing import Item, Lattice

__all__ = ["item_of", "lattice_of", "microns"]


def microns(length_mm: float) -> int:
    """The length in whole micrometres."""
    return round(length_mm * 1000)


def item_of(cut: Cut, repeat: Repeat | None, roll_width_mm: float) -> Item:
    """The cut as the packer knows it; one that is over the roll's side by no more than the tolerance is as wide as that."""
    lattice = lattice_of(cut, repeat, (0.0, 0.0))
    width, most = microns(cut.width_mm), microns(roll_width_mm) - (lattice.x0 if lattice else 0)
    return Item(most if 0 < width - most <= microns(TOLERANCE_MM) else width, microns(cut.length_mm), lattice)


def lattice_of(cut: Cut, repeat: Repeat | None, motif: Point) -> Lattice | None:
    """Where the cut's corner may lie on carpet whose own reference point is `motif` (mm); None without a pattern."""
    if repeat is None or cut.origin is None:
        return None
    across, along = microns(repeat.across_mm), microns(repeat.along_mm)
    drop = microns(repeat.along_mm * repeat.drop) % along
    steps, x0 = divmod(microns(cut.box[0] - cut.origin[0] + motif[0]), across)
    if across - x0 <= microns(TOLERANCE_MM):  # a hair short of a whole repeat is a whole repeat
        steps, x0 = steps + 1, 0
    y0 = (microns(cut.box[1] - cut.origin[1] + motif[1]) - steps * drop) % along
    return Lattice(x0, across, 0 if along - y0 <= microns(TOLERANCE_MM) else y0, along, drop)
