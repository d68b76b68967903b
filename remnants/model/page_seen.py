"""A page of a plan as it is shown to choose a line on whose length is known. In mm of paper, from the left and the lower edge."""

import math
from dataclasses import dataclass

from remnants.geometry import Point
from remnants.units import Unit, write_length

__all__ = ["LineSeen", "PageSeen"]

LEVEL_SHARE = 0.01
"""A line that rises by less of its length is told as level, one that leans by less as upright: nobody sees it lean."""


@dataclass(frozen=True)
class LineSeen:
    """A straight line of a page and its number: its ends on paper, in mm from the page's left and lower edges."""

    number: int
    start: Point
    end: Point

    @property
    def length_mm(self) -> float:
        """How long it is on paper (mm)."""
        return math.dist(self.start, self.end)

    def told(self, unit: Unit) -> str:
        """Which line it is, in words; lengths on paper."""
        paper = Unit.IN if unit in (Unit.FT, Unit.IN) else Unit.MM
        across, up = (write_length((a + b) / 2, paper) for a, b in zip(self.start, self.end, strict=True))
        dx, dy = (abs(b - a) for a, b in zip(self.start, self.end, strict=True))
        way = "level" if dy <= LEVEL_SHARE * dx else "upright" if dx <= LEVEL_SHARE * dy else "aslant"
        long = f"{write_length(self.length_mm, paper)} long on the page, {way}"
        return f"{long}, its middle {across} from the left and {up} from below"


@dataclass(frozen=True)
class PageSeen:
    """A page to choose a line on: its size, all its lines as paths, those that have a number. In mm of paper, up is up."""

    width_mm: float
    height_mm: float
    paths: tuple[tuple[Point, ...], ...]
    lines: tuple[LineSeen, ...]
