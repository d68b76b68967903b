"""Joined patches by thresholds.

A seam at s leaves a low part that only grows with s and a high part that only shrinks. So each donor has one figure a side,
and some pair of donors makes the patch if and only if the best low figure reaches the best high one. Three and four parts
recurse: one part is pushed as far as its donor goes, and the rest is asked the same question. Arrays give each donor an
optimistic figure; exact work goes to the few pairs that could still win.
"""

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Layout, Leaf
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.seam_spans import Span, clear_of, spans_of
from remnants.fitting.patch.shape import Axis, Shape, Split, splits
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model.merit import Merit
from remnants.sights import View

__all__ = ["pairs"]

Key = tuple[tuple[object, ...], float, str, str]
"""The key of a look, the area of both donors (mm²), their tags."""


@dataclass(eq=False)
class _Contest:
    """The pairs of two kinds of carpet on either side of one split, the seam in one span; working state of `pairs`."""

    lows: Reaches
    highs: Reaches
    span: Span
    low_places: NDArray[np.int64]
    high_places: NDArray[np.int64]
    look: Merit

    def best(self) -> tuple[Key, int, int] | None:
        """The pair of different pieces with the least area whose figures, optimistic or true, meet."""
        self._sort_and_leave_out()
        field = self.lows.field
        lows, highs = self.low_places, self.high_places
        reach = np.searchsorted(self.highs.at[highs], self.lows.at[lows], side="right")
        lows, reach = lows[reach > 0], reach[reach > 0]
        if not lows.size:
            return None
        ranks = field.area_ranks
        one = highs[_least_so_far(ranks[highs])[reach - 1]]
        total = field.areas[lows] + field.areas[one]
        for place in np.flatnonzero(field.pieces[one] == field.pieces[lows]):
            others = highs[: reach[place]]
            others = others[field.pieces[others] != field.pieces[lows[place]]]
            one[place] = others[np.argmin(ranks[others])] if others.size else -1
            total[place] = field.areas[lows[place]] + field.areas[one[place]] if others.size else np.inf
        if not np.isfinite(total.min()):
            return None
        alike = np.flatnonzero(total == total.min())
        best = int(alike[np.argmin(ranks[lows[alike]])])
        low, high = int(lows[best]), int(one[best])
        return (self.look.key, float(total[best]), field.donors[low].tag, field.donors[high].tag), low, high

    def _sort_and_leave_out(self) -> None:
        """Sorts either side by its figures and leaves those out for good that meet none of the other: no figure gets better."""
        lows = _by_reach(self.low_places, -self.lows.at)
        highs = _by_reach(self.high_places, self.highs.at)
        lows = lows[self.lows.at[lows] >= self.span.low - TOLERANCE_MM]
        highs = highs[self.highs.at[highs] <= self.span.high + TOLERANCE_MM]
        if lows.size and highs.size:
            furthest, nearest = self.lows.at[lows[0]], self.highs.at[highs[0]]
            lows, highs = lows[self.lows.at[lows] >= nearest], highs[self.highs.at[highs] <= furthest]
        self.low_places, self.high_places = lows, highs

    def meets(self, low: int, high: int) -> bool:
        """True if the true figures of a pair meet, within the span; then both are as close as `_joint` asks. Raises OutOfTime.

        Either is looked at only as closely as that takes: the one more is unknown of, the low one where it is all alike.
        """
        lows, highs = self.lows, self.highs
        while self._meet(float(lows.at[low]), float(highs.at[high])):
            if self._meet(float(lows.sure[low]), float(highs.sure[high])):
                self._settle(low, high)
                return True
            if lows.unknown_mm(low) >= highs.unknown_mm(high):
                lows.look_closer(low)
            else:
                highs.look_closer(high)
        return False

    def _settle(self, low: int, high: int) -> None:
        """Settles a pair that meets: the donor that the seam uses up; the other only where there may be no play."""
        (used, one), (other, two) = (self.lows, low), (self.highs, high)
        if not self.low_first(low, high):
            (used, one), (other, two) = (other, two), (used, one)
        used.settle(one)
        plain = self.lows.ask.surroundings.is_plain and not self.lows.ask.by_doorway
        while not other.exact[two]:
            if plain and self.lows.sure[low] - self.highs.sure[high] > 4 * self.play(low, high):
                return
            other.look_closer(two)

    def low_first(self, low: int, high: int) -> bool:
        """True if the low donor of a pair is the smaller one, which the seam uses up."""
        areas = self.lows.field.areas
        return bool(areas[low] <= areas[high])

    def play(self, low: int, high: int) -> float:
        """How far off the end of a donor a seam is set (mm) where there is room: a row, so that it may fall between two."""
        donors = self.lows.field.donors
        return max(*(donors[place].candidate.style.row_mm or 0.0 for place in (low, high)), TOLERANCE_MM)

    def _meet(self, reach: float, least: float) -> bool:
        """True if two figures meet within the span; never where one is none."""
        return reach >= least and reach >= self.span.low - TOLERANCE_MM and least <= self.span.high + TOLERANCE_MM

    def kept_beside(self, low: int, high: int) -> int | None:
        """The smallest donor that may meet a low one and lies in its place, where the `high` one lies in another."""
        field = self.lows.field
        if field.stored[low] == field.stored[high]:
            return None
        meets = self.highs.at[self.high_places] <= min(self.lows.at[low], self.span.high)
        near = self.high_places[meets & (field.stored[self.high_places] == field.stored[low])]
        near = near[field.pieces[near] != field.pieces[low]]
        return int(near[np.argmin(field.areas[near])]) if near.size else None


