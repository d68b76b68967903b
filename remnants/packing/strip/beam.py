"""Filling a strip of a given length by looking on from many skylines at once, and keeping the most promising of each step.

In each of them the lowest gap gets every item that fits it, beside its higher wall, or is given up. A way to rank them is a
`Guide`: little waste, and large items first, weigh most. This is beam search.
"""

from collections.abc import Iterator
from dataclasses import astuple, dataclass, replace

import numpy as np
import numpy.typing as npt

from remnants.packing.strip.hopeless import Hopeless
from remnants.packing.strip.problem import StripProblem
from remnants.packing.strip.skylines import BEYOND, Gaps, Whole, after_items, flat, lowest_gaps, raised
from remnants.packing.watch import Watch

__all__ = ["Filled", "Guide", "fill_by_beam"]

Weights = npt.NDArray[np.float64]

LOOKS_PER_TRY = 10_000
"""Skylines looked at that count for one try."""


@dataclass(frozen=True, slots=True)
class Guide:
    """What puts a skyline back among others (or forward, below 0): `waste` for its area, `small` items used, `steps`, an item
    that comes `level` with the wall beside it, or fills its gap and comes level with the other (`filled`), `uneven` steps, and
    `narrow` and `short` items used, whatever their area. Sizes count by how far the mean of the used is from that of all, as a
    share of both: no logarithm, whose last digits may differ between processors."""

    waste: float
    small: float
    steps: float = 0.0
    level: float = 0.0
    filled: float = 0.0
    uneven: float = 0.0
    narrow: float = 0.0
    short: float = 0.0

    def towards(self, other: "Guide", share: float) -> "Guide":
        """So far (0 to 1) on the way from this guide to the other one."""
        return Guide(*(one + (two - one) * share for one, two in zip(astuple(self), astuple(other), strict=True)))


@dataclass(frozen=True)
class _Front:
    """The skylines kept, a row each: what waits above them by kind, area wasted and used, how many items lie below, how wide and
    long these are together, and a mark that is the same for the same items."""

    lefts: Whole
    tops: Whole
    waiting: Whole
    wasted: Whole
    used: Whole
    wide: Whole
    long: Whole
    placed: Whole
    mark: Whole
    place: Whole
    """Each one's place in the last step written down."""

    def some(self, rows: Whole) -> "_Front":
        return _Front(*(getattr(self, name)[rows] for name in ("lefts", "tops", *ROWS)))


ROWS = "waiting", "wasted", "used", "wide", "long", "placed", "mark", "place"


@dataclass(frozen=True)
class _Next:
    """Skylines that may follow: from which row, by which kind of item (-1: the gap is given up), at which end, rank."""

    row: Whole
    kind: Whole
    at_left: npt.NDArray[np.bool_]
    rank: Weights

    def some(self, places: Whole) -> "_Next":
        return _Next(self.row[places], self.kind[places], self.at_left[places], self.rank[places])


@dataclass(frozen=True)
class _Step:
    """What was done: from which place of the step before, by which kind, and with the corner where."""

    before: Whole
    kind: Whole
    x: Whole
    y: Whole


@dataclass(frozen=True)
class Filled:
    """Corners of a packing no longer than asked, None when none turned up; `cut_short` if a skyline was left out for others."""

    corners: tuple[tuple[int, int], ...] | None
    cut_short: bool


def fill_by_beam(
    problem: StripProblem,
    length: int,
    *,
    most: int,
    guide: Guide,
    watch: Watch,
    late: Guide | None = None,
    unlike: bool = False,
    ends: int | None = None,
) -> Filled:
    """Looks for a packing no longer than `length` with at most `most` skylines kept at a time.

    What leads passes from `guide` to `late` as the strip fills. `unlike`: of all skylines above the same items only the best is
    kept, and of those that follow one at most two: else most of a beam is hardly different ways to lay the same items.
    `ends`: the strip is pieces so long, one after the other, and no item lies across where one ends; the length is so many whole.
    The items must have no lattice. That none turned up says nothing about whether there is one.
    """
    if problem.width * length < problem.area or not problem.items:
        return Filled(None, False)
    search = _Beam(problem, length, most, (guide, late or guide), ends=ends or length, unlike=unlike)
    steps: list[_Step] = []
    front: _Front | None = search.start()
    while front is not None and not watch.over():
        if steps and (full := np.flatnonzero(front.placed == len(problem.items))).size:
            return Filled(search.corners(steps, int(front.place[full[0]])), search.cut_short)
        front = search.look_on(front, steps, watch)
    return Filled(None, search.cut_short or front is not None)


