"""By how much pieces fail to make a patch whole: one with all it takes, or all donors of a patch at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask, OutOfTime
from remnants.fitting.patch.room_on_donors import Field
from remnants.geometry.outline import TOLERANCE_MM, bounds
from remnants.geometry.room import room_for
from remnants.geometry.tolerances import MICROMETRES_MM
from remnants.units import Unit, write_length

__all__ = ["Miss", "Misses", "miss_of"]

WAYS = ("across the pile", "along the pile")


@dataclass(frozen=True, slots=True)
class Miss:
    """By how much a donor fails to make a patch whole: `missing_mm` (infinite if it isn't a matter of size), and in words."""

    missing_mm: float
    words: str


def miss_of(ask: Ask, donor: Donor, unit: Unit) -> Miss | None:
    """The first test that the donor fails for the whole patch, with the figure; None if it passes all."""
    if _unmatched(ask, donor):
        return Miss(np.inf, "its motif point isn't recorded, so the pattern can't be met")
    needs = _needs(ask)
    left, bottom, right, top = donor.box
    lacks = [need - size for need, size in zip(needs, (right - left, top - bottom), strict=True)]
    if max(lacks) > TOLERANCE_MM:
        return Miss(max(lacks), _short(lacks, unit))
    if ask.lies(ask.shape, donor):
        return None
    if ask.shape.is_rectangle:
        found = _clear_miss(donor, needs, unit)
        return found or Miss(np.inf, "large enough, but the pattern doesn't meet anywhere on it")
    return Miss(np.inf, "no clear place on it for the patch's outline")


def _needs(ask: Ask) -> tuple[float, float]:
    """The extents of the cut across and along the pile, mm."""
    left, bottom, right, top = bounds(ask.shape.cut)
    return right - left, top - bottom


def _unmatched(ask: Ask, donor: Donor) -> bool:
    """True for a patterned donor that doesn't say where its motif lies, where the patch does."""
    return ask.motif is not None and donor.candidate.style.repeat is not None and donor.motif is None


def _short(lacks: Sequence[float], unit: Unit) -> str:
    """`3 in short across the pile and 11 1/2 in short along the pile`, of what lacks (mm, across and along)."""
    wide, long = lacks
    across = _short_one(wide, unit, WAYS[0]) if wide > TOLERANCE_MM else ""
    along = _short_one(long, unit, WAYS[1]) if long > TOLERANCE_MM else ""
    return f"{across} and {along}" if across and along else across or along


@lru_cache(maxsize=50_000)
def _short_one(lack_mm: float, unit: Unit, way: str) -> str:
    return f"{write_length(lack_mm, unit)} short {way}"


def _clear_miss(donor: Donor, needs: tuple[float, float], unit: Unit) -> Miss | None:
    """How short the clear room is, where the outline as a whole would do."""
    forgiven = TOLERANCE_MM - MICROMETRES_MM
    return _clear([needs[axis] - room_for(donor.ground, axis, needs[1 - axis]) + forgiven for axis in (0, 1)], unit)


def _clear(lacks: Sequence[float], unit: Unit) -> Miss | None:
    """The miss of a donor whose clear room lacks so much (mm, across and along)."""
    lacks = [round(lack, 2) for lack in lacks]
    best = min((0, 1), key=lambda axis: (lacks[axis], -axis))
    if lacks[best] <= TOLERANCE_MM:
        return None
    if not np.isfinite(lacks[best]):
        return Miss(np.inf, "no clear place on it for a cut of this size")
    return Miss(lacks[best], f"{write_length(lacks[best], unit)} short {WAYS[best]}, clear of cutouts and edges")


@dataclass(frozen=True, eq=False)
class Misses:
    """What `miss_of` says of every donor of a field, told from its arrays as far as they know.

    Of an odd one whose staircase is exact they know all.
    """

    ask: Ask
    field: Field
    unit: Unit
    spent: dict[int, int] = dataclass_field(default_factory=dict)
    """The steps of worth that the whole patch takes from odd donors, by place, as far as they were worked out."""

    @cached_property
    def lacks(self) -> NDArray[np.float64]:
        """What each donor's outline lacks (across, along the pile), mm; zero or less where it is large enough: (n, 2)."""
        lacks: NDArray[np.float64] = np.array(_needs(self.ask)) - self.field.sizes
        return lacks

    @cached_property
    def _fits(self) -> NDArray[np.bool_]:
        """True for donors that hold the cut for certain: their size, or their staircase, says so and no pattern has a word."""
        needs = _needs(self.ask)
        if self.ask.motif is not None or not self.ask.shape.is_simple:
            return np.zeros(len(self.field.donors), dtype=bool)
        return self.field.room(1, needs[0]).certain >= needs[1]

    @cached_property
    def _others(self) -> dict[int, Miss | None]:
        """The donors that their size says nothing final of, by place."""
        small = self.lacks.max(axis=1, initial=-np.inf) > TOLERANCE_MM
        open_to = ~small & ~self._fits
        if self.ask.motif is not None:
            open_to |= np.array([_unmatched(self.ask, donor) for donor in self.field.donors], dtype=bool)
        told: dict[int, Miss | None] = {}
        for place in np.flatnonzero(open_to):
            lacks = self._clear_lacks[place]
            told[int(place)] = self._odd(int(place)) if np.isnan(lacks).any() else _clear(lacks.tolist(), self.unit)
        return told

    def _odd(self, place: int) -> Miss | None:
        """What geometry alone can tell; while there is time."""
        try:
            return miss_of(self.ask, self.field.donors[place], self.unit)
        except OutOfTime:
            return Miss(np.inf, "not looked at: the time given was up")

    @cached_property
    def _clear_lacks(self) -> NDArray[np.float64]:
        """What the clear room lacks (across, along the pile; mm) where staircases know it exactly, else not a number: (n, 2)."""
        lacks = np.full((len(self.field.donors), 2), np.nan)
        if self.ask.shape.is_rectangle and self.ask.motif is None:
            needs = _needs(self.ask)
            for axis in (0, 1):
                room = self.field.room(axis, needs[1 - axis])
                exact = self.field.screened & (room.possible <= room.certain + 3 * TOLERANCE_MM)
                nothing = self.field.screened & ~np.isfinite(room.possible)
                lacks[:, axis] = np.where(nothing, np.inf, np.where(exact, needs[axis] - room.certain, np.nan))
        return lacks

    @cached_property
    def missing_mm(self) -> NDArray[np.float64]:
        """How much each donor lacks (mm); infinite if it isn't a matter of size, minus infinity where nothing is amiss: (n)."""
        worst = self.lacks.max(axis=1, initial=-np.inf)
        missing = np.where(worst > TOLERANCE_MM, worst, -np.inf)
        for place, miss in self._others.items():
            missing[place] = -np.inf if miss is None else miss.missing_mm
        return missing

    @property
    def nearest(self) -> int | None:
        """The place of the donor that lacks least, the first by tag of equals; None if nothing is amiss with any."""
        places = np.flatnonzero(self.missing_mm > -np.inf)
        if not places.size:
            return None
        least = self.missing_mm[places].min()
        return int(min(places[self.missing_mm[places] == least], key=lambda place: self.field.donors[place].tag))

    def words(self, place: int) -> str:
        """What is amiss with one donor; empty if nothing is."""
        if place in self._others:
            miss = self._others[place]
            return miss.words if miss is not None else ""
        return _short(self._rounded[place], self.unit)

    @cached_property
    def _rounded(self) -> list[list[float]]:
        rounded: list[list[float]] = self.lacks.round(3).tolist()
        return rounded
