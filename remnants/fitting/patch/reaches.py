"""How far each donor may fill a split from one side: told on arrays for all, made exact for the few that can still win."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.least_needs import DIRECTIONS, ends_at, needs_along
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field, Floats
from remnants.fitting.patch.seam_intervals import reach_of
from remnants.fitting.patch.shape import Split
from remnants.geometry.outline import TOLERANCE_MM, bounds

__all__ = ["Reaches"]

DONORS_A_PLACE = 20
"""Donors for which it is worth to measure a part at one more place: exact work on so many takes longer."""


@dataclass(frozen=True, eq=False)
class Reaches:
    """How far each donor of a field may fill a split from one side: `at` is the optimistic seam position, NaN where none.

    `exact` tells which are no longer optimistic but true; `settle` makes one true.
    """

    ask: Ask
    field: Field
    split: Split
    low: bool
    at: Floats
    exact: NDArray[np.bool_]

    @cached_property
    def sure(self) -> Floats:
        """How far (mm) each donor is known to fill the split; NaN where nothing is known yet."""
        return np.where(self.exact, self.at, np.nan)

    @classmethod
    def of(cls, ask: Ask, field: Field, split: Split, *, low: bool) -> "Reaches":
        """Reaches of every donor from one side of a split, as far as the arrays tell."""
        count = len(field.donors)
        first, last = split.limits(ask.min_part_mm)
        none = cls(ask, field, split, low, np.full(count, np.nan), np.ones(count, dtype=bool))
        if first > last + TOLERANCE_MM or not count:
            return none
        near, far = (first, max(first, last)) if low else (max(first, last), first)
        half = split.halves(near)[0 if low else 1]
        if not half.wide_enough(ask.min_part_mm):
            return none
        if not split.shape.is_rectangle:
            return cls._of_odd(ask, field, split, (near, far), low=low)
        # a rectangle's cut grows just as its net does
        box, axis = bounds(half.cut), split.axis
        extent, other = box[axis + 2] - box[axis], box[3 - axis] - box[1 - axis]
        room = field.room(axis, other)
        spare = room.possible - extent
        reach = np.minimum(far, near + spare) if low else np.maximum(far, near - spare)
        certain = room.certain - extent
        surely = np.minimum(far, near + certain) if low else np.maximum(far, near - certain)
        at = np.where(spare >= 0, reach, np.nan)
        known = np.isnan(at) | ((surely == reach) if ask.motif is None else False)
        return cls(ask, field, split, low, at, known)

    @classmethod
    def _of_odd(cls, ask: Ask, field: Field, split: Split, limits: tuple[float, float], *, low: bool) -> "Reaches":
        """As `of`, where halves are no rectangles and their mitres move: by what they take at the least from place to place."""
        needs = needs_along(split, *limits, low=low, most=len(field.donors) // DONORS_A_PLACE)
        counts = field.suffices(needs)
        further = np.append(needs.places[1:], limits[1])  # how far they may go that have enough up to a place
        at = np.where(counts > 0, further[np.maximum(counts, 1) - 1], np.nan)
        if not split.uneven:
            for column in (0, DIRECTIONS // 2):  # of a rectangle these two tell all
                ends = ends_at(needs, column, field.measures[:, column], counts)
                at = np.where(field.plain, (np.fmin if low else np.fmax)(at, ends), at)
        return cls(ask, field, split, low, at, np.isnan(at))

    def settle(self, index: int) -> float:
        """The true figure of one donor; NaN if it can't fill the split from this side at all."""
        if not self.exact[index]:
            found = self._reach(self.field.donors[index])
            self.at[index] = self.sure[index] = np.nan if found is None else found
            self.exact[index] = True
        return float(self.at[index])

    def look_closer(self, index: int) -> None:
        """Brings `at` and `sure` of one donor that isn't `exact` nearer to one another. Raises OutOfTime."""
        if self.split.uneven:
            self.settle(index)
            return
        reach = self.ask.reach(self.split, self.low, self.field.donors[index], closer=not np.isnan(self.sure[index]))
        self.sure[index] = np.nan if reach.fits is None else reach.fits
        self.exact[index] = reach.found
        nearer = min if self.low else max
        self.at[index] = self.sure[index] if reach.found or reach.fails is None else nearer(self.at[index], reach.fails)

    def unknown_mm(self, index: int) -> float:
        """How far apart `at` and `sure` of one donor are; endless where nothing is sure yet."""
        if self.exact[index]:
            return 0.0
        sure = float(self.sure[index])
        return math.inf if math.isnan(sure) else abs(float(self.at[index]) - sure)

    def meets(self, index: int, others: "Reaches", other: int) -> tuple[float, float] | None:
        """The true figures of a low donor and of a high one of `others` that meet; None once it is clear that they don't."""
        while self.at[index] >= others.at[other] - TOLERANCE_MM:
            if self.exact[index] and others.exact[other]:
                return float(self.at[index]), float(others.at[other])
            if self.unknown_mm(index) >= others.unknown_mm(other):
                self.look_closer(index)
            else:
                others.look_closer(other)
        return None

    def _reach(self, donor: Donor) -> float | None:
        if not self.split.uneven:
            return self.ask.threshold(self.split, self.low, donor)
        return reach_of(self.ask, self.split, donor, low=self.low)

    def settle_worthwhile(self, beyond: float) -> None:
        """Settles every donor without a screen whose optimistic figure reaches `beyond`: bounds alone say little of it."""
        self.ask.go_on()
        ahead = self.at >= beyond if self.low else self.at <= beyond
        for index in np.flatnonzero(ahead & ~self.exact & ~self.field.screened):
            self.settle(int(index))
