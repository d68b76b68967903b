"""Whole ways to lay everything, and which of them are choices: from the fewest seams to the shortest roll."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from remnants.model.order_plan import Laying
from remnants.model.rooms import Floors

__all__ = ["Final", "Seen", "frontier"]

MOST_CHOICES = 4
LEAST_SAVED_MM = 20.0
"""One more seam is a choice where it saves more roll than this."""


@dataclass(frozen=True)
class Seen:
    """A whole that was looked at: its layings, and by a quick packing the roll that it takes (mm)."""

    length_mm: float
    layings: tuple[Laying, ...]

    @property
    def drawback_mm(self) -> float:
        """What the drawbacks weigh (mm)."""
        return sum(laying.drawback_mm for laying in self.layings)

    @property
    def merit_mm(self) -> float:
        """Roll and drawbacks together (mm)."""
        return self.length_mm + self.drawback_mm

    @property
    def seams(self) -> int:
        """How many seams there are inside the rooms; joins in doorways are the same in every whole."""
        return sum(len(laying.seams) for laying in self.layings)


@dataclass(frozen=True)
class Final:
    """The floors as laid (some rooms perhaps as one), how, and by a quick packing the roll and drawbacks together (mm)."""

    floors: Floors
    layings: tuple[Laying, ...]
    merit_mm: float

    @property
    def length_mm(self) -> float:
        """Roll by a quick packing (mm)."""
        return self.merit_mm - self.drawback_mm

    @property
    def seams(self) -> int:
        """How many seams there are, joins in doorways too."""
        return sum(len(laying.seams) for laying in self.layings)

    @property
    def drawback_mm(self) -> float:
        """What the drawbacks weigh (mm)."""
        return sum(laying.drawback_mm for laying in self.layings)


Way = TypeVar("Way", Seen, Final)


def frontier(seen: Iterable[Way]) -> list[Way]:
    """From the fewest seams to the shortest roll: each takes less roll than every other with no more seams."""
    best: dict[int, Way] = {}
    for each in seen:
        known = best.get(each.seams)
        if known is None or (each.length_mm, each.drawback_mm) < (known.length_mm, known.drawback_mm):
            best[each.seams] = each
    kept: list[Way] = []
    for _, each in sorted(best.items()):
        if not kept or each.length_mm < kept[-1].length_mm - LEAST_SAVED_MM:
            kept.append(each)
    while len(kept) > MOST_CHOICES:  # the one that saves least against the one before it
        kept.remove(min(kept[1:-1], key=lambda each: kept[kept.index(each) - 1].length_mm - each.length_mm))
    return kept
