"""The rules of the trade that a shop may change: one home, read by all. Pure values; lengths mm, times whole days."""

import math
from dataclasses import dataclass, field

from remnants.errors import BadInput, Fault
from remnants.geometry import TOLERANCE_MM

__all__ = ["KeepRule", "ShopRules"]


@dataclass(frozen=True, slots=True)
class KeepRule:
    """Which leftovers are stock and not waste: those whose largest rectangle holds `short_mm` x `long_mm`, laid either way.

    Default: 12 x 18 in, from which small repairs are still cut (common practice, no source). Raises BadInput.
    """

    short_mm: float = 304.8
    long_mm: float = 457.2

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no size to keep: give zero or more")
            for name, value in (("short_mm", self.short_mm), ("long_mm", self.long_mm))
            if not (math.isfinite(value) and value >= 0)
        ]
        if faults:
            raise BadInput(faults)

    def worth_keeping(self, width_mm: float, length_mm: float) -> bool:
        """Whether a leftover with this largest rectangle (mm) is stock and not waste."""
        short, long = sorted((width_mm, length_mm))
        least, most = sorted((self.short_mm, self.long_mm))
        return short >= least - TOLERANCE_MM and long >= most - TOLERANCE_MM


@dataclass(frozen=True, slots=True)
class ShopRules:
    """The rules in force. `hold_days`: how long a piece is held unless somebody says otherwise (common practice, no source)."""

    hold_days: int = 14
    keep: KeepRule = field(default_factory=KeepRule)