def _by_reach(places: NDArray[np.int64], short: NDArray[np.float64]) -> NDArray[np.int64]:
    """Those of the places that reach anywhere, the least of `short` first."""
    places = places[~np.isnan(short[places])]
    return places[np.argsort(short[places], kind="stable")]


def _least_so_far(ranks: NDArray[np.int64]) -> NDArray[np.int64]:
    """For each place where the least of the ranks up to it stands; no two are equal."""
    return np.maximum.accumulate(np.where(ranks == np.minimum.accumulate(ranks), np.arange(ranks.size), 0))


def pairs(
    ask: Ask, shape: Shape, field: Field, worth: Callable[[Merit], bool] = lambda _look: True
) -> Iterator[tuple[Merit, Layout]]:
    """Two-part layouts of a shape from two different pieces, each with a look that it can't beat. Nothing if none exists.

    The best look first, then the smallest donors, then by tag. It ends before the first look that is no longer `worth` it: all
    that follow are no better. Families of the whole patch that `uneven_pairs` looks at are left out.
    """
    families = [split for axis in AXES for split in splits(shape, axis) if shape is not ask.shape or not split.uneven]
    sides: dict[int, tuple[Reaches, Reaches] | None] = {}
    waiting = _pairings(ask, field, families)
    contests: list[_Contest] = []
    queue: list[tuple[Key, int, int, int]] = []
    while queue or waiting:
        ask.go_on()
        while waiting and (not queue or queue[0][0][0] >= waiting[-1].look.key):
            if not worth(waiting[-1].look):
                return
            pairing = waiting.pop()
            if pairing.family not in sides:
                sides[pairing.family] = _sides(ask, field, families[pairing.family])
            reaches = sides[pairing.family]
            if reaches is not None:
                contests.append(_Contest(*reaches, pairing.span, pairing.low, pairing.high, pairing.look))
                _push(queue, len(contests) - 1, contests[-1])
        if not queue:
            return
        _, number, low, high = heapq.heappop(queue)
        contest = contests[number]
        if not worth(contest.look):
            return
        if contest.meets(low, high):
            yield contest.look, _joint(contest, low, high)
            if ask.by_doorway:
                yield contest.look, _joint(contest, low, high, other_end=True)
            while (near := contest.kept_beside(low, high)) is not None:
                if contest.meets(low, near):
                    yield contest.look, _joint(contest, low, near)
                    break
            contest.low_places = contest.low_places[contest.low_places != low]
        _push(queue, number, contest)


