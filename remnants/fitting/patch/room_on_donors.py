"""All donors of a patch as arrays: what each has room for, told for 10,000 at once.

So exact work goes to the few that can still win.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.least_needs import DIRECTIONS, FORGIVEN_MM, Needs, directions
from remnants.geometry.outline import TOLERANCE_MM
from remnants.geometry.staircase import Bounds, Staircases
from remnants.geometry.tolerances import MICROMETRES_MM

__all__ = ["Field", "Floats", "Places"]

Floats = NDArray[np.float64]
Places = NDArray[np.int64]


SHADES_A_WORST = 100
"""More than a shade's best case can count to."""


@dataclass(frozen=True, eq=False)
class Field:
    """Donors in a settled order, and arrays beside them.

    One that was picked from another (`source`, at `places`) takes its arrays from there.
    """

    donors: tuple[Donor, ...]
    source: "Field | None" = None
    places: Places = field(default_factory=lambda: np.empty(0, dtype=np.int64))

    def some(self, chosen: NDArray[np.bool_]) -> "Field":
        """Those of the donors that are chosen (n)."""
        if chosen.all():
            return self
        places = np.flatnonzero(chosen)
        return Field(tuple(self.donors[place] for place in places), self, places)

    @cached_property
    def sizes(self) -> Floats:
        """Extents (across, along the pile) of each donor's outline, mm: (n, 2)."""
        if self.source is not None:
            return self.source.sizes[self.places]
        extents: Floats = self._boxes[:, 2:] - self._boxes[:, :2]
        extents = np.where((self.turns % 180.0 == 90.0)[:, None], extents[:, ::-1], extents)
        for place in np.flatnonzero(self.turns % 90.0):
            left, bottom, right, top = self.donors[place].box
            extents[place] = right - left, top - bottom
        return extents

    @cached_property
    def turns(self) -> Floats:
        """The turn (degrees clockwise) that brings each donor's own axes to the patch's."""
        return np.array([donor.turn_deg for donor in self.donors], dtype=np.float64)

    @cached_property
    def areas(self) -> Floats:
        """Usable area of each donor, mm²."""
        if self.source is not None:
            return self.source.areas[self.places]
        areas: Floats = np.prod(self._boxes[:, 2:] - self._boxes[:, :2], axis=1)
        for place in np.flatnonzero(~self._rectangles):
            areas[place] = self.donors[place].left.usable_area_mm2
        return areas

    @cached_property
    def _boxes(self) -> Floats:
        """Bounds of each donor's outline in its own axes, mm: (n, 4)."""
        corners, starts = self._corners
        if not len(starts):
            return np.empty((0, 4))
        return np.hstack([np.minimum.reduceat(corners, starts), np.maximum.reduceat(corners, starts)])

    @cached_property
    def _corners(self) -> tuple[Floats, Places]:
        """The corners of all outlines in their own axes (m, 2), and where those of each donor begin."""
        rings = [donor.left.ring for donor in self.donors]
        figures = chain.from_iterable(chain.from_iterable(rings))
        counts = np.fromiter(map(len, rings), dtype=np.int64, count=len(rings))
        return np.fromiter(figures, dtype=np.float64).reshape(-1, 2), np.cumsum(counts) - counts

    @cached_property
    def _rectangles(self) -> NDArray[np.bool_]:
        """True for outlines that are rectangles along their own axes, without cutouts."""
        corners, starts = self._corners
        four = np.array([len(donor.left.ring) == 4 and not donor.left.cutouts for donor in self.donors], dtype=bool)
        own = corners[starts[four, None] + np.arange(4)] if four.any() else np.empty((0, 4, 2))
        least, most = self._boxes[four, None, :2], self._boxes[four, None, 2:]
        which = np.where(own == most, 1, np.where(own == least, 0, 9)) @ np.array([2, 1])
        four[four] = (np.sort(which, axis=1) == np.arange(4)).all(axis=1)
        return four

    @cached_property
    def area_ranks(self) -> Places:
        """How many donors come before each one, the smallest first, those of one area as they stand: no two are equal."""
        ranks = np.empty(len(self.donors), dtype=np.int64)
        ranks[np.argsort(self.areas, kind="stable")] = np.arange(len(self.donors))
        return ranks

    @cached_property
    def largest_areas(self) -> Floats:
        """Usable area of each piece, the largest first, mm²."""
        firsts = np.unique(self.pieces, return_index=True)[1]
        areas: Floats = np.sort(self.areas[firsts])[::-1]
        return areas

    @cached_property
    def plain(self) -> NDArray[np.bool_]:
        """True for donors that are plain rectangles as they lie: their size tells all."""
        if self.source is not None:
            return self.source.plain[self.places]
        plain: NDArray[np.bool_] = self._rectangles & (self.turns % 90.0 == 0)
        return plain

    @cached_property
    def kinds(self) -> tuple[Places, tuple[Donor, ...]]:
        """For each donor the number of its kind of carpet (name and look), and one donor of each kind."""
        if self.source is not None:
            return self._picked(self.source.kinds)
        names = [(donor.candidate.piece.style, donor.candidate.piece.colour, donor.candidate.piece.lot) for donor in self.donors]
        return _numbered(self.donors, list(zip(self.looks[0].tolist(), names, strict=True)))

    @cached_property
    def looks(self) -> tuple[Places, tuple[Donor, ...]]:
        """For each donor the number of its look whatever its name, and one donor of each look."""
        if self.source is not None:
            return self._picked(self.source.looks)
        known: dict[tuple[object, ...], object] = {}
        keys = []
        for donor in self.donors:
            own = donor.candidate
            told = id(own.match), id(own.style), donor.turn_deg, own.piece.pile_deg, own.piece.kind, own.tier, own.fetch
            key = known.get(told)
            keys.append(key if key is not None else known.setdefault(told, donor.look_key))
        return _numbered(self.donors, keys)

    def _picked(self, there: tuple[Places, tuple[Donor, ...]]) -> tuple[Places, tuple[Donor, ...]]:
        left, own = np.unique(there[0][self.places], return_inverse=True)
        return own.astype(np.int64), tuple(there[1][number] for number in left)

    def of_kind(self, number: int) -> Places:
        """The places of the donors of one kind of carpet."""
        return self._by_kind[number]

    def of_looks(self, number: int) -> Places:
        """The places of the donors of one look."""
        return self._by_look[number]

    @cached_property
    def kinds_by_name(self) -> tuple[tuple[int, ...], ...]:
        """The numbers of the kinds of each name."""
        found: dict[tuple[str, str, str], list[int]] = {}
        for number, donor in enumerate(self.kinds[1]):
            found.setdefault(donor.name, []).append(number)
        return tuple(map(tuple, found.values()))

    @cached_property
    def _by_kind(self) -> tuple[Places, ...]:
        return _places_of(self.kinds)

    @cached_property
    def _by_look(self) -> tuple[Places, ...]:
        return _places_of(self.looks)

    @cached_property
    def pieces(self) -> NDArray[np.int64]:
        """The number of each donor's piece: one piece may stand here once for every allowed turn."""
        if self.source is not None:
            return self.source.pieces[self.places]
        numbers: dict[str, int] = {}
        return np.array([numbers.setdefault(donor.tag, len(numbers)) for donor in self.donors], dtype=np.int64)

    @cached_property
    def stored(self) -> NDArray[np.int64]:
        """The number of the place where each donor is kept."""
        if self.source is not None:
            return self.source.stored[self.places]
        numbers: dict[str, int] = {}
        return np.array([numbers.setdefault(donor.candidate.piece.place, len(numbers)) for donor in self.donors], dtype=np.int64)

    def without(self, tags: Collection[str]) -> "Field":
        """The field without some pieces."""
        return self.some(np.array([donor.tag not in tags for donor in self.donors], dtype=bool)) if tags else self

    @cached_property
    def shades(self) -> NDArray[np.int64]:
        """How each donor's shade is compared (worst case, then best) as one figure: the least is best."""
        if self.source is not None:
            return self.source.shades[self.places]
        ranks = np.array([donor.candidate.match.shade for donor in self.donors], dtype=np.int64).reshape(len(self.donors), 2)
        figures: NDArray[np.int64] = SHADES_A_WORST * ranks[:, 0] + ranks[:, 1]
        return figures

    @cached_property
    def _screens(self) -> tuple[tuple[bool, Places, Staircases], ...]:
        """The staircases that still hold, of donors that lie sideways and of the others, with those donors' places."""
        found = [(place, donor.staircase) for place, donor in enumerate(self.donors) if donor.candidate.staircase is not None]
        known = [(place, packed, self.donors[place].lay_deg) for place, packed in found if packed and not self.plain[place]]
        apart = [[(place, packed) for place, packed, lay in known if lay in lays] for lays in ((0.0, 180.0), (90.0, 270.0))]
        return tuple(
            (sideways, np.array([place for place, _ in some], dtype=np.int64), Staircases([packed for _, packed in some]))
            for sideways, some in zip((False, True), apart, strict=True)
            if some
        )

    @cached_property
    def screened(self) -> NDArray[np.bool_]:
        """True for the donors that a staircase is known of."""
        if self.source is not None:
            return self.source.screened[self.places]
        found = np.zeros(len(self.donors), dtype=bool)
        for _, places, _ in self._screens:
            found[places] = True
        return found

    @cached_property
    def measures(self) -> Floats:
        """What each donor measures in each of the `DIRECTIONS` (mm), and its area (mm²), what is forgiven added: (n, 9).

        Of plain rectangles the sizes tell all, and the rest counts as endless.
        """
        if self.source is not None:
            return self.source.measures[self.places]
        found = np.full((len(self.donors), DIRECTIONS + 1), np.inf)
        found[:, [0, DIRECTIONS // 2]] = self.sizes + FORGIVEN_MM
        odd = np.flatnonzero(~self.plain)
        for turn in sorted(set(self.turns[odd].tolist())):
            places = odd[self.turns[odd] == turn]
            rings = [self.donors[place].left.ring for place in places]
            starts = np.cumsum([0, *map(len, rings)])[:-1]
            along = np.array([point for ring in rings for point in ring]) @ directions(turn)
            found[places, :DIRECTIONS] = np.maximum.reduceat(along, starts) - np.minimum.reduceat(along, starts) + FORGIVEN_MM
        edges = [sum(map(len, (self.donors[place].left.ring, *self.donors[place].left.cutouts))) for place in odd]
        # no edge is longer than a piece is wide and long
        found[odd, DIRECTIONS] = self.areas[odd] + FORGIVEN_MM * np.array(edges) * self.sizes[odd].sum(axis=1)
        return found

    def suffices(self, needs: Needs) -> Places:
        """At how many of the places of `needs`, the nearest first, each donor has all that is needed: (n)."""
        have, sizes = self.measures, (0, DIRECTIONS // 2)
        across, along = (np.searchsorted(needs.least[:, column], have[:, column], side="right") for column in sizes)
        counts: Places = np.minimum(across, along).astype(np.int64)
        left = np.flatnonzero((counts > 0) & ~self.plain)
        for column in set(range(DIRECTIONS + 1)).difference(sizes):
            counts[left] = np.minimum(counts[left], np.searchsorted(needs.least[:, column], have[left, column], side="right"))
        return counts

    def room(self, axis: int, other_mm: float) -> Bounds:
        """The largest extent (mm) along `axis` (0 across, 1 along the pile) of a rectangle `other_mm` the other way, per donor.

        `certain` and `possible` agree where the answer is known; minus infinity where there is none.
        """
        if (axis, other_mm) not in self._rooms:
            self._rooms[axis, other_mm] = self._room(axis, other_mm)
        return self._rooms[axis, other_mm]

    @cached_property
    def _rooms(self) -> dict[tuple[int, float], Bounds]:
        """Rooms already told, by what was asked."""
        return {}

    def _room(self, axis: int, other_mm: float) -> Bounds:
        if self.source is not None:
            there = self.source.room(axis, other_mm)
            return Bounds(there.certain[self.places], there.possible[self.places])
        wide_enough = self.sizes[:, 1 - axis] >= other_mm - TOLERANCE_MM
        possible = np.where(wide_enough, self.sizes[:, axis] + TOLERANCE_MM - MICROMETRES_MM, -np.inf)
        certain = np.where(self.plain, possible, -np.inf)
        for sideways, places, staircases in self._screens:
            screened = staircases.widest(other_mm) if (axis == 0) is not sideways else staircases.longest(other_mm)
            high = np.where(screened.possible > 0, screened.possible + 2 * TOLERANCE_MM, -np.inf)
            possible[places] = np.minimum(possible[places], high)
            certain[places] = np.where(screened.certain > 0, screened.certain, -np.inf)
        return Bounds(certain, possible)


def _numbered(donors: Sequence[Donor], keys: Sequence[object]) -> tuple[Places, tuple[Donor, ...]]:
    """For each donor the number of its key, in the order that they come, and the first donor of each."""
    numbers: dict[object, int] = {}
    firsts: list[Donor] = []
    found = []
    for donor, key in zip(donors, keys, strict=True):
        if key not in numbers:
            numbers[key] = len(firsts)
            firsts.append(donor)
        found.append(numbers[key])
    return np.array(found, dtype=np.int64), tuple(firsts)


def _places_of(numbered: tuple[Places, tuple[Donor, ...]]) -> tuple[Places, ...]:
    numbers, firsts = numbered
    return tuple(np.flatnonzero(numbers == number) for number in range(len(firsts)))