class _Beam:
    """What does not change during one search."""

    def __init__(
        self, problem: StripProblem, length: int, most: int, guides: tuple[Guide, Guide], *, ends: int, unlike: bool
    ) -> None:
        kinds: dict[tuple[int, int], list[int]] = {}
        for index, item in enumerate(problem.items):
            kinds.setdefault((item.width, item.length), []).append(index)
        sizes = sorted(kinds, key=lambda size: (-size[0] * size[1], size))
        self._indexes = [kinds[size] for size in sizes]
        self._widths, self._heights = np.array(sizes, dtype=np.int64).T
        self._counts = np.array([len(each) for each in self._indexes], dtype=np.int64)
        self._width, self._length, self._ends = problem.width, length, ends
        self._spare = problem.width * length - problem.area
        self._most, self._unlike = most, unlike
        (self._first, self._last), self._guide, self._area = guides, guides[0], problem.area
        self.cut_short = False
        count = len(problem.items)
        self._root = count**0.5
        totals = problem.area, sum(item.width for item in problem.items), sum(item.length for item in problem.items)
        self._means = tuple(total / count for total in totals)
        self._marks = np.random.default_rng(0).integers(1, 1 << 62, size=len(sizes), dtype=np.int64)
        self._hopeless = Hopeless(problem.width, length, widths=self._widths, heights=self._heights, counts=self._counts)

    def start(self) -> _Front:
        zero = np.zeros(1, dtype=np.int64)
        return _Front(*flat(self._width), self._counts[None, :], zero, zero, zero, zero, zero, zero, zero)

    def corners(self, steps: list[_Step], place: int) -> tuple[tuple[int, int], ...]:
        """Where every item lies, by going back from a place in the last step."""
        left = [list(each) for each in self._indexes]
        found: dict[int, tuple[int, int]] = {}
        for step in reversed(steps):
            kind = int(step.kind[place])
            if kind >= 0:
                found[left[kind].pop()] = int(step.x[place]), int(step.y[place])
            place = int(step.before[place])
        return tuple(found[index] for index in range(len(found)))

    def look_on(self, front: _Front, steps: list[_Step], watch: Watch) -> _Front | None:
        """The next front, its step written down; None where nothing leads on."""
        opened = self._opened(front)
        if opened is None:
            return None
        front, gaps, fits = opened
        if self._last is not self._first:
            self._guide = self._first.towards(self._last, int(front.used.sum()) / (len(front.used) * self._area))
        after = self._ranked(front, gaps, fits)
        watch.count(len(after.rank) / LOOKS_PER_TRY)
        after = self._thinned(front, after) if self._unlike else after.some(np.argsort(after.rank, kind="stable"))
        made = list(self._made(front, gaps, after))
        if not made:
            return None
        fronts = _together([each for each, _ in made], self._width)
        done = [step for _, step in made]
        rows = np.arange(len(fronts.mark)) if self._unlike else _single(fronts)
        self.cut_short |= len(rows) > self._most
        rows = rows[: self._most]
        step = _Step(*(np.concatenate([getattr(each, name) for each in done])[rows] for name in ("before", "kind", "x", "y")))
        steps.append(step)
        return replace(fronts.some(rows), place=np.arange(len(rows)))

    def _end(self, floor: Whole) -> Whole:
        """Where the piece ends in which a gap with this floor lies."""
        return (floor // self._ends + 1) * self._ends

    def _opened(self, front: _Front) -> tuple[_Front, Gaps, npt.NDArray[np.bool_]] | None:
        """The front with every gap given up that nothing fits, the gaps that are then lowest, and which kinds fit them."""
        while True:
            gaps = lowest_gaps(front.lefts, front.tops)
            end = self._end(gaps.floor)
            room = (end - gaps.floor)[:, None]
            fits = (front.waiting > 0) & (self._widths <= gaps.width[:, None]) & (self._heights <= room)
            shut = ~fits.any(axis=1)
            if not shut.any():
                return front, gaps, fits
            levels = np.where(shut, gaps.lower_wall(end), gaps.floor)
            lefts, tops = raised(front.lefts, front.tops, gaps, levels)
            wasted = front.wasted + (gaps.width * (levels - gaps.floor)).astype(np.int64)
            front = replace(front, lefts=lefts, tops=tops, wasted=wasted)
            front = front.some(np.flatnonzero((front.wasted <= self._spare) & (front.tops.min(axis=1) < self._length)))
            if not len(front.wasted):
                return None

    def _ranked(self, front: _Front, gaps: Gaps, fits: npt.NDArray[np.bool_]) -> _Next:
        """Everything that may follow within the waste allowed, unsorted."""
        row, kind = np.nonzero(fits)
        end = self._end(gaps.floor)
        wall = gaps.lower_wall(end)
        far = np.minimum(gaps.left_wall, gaps.right_wall)[row]
        floor, widths, heights = gaps.floor[row], self._widths[kind], self._heights[kind]
        top, beside = floor + heights, gaps.width[row] - widths
        narrowest = np.where(front.waiting > 0, self._widths, BEYOND).min(axis=1)[row]
        shut = np.flatnonzero((beside > 0) & (beside < narrowest))
        wasted = front.wasted[row]
        wasted[shut] += beside[shut] * (np.minimum(np.minimum(far[shut], top[shut]), end[row[shut]]) - floor[shut])
        steps = (front.lefts < self._width).sum(axis=1)
        uneven = np.abs(np.diff(np.where(front.tops < BEYOND, front.tops, front.tops[:, :1]), axis=1)[:, :-1]).sum(axis=1)
        uneven = uneven / self._ends
        level, full = top == np.maximum(gaps.left_wall, gaps.right_wall)[row], beside == 0
        filled = full & (top == far)
        after = steps[row] + ~full - level - filled
        rank = self._rank(front, row, (widths, heights), wasted=wasted, steps=after, uneven=uneven[row])
        rank += self._guide.level * level + self._guide.filled * filled
        waste = front.wasted + gaps.width * (wall - gaps.floor)
        may = np.flatnonzero((waste <= self._spare) & (gaps.width < self._width) & (wall < self._length))
        given_up = self._rank(front, may, None, wasted=waste[may], steps=steps[may] - 1, uneven=uneven[may])
        good = wasted <= self._spare
        return _Next(
            np.concatenate([row[good], may]),
            np.concatenate([kind[good], np.full(len(may), -1)]),
            np.concatenate([(gaps.left_wall >= gaps.right_wall)[row[good]], np.ones(len(may), dtype=bool)]),
            np.concatenate([rank[good], given_up]),
        )

    def _rank(
        self, front: _Front, row: Whole, size: tuple[Whole, Whole] | None, *, wasted: Whole, steps: Whole, uneven: Weights
    ) -> Weights:
        """Of what follows these rows by an item of this `size`, or without one."""
        guide = self._guide
        used, wide, long, placed = front.used[row], front.wide[row], front.long[row], front.placed[row]
        if size:
            used, wide, long, placed = used + size[0] * size[1], wide + size[0], long + size[1], placed + 1
        placed, used = np.maximum(placed, 1), np.maximum(used, 1)
        rank: Weights = guide.waste * wasted / used + (guide.steps * steps + guide.uneven * uneven) / self._root
        for weight, total, mean in zip((guide.small, guide.narrow, guide.short), (used, wide, long), self._means, strict=True):
            if weight:
                usual = placed * mean
                rank -= 2 * weight * (total - usual) / (total + usual)
        return rank

    def _thinned(self, front: _Front, after: _Next) -> _Next:
        """The most promising first: of what lays the same items the best, and at most `MOST_AFTER` that follow one skyline."""
        ranked, most = len(after.rank), LOOKED_THROUGH * self._most
        if ranked > most:
            after = after.some(np.flatnonzero(after.rank <= np.partition(after.rank, most)[most]))
        after = after.some(np.argsort(after.rank, kind="stable"))
        marks = front.mark[after.row] + np.where(after.kind < 0, 0, self._marks[after.kind])
        best = np.sort(np.unique(marks, return_index=True)[1])
        by_row = np.argsort(after.row[best], kind="stable")
        row = after.row[best][by_row]
        kept = np.sort(best[by_row[np.arange(len(row)) - np.searchsorted(row, row) < MOST_AFTER]])
        self.cut_short |= len(kept) < ranked
        return after.some(kept)

    def _made(self, front: _Front, gaps: Gaps, after: _Next) -> Iterator[tuple[_Front, _Step]]:
        """The skylines that follow, best first, made by the hundred until enough of them leave hope."""
        at = found = 0
        while at < len(after.rank) and found < self._most:
            part = slice(at, at + max(self._most, LEAST_MADE))
            at = part.stop
            row, kind, at_left = after.row[part], after.kind[part], after.at_left[part]
            given = kind < 0
            there = Gaps(*(getattr(gaps, name)[row] for name in ("step", "left", "floor", "width", "left_wall", "right_wall")))
            widths = np.where(given, there.width, self._widths[kind])
            heights = np.where(given, there.lower_wall(self._end(there.floor)) - there.floor, self._heights[kind])
            lefts, tops, x = after_items(
                front.lefts[row], front.tops[row], there, widths=widths, heights=heights, at_left=at_left
            )
            waiting = front.waiting[row]
            waiting[np.flatnonzero(~given), kind[~given]] -= 1
            area = widths * heights
            wasted = front.wasted[row] + np.where(given, area, 0)
            used = front.used[row] + np.where(given, 0, area)
            wide, long = front.wide[row] + np.where(given, 0, widths), front.long[row] + np.where(given, 0, heights)
            mark = front.mark[row] + np.where(given, 0, self._marks[kind])
            new = _Front(lefts, tops, waiting, wasted, used, wide, long, front.placed[row] + ~given, mark, front.place[row])
            hope = self._hopeless.leave(lefts, tops, waiting)
            found += len(hope)
            self.cut_short |= found >= self._most and at < len(after.rank)
            if len(hope):
                yield new.some(hope), _Step(front.place[row][hope], kind[hope], x[hope], there.floor[hope])


LEAST_MADE = 64

MOST_AFTER, LOOKED_THROUGH = 2, 4
"""Of a beam of unlike skylines: how many may follow one, and among how many times those kept they are chosen."""


def _single(front: _Front) -> Whole:
    """The places of one of each that has the same skyline and the same waiting, in their order."""
    marks = front.mark + ((front.lefts * 1_000_003 + front.tops * 7919) * (front.lefts * 31 + 17)).sum(axis=1)
    return np.sort(np.unique(marks, return_index=True)[1])


def _together(fronts: list[_Front], width: int) -> _Front:
    """The fronts as one."""
    most = max(each.tops.shape[1] for each in fronts)

    def padded(values: Whole, filler: int) -> Whole:
        return np.pad(values, ((0, 0), (0, most - values.shape[1])), constant_values=filler)

    lefts = np.concatenate([padded(each.lefts, width) for each in fronts])
    tops = np.concatenate([padded(each.tops, BEYOND) for each in fronts])
    rest = (np.concatenate([getattr(each, name) for each in fronts]) for name in ROWS)
    return _Front(lefts, tops, *rest)
