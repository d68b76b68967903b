"""The fillings of one donor that are worth most, by looking on from many outlines at once and keeping the most promising.

Beam search as on a strip, but towards worth: what an outline holds already, and what its free area may still bring at `rate`.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from remnants.packing.strip.skylines import BEYOND, Gaps, Whole, after_items, flat, lowest_gaps, raised

__all__ = ["Held", "best_fillings"]

Worths = npt.NDArray[np.float64]
Truth = npt.NDArray[np.bool_]
Spots = tuple[tuple[int, int, int], ...]

DIGITS = 9
"""Ranks are compared to so many digits: the last ones may differ between processors."""


SPARE = 2
"""So many times as many outlines are made as are kept: some come out alike."""


@dataclass(frozen=True)
class Held:
    """What may lie on a donor `size` (width, length): widths, lengths, how many and the worth of each sort, by place."""

    size: tuple[int, int]
    widths: Whole
    lengths: Whole
    counts: Whole
    worth: Worths

    @property
    def turned(self) -> "Held":
        """The same with width and length changed over."""
        return Held((self.size[1], self.size[0]), self.lengths, self.widths, self.counts, self.worth)


@dataclass(frozen=True)
class _Front:
    """The outlines kept, a row each: what waits by sort, worth laid, area free still, and each one's place in the last step."""

    lefts: Whole
    tops: Whole
    waiting: Whole
    worth: Worths
    free: Whole
    place: Whole

    def some(self, rows: Whole) -> "_Front":
        return _Front(self.lefts[rows], self.tops[rows], self.waiting[rows], self.worth[rows], self.free[rows], self.place[rows])


@dataclass(frozen=True)
class _Step:
    """From which place of the step before, by which sort (-1: the gap was given up), and with the corner where."""

    before: Whole
    sort: Whole
    x: Whole
    y: Whole


def best_fillings(held: Held, *, rate: float, most: int, wanted: int) -> list[tuple[float, Spots]]:
    """Up to `wanted` fillings (worth; place of the sort, x, y of each part), best first, with `most` outlines kept at a time.

    `held` has one sort at least. `rate` is what free area is taken to be worth yet, for each unit of it: where it is low, parts
    worth much come early; where it is high, parts that waste little do.
    """
    search = _Beam(held, rate, most, wanted)
    search.run()
    return search.found()