class _Pairing(NamedTuple):
    """Donors (their places) on either side of a family of seams (its number), where in it, and a look that no pair beats."""

    look: Merit
    family: int
    span: Span
    low: NDArray[np.int64]
    high: NDArray[np.int64]


def _pairings(ask: Ask, field: Field, families: Sequence[Split]) -> list[_Pairing]:
    """Every pairing, the one that shows least last.

    What a pair looks like depends on the look of either kind of carpet and on whether both are of one name. Pairs of one name
    show less: those that there are have come before kinds of all names are paired, so these need no telling apart.
    """
    looks: dict[tuple[object, ...], Merit] = {}
    by_look = [
        (field.of_looks(one), field.of_looks(two), kind, other, False)
        for one, kind in enumerate(field.looks[1])
        for two, other in enumerate(field.looks[1])
    ]
    by_name = [
        (field.of_kind(one), field.of_kind(two), field.kinds[1][one], field.kinds[1][two], True)
        for kinds in field.kinds_by_name
        for one in kinds
        for two in kinds
    ]
    found = []
    spans = [spans_of(ask, split) for split in families]
    for lows, highs, one, two, same in (*by_name, *by_look):
        for number, split in enumerate(families):
            for span in spans[number]:
                key = split.axis, span.view, one.look_key, two.look_key, same
                if key not in looks:
                    looks[key] = _look(ask, split.axis, one, two, view=span.view, same=same)
                found.append(_Pairing(looks[key], number, span, lows, highs))
    return sorted(found, key=lambda pairing: (pairing.look.key, pairing.family, pairing.span.low), reverse=True)


def _look(ask: Ask, axis: Axis, one: Donor, two: Donor, *, view: View, same: bool) -> Merit:
    """A look that no pair of these kinds beats; of kinds of any name, that of two lots."""
    look = least_look(ask, axis, (one, two), inner=1, view=view, lots_differ=not same)
    trouble = least_trouble((one, two))
    return replace(look, trouble=trouble)


def _push(queue: list[tuple[Key, int, int, int]], number: int, contest: _Contest) -> None:
    found = contest.best()
    if found is not None:
        key, low, high = found
        heapq.heappush(queue, (key, number, low, high))


def _sides(ask: Ask, field: Field, split: Split) -> tuple[Reaches, Reaches] | None:
    """How far each donor fills a split from its low and from its high side; None if no two can meet."""
    lows = Reaches.of(ask, field, split, low=True)
    highs = Reaches.of(ask, field, split, low=False)
    if np.isnan(lows.at).all() or np.isnan(highs.at).all() or np.nanmax(lows.at) < np.nanmin(highs.at):
        return None
    if split.shape.is_rectangle:
        lows.settle_worthwhile(float(np.nanmin(highs.at)))
        if np.isnan(lows.at).all():
            return None
        highs.settle_worthwhile(float(np.nanmax(lows.at)))
    return lows, highs


def _joint(contest: _Contest, low: int, high: int, *, other_end: bool = False) -> Layout:
    """The layout of a pair; the seam uses the smaller donor up, the tolerance short of its end where there is play.

    `other_end`: it uses the larger one up.
    """
    donors, split = contest.lows.field.donors, contest.lows.split
    least, greatest = clear_of(contest.span, float(contest.highs.at[high]), float(contest.lows.at[low]))
    at = (least + greatest) / 2
    play = contest.play(low, high)
    if greatest - least > 4 * play:
        at = greatest - play if contest.low_first(low, high) is not other_end else least + play
    below, above = split.halves(at)
    return Joint(split, at, Leaf(below, donors[low]), Leaf(above, donors[high]))
