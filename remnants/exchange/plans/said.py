"""What somebody says about a plan that it doesn't tell itself. Lengths are millimetres."""

from dataclasses import dataclass

from remnants.geometry import Point
from remnants.limits import ROOMS
from remnants.units import Unit

__all__ = ["GAP_MM", "MOST_GAP_MM", "PlanSaid"]

GAP_MM = 20.0
"""A gap up to which lines are taken to meet (common practice, no source): it lies under a carpet's trim."""

MOST_GAP_MM = 2000.0
"""Wider gaps are no slip of the hand and no doorway (common practice, no source)."""


@dataclass(frozen=True)
class PlanSaid:
    """How a plan is to be read: its unit, over what it states or where it states none; which layers; what closes.

    Without `layers` all that are shown count. What lies in a room on one of `islands` is an island. `doors` name layers or blocks
    that hold doors, beside those whose name says so. With `all_islands` whatever lies in a room is one. Of a PDF, `scale` says
    how many times larger than on paper all is (0 where nobody said), and `page` which page it is, from 1. Without a scale,
    `known_mm` is how long the numbered `line` of the page is as built, or how far two `points` of it (mm of paper) are apart.
    """

    unit: Unit | None = None
    unit_unstated: Unit | None = None
    layers: tuple[str, ...] = ()
    islands: tuple[str, ...] = ()
    doors: tuple[str, ...] = ()
    gap_mm: float = GAP_MM
    all_islands: bool = False
    every_layer: bool = False
    most: int = ROOMS
    scale: float = 0.0
    page: int = 1
    line: int = 0
    points: tuple[Point, Point] | None = None
    known_mm: float = 0.0
