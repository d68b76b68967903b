"""The figures behind the order of merit: one frozen value, documented, changeable."""

import math
from dataclasses import dataclass, field

from remnants.errors import BadInput, Fault
from remnants.rules import LeastSizes

__all__ = ["FitRules"]


@dataclass(frozen=True, slots=True)
class FitRules:
    """What is worth keeping, what a piece is worth, and how hard to look.

    `keep`: which leftovers are worth keeping, the shop's own rule, or the style's where it has one.
    `half_value_mm2`: size of the largest rectangle at which carpet is worth half its full value by area; a piece's value is its
    area times R / (R + half), R its largest rectangle (the tool's own scale: common practice, no source, that one large piece is
    worth more than the same area in small ones).
    `pattern_out_mm`: how far a pattern may be out at the end of a seam, 1/4 in (common practice, no source). `skew_share`: a
    skew of 2 in in 12 ft, `bow_share`: a bow of 1 in in it (trade bodies' limits, fcimag.com articles 84177 and 84184).
    `stretch_share`: a repeat that comes out longer by up to 1 1/4 in in 12 ft (the most of makers' typical figures, fcimag.com
    article 93402).
    `placements`: the most places tried for one cut; `donors_weighed`: the most donors or pairs whose leftovers are compared.
    """

    keep: LeastSizes = field(default_factory=LeastSizes)
    half_value_mm2: float = 4_000_000.0
    pattern_out_mm: float = 6.35
    skew_share: float = 2 / 144
    bow_share: float = 1 / 144
    stretch_share: float = 1.25 / 144
    placements: int = 12
    donors_weighed: int = 6

    def __post_init__(self) -> None:
        figures = (
            "half_value_mm2",
            "pattern_out_mm",
            "skew_share",
            "bow_share",
            "stretch_share",
            "placements",
            "donors_weighed",
        )
        faults = [
            Fault(name, f"{getattr(self, name)!r} is no rule: give a figure of zero or more")
            for name in figures
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) >= 0)
        ]
        if faults:
            raise BadInput(faults)

    def worth_keeping(self, style: str, width_mm: float, length_mm: float) -> bool:
        """True if a leftover of this style with this largest rectangle (mm) is stock and not waste."""
        return self.keep.of(style).worth_keeping(width_mm, length_mm)

    def value_mm2(self, area_mm2: float, largest_mm2: float) -> float:
        """Value of a piece as the area of full-value carpet it stands for, mm²."""
        return area_mm2 * largest_mm2 / (largest_mm2 + self.half_value_mm2) if largest_mm2 > 0 else 0.0
