"""All donors of a patch as arrays: what each has room for, told for 10,000 at once.

So exact work goes to the few that can still win.
"""

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.ask import Ask
from remnants.fitting.donor import Donor
from remnants.fitting.shape import Split
from remnants.geometry.outline import TOLERANCE_MM, bounds
from remnants.geometry.room import GRID_MM
from remnants.geometry.staircase import Bounds, Staircases

__all__ = ["Field", "Reaches"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Field:
    """Donors in a settled order, and arrays beside them."""

    donors: tuple[Donor, ...]

    @cached_property
    def sizes(self) -> Floats:
        """Extents (across, along the pile) of each donor's outline, mm: (n, 2)."""
        boxes = np.array([donor.box for donor in self.donors], dtype=np.float64).reshape(len(self.donors), 4)
        extents: Floats = boxes[:, 2:] - boxes[:, :2]
        return extents

    @cached_property
    def areas(self) -> Floats:
        """Usable area of each donor, mm²."""
        return np.array([donor.area_mm2 for donor in self.donors], dtype=np.float64)

    @cached_property
    def plain(self) -> NDArray[np.bool_]:
        """True for donors that are plain rectangles as they lie: their size tells all."""
        return np.array([donor.is_plain for donor in self.donors], dtype=bool)

    @cached_property
    def kinds(self) -> tuple[NDArray[np.int64], tuple[Donor, ...]]:
        """For each donor the number of its kind of carpet (style, colour, lot, wear, lay), and one donor of each kind."""
        numbers: dict[tuple[object, ...], int] = {}
        firsts: list[Donor] = []
        found = []
        for donor in self.donors:
            piece = donor.candidate.piece
            key = (piece.style, piece.colour, piece.lot, piece.worn, donor.lay_deg)
            if key not in numbers:
                numbers[key] = len(firsts)
                firsts.append(donor)
            found.append(numbers[key])
        return np.array(found, dtype=np.int64), tuple(firsts)

    @cached_property
    def pieces(self) -> NDArray[np.int64]:
        """The number of each donor's piece: one piece may stand here once for every allowed turn."""
        numbers: dict[str, int] = {}
        return np.array([numbers.setdefault(donor.tag, len(numbers)) for donor in self.donors], dtype=np.int64)

    def without(self, tags: Collection[str]) -> "Field":
        """The field without some pieces."""
        return Field(tuple(donor for donor in self.donors if donor.tag not in tags)) if tags else self

    @cached_property
    def _screens(self) -> tuple[NDArray[np.int64], Staircases]:
        """Which donors have a staircase that still holds along this lay, and the staircases."""
        found = [(index, donor.staircase) for index, donor in enumerate(self.donors) if donor.staircase is not None]
        return np.array([index for index, _ in found], dtype=np.int64), Staircases([packed for _, packed in found if packed])

    def bounding_room(self, axis: int, other_mm: float) -> Bounds:
        """As `room`, for parts that are no rectangles: the donors' bounds are all that holds, and nothing is certain."""
        wide_enough = self.sizes[:, 1 - axis] >= other_mm - TOLERANCE_MM
        possible = np.where(wide_enough, self.sizes[:, axis] + TOLERANCE_MM, -np.inf)
        return Bounds(np.full_like(possible, -np.inf), possible)

    def room(self, axis: int, other_mm: float) -> Bounds:
        """The largest extent (mm) along `axis` (0 across, 1 along the pile) of a rectangle `other_mm` the other way, per donor.

        `certain` and `possible` agree where the answer is known; minus infinity where there is none.
        """
        wide_enough = self.sizes[:, 1 - axis] >= other_mm - TOLERANCE_MM
        possible = np.where(wide_enough, self.sizes[:, axis] + TOLERANCE_MM - GRID_MM, -np.inf)
        certain = np.where(self.plain, possible, -np.inf)
        places, staircases = self._screens
        if places.size:
            screened = staircases.widest(other_mm) if axis == 0 else staircases.longest(other_mm)
            odd = ~self.plain[places]
            high = np.where(screened.possible > 0, screened.possible + 2 * TOLERANCE_MM, -np.inf)
            low = np.where(screened.certain > 0, screened.certain, -np.inf)
            possible[places[odd]] = np.minimum(possible[places[odd]], high[odd])
            certain[places[odd]] = low[odd]
        return Bounds(certain, possible)


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
        # a rectangle's cut grows just as its net does; of other shapes, whose mitres move, only the net's bounds are sure
        rectangle, axis = split.shape.is_rectangle, split.axis
        box = bounds(half.cut) if rectangle else half.box
        extent, other = box[axis + 2] - box[axis], box[3 - axis] - box[1 - axis]
        room = field.room(axis, other) if rectangle else field.bounding_room(axis, other)
        straight = rectangle and ask.motif is None
        spare = room.possible - extent
        reach = np.minimum(far, near + spare) if low else np.maximum(far, near - spare)
        certain = room.certain - extent
        surely = np.minimum(far, near + certain) if low else np.maximum(far, near - certain)
        at = np.where(spare >= 0, reach, np.nan)
        known = np.isnan(at) | ((surely == reach) if straight else False)
        return cls(ask, field, split, low, at, known)

    def settle(self, index: int) -> float:
        """The true figure of one donor; NaN if it can't fill the split from this side at all."""
        if not self.exact[index]:
            found = self.ask.threshold(self.split, self.low, self.field.donors[index])
            self.at[index] = np.nan if found is None else found
            self.exact[index] = True
        return float(self.at[index])

    def settle_worthwhile(self, beyond: float) -> None:
        """Settles every donor without a screen whose optimistic figure reaches `beyond`: bounds alone say little of it."""
        ahead = self.at >= beyond if self.low else self.at <= beyond
        for index in np.flatnonzero(ahead & ~self.exact):
            if self.field.donors[index].staircase is None:
                self.settle(int(index))