class _Beam:
    """One search: what does not change, the steps written down, and which outlines ended, at what worth."""

    def __init__(self, held: Held, rate: float, most: int, wanted: int) -> None:
        self._held, self._rate, self._most, self._wanted = held, rate, most, wanted
        self._areas = held.widths * held.lengths
        self._dearest = float((held.worth / self._areas).max())
        self._marks = np.random.default_rng(0).integers(1, 1 << 62, size=len(held.worth), dtype=np.int64)
        self._steps: list[_Step] = []
        self._ended: list[tuple[float, int, int]] = []
        self._floor = 0.0

    def run(self) -> None:
        """Looks on until no outline is left that may be worth more than those that ended."""
        width, length = self._held.size
        zero = np.zeros(1, dtype=np.int64)
        front = _Front(*flat(width), self._held.counts[None, :], np.zeros(1), np.array([width * length]), zero)
        while len(front.free):
            front, gaps, fits = self._opened(front)
            if not len(front.free):
                return
            front = self._next(front, gaps, fits)

    def found(self) -> list[tuple[float, Spots]]:
        """The best that ended, one of each that holds the same."""
        unlike: dict[tuple[int, ...], tuple[float, Spots]] = {}
        for worth, step, place in sorted(self._ended, key=lambda end: (-end[0], end[1], end[2])):
            spots = tuple(self._back(step, place))
            if spots:
                unlike.setdefault(tuple(sorted(spot[0] for spot in spots)), (worth, spots))
            if len(unlike) == self._wanted:
                break
        return list(unlike.values())

    def _back(self, last: int, place: int) -> Iterator[tuple[int, int, int]]:
        """What was laid, from a place in a step back to the first."""
        for step in reversed(self._steps[: last + 1]):
            if step.sort[place] >= 0:
                yield int(step.sort[place]), int(step.x[place]), int(step.y[place])
            place = int(step.before[place])

    def _end(self, front: _Front, rows: Whole) -> None:
        """Writes down outlines that nothing more goes on."""
        at = len(self._steps) - 1
        for row in rows:
            self._ended.append((float(front.worth[row]), at, int(front.place[row])))
        if len(self._ended) >= self._wanted:
            ends = sorted((end[0] for end in self._ended), reverse=True)
            self._floor = ends[min(self._wanted, len(ends)) - 1]

    def _opened(self, front: _Front) -> tuple[_Front, Gaps, Truth]:
        """The front with every gap given up that nothing fits, the gaps that are then lowest, and which sorts fit them."""
        length = self._held.size[1]
        while True:
            gaps = lowest_gaps(front.lefts, front.tops)
            room = (length - gaps.floor)[:, None]
            fits = (front.waiting > 0) & (self._held.widths <= gaps.width[:, None]) & (self._held.lengths <= room)
            shut = ~fits.any(axis=1)
            if not shut.any():
                return front, gaps, fits
            levels = np.where(shut, gaps.lower_wall(length), gaps.floor)
            lefts, tops = raised(front.lefts, front.tops, gaps, levels)
            free = front.free - (gaps.width * (levels - gaps.floor)).astype(np.int64)
            full = tops.min(axis=1) >= length
            front = _Front(lefts, tops, front.waiting, front.worth, free, front.place)
            if full.any():
                self._end(front, np.flatnonzero(full))
                front = front.some(np.flatnonzero(~full))
                if not len(front.free):
                    return front, gaps, fits

    def _next(self, front: _Front, gaps: Gaps, fits: Truth) -> _Front:
        """The most promising outlines with one part more, or one gap given up; none where nothing can be worth more."""
        row, sort, at_left, worth, free = self._ranked(front, gaps, fits)
        if not len(row):
            return front.some(row)
        held = self._held
        given = sort < 0
        there = Gaps(*(getattr(gaps, name)[row] for name in ("step", "left", "floor", "width", "left_wall", "right_wall")))
        widths = np.where(given, there.width, held.widths[sort])
        heights = np.where(given, there.lower_wall(held.size[1]) - there.floor, held.lengths[sort])
        lefts, tops, x = after_items(front.lefts[row], front.tops[row], there, widths=widths, heights=heights, at_left=at_left)
        waiting = front.waiting[row]
        waiting[np.flatnonzero(~given), sort[~given]] -= 1
        marks = (waiting * self._marks).sum(axis=1) + ((lefts * 1_000_003 + tops * 7919) * (lefts * 31 + 17)).sum(axis=1)
        keep = np.sort(np.unique(marks, return_index=True)[1])[: self._most]
        self._steps.append(_Step(front.place[row][keep], sort[keep], x[keep], there.floor[keep]))
        return _Front(lefts[keep], tops[keep], waiting[keep], worth[keep], free[keep], np.arange(len(keep)))

    def _ranked(self, front: _Front, gaps: Gaps, fits: Truth) -> tuple[Whole, Whole, Truth, Worths, Whole]:
        """What may follow, most promising first: from which row, by which sort, whether at the left; worth and free area then."""
        held, length = self._held, self._held.size[1]
        row, sort = np.nonzero(fits)
        at_left = (gaps.left_wall >= gaps.right_wall)[row]
        far = np.where(at_left, gaps.right_wall[row], gaps.left_wall[row])
        top, beside = gaps.floor[row] + held.lengths[sort], gaps.width[row] - held.widths[sort]
        narrowest = np.where(front.waiting > 0, held.widths, BEYOND).min(axis=1)[row]
        shut = (beside > 0) & (beside < narrowest)
        lost = np.where(shut, beside * (np.minimum(np.minimum(far, top), length) - gaps.floor[row]), 0)
        wall = gaps.lower_wall(length)
        may = np.flatnonzero((gaps.width < held.size[0]) & (wall < length))
        given_up = front.free - gaps.width * (wall - gaps.floor)
        worth = np.concatenate([front.worth[row] + held.worth[sort], front.worth[may]])
        free = np.concatenate([front.free[row] - self._areas[sort] - lost, given_up[may]])
        row, sort = np.concatenate([row, may]), np.concatenate([sort, np.full(len(may), -1)])
        at_left = np.concatenate([at_left, np.ones(len(may), dtype=bool)])
        good = np.flatnonzero(worth + self._dearest * free > self._floor)
        rank = np.round(worth + self._rate * free, DIGITS)
        order = good[np.argsort(-rank[good], kind="stable")][: SPARE * self._most]
        return row[order], sort[order], at_left[order], worth[order], free[order]
