"""A beam that divides items as it packs them: many skylines at once, each lowest gap filled by what suits it, just as wide.

A piece ends its item, fills the gap, leaves beside it just what another item needs, or halves its item; or the gap is given up.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from remnants.packing.strip.divided import BEYOND_ANY, Divided, DividedProblem, Piece
from remnants.packing.strip.skylines import BEYOND, Gaps, Whole, after_items, flat, lowest_gaps
from remnants.packing.watch import Watch

__all__ = ["GUIDES", "QUICK", "DividingGuide", "shorten_divided"]

Truth = npt.NDArray[np.bool_]

LOOKS_PER_TRY = 10_000
"""Skylines looked at that count for one try."""

DIGITS = 9
"""Ranks are compared to so many digits: the last ones may differ between processors."""

HALVINGS = 5
"""Lengths that one guide tries."""


@dataclass(frozen=True, slots=True)
class DividingGuide:
    """What puts a skyline back among others (or forward, below 0): area lost, small pieces used, uneven steps, many of them,
    and a piece that comes level with a wall."""

    lost: float = 30.0
    small: float = 0.2
    uneven: float = 0.05
    steps: float = 0.1
    level: float = -0.1


QUICK = DividingGuide(small=0.6)
"""The best of all where few skylines are kept."""

GUIDES = (DividingGuide(), QUICK, DividingGuide(uneven=0.3))
"""Their figures were found by trial on ten houses by chance (`tests/bench/houses.py`); each is best on some."""


def shorten_divided(
    problem: DividedProblem,
    *,
    shorter_than: int,
    bound: int,
    most: int,
    watch: Watch,
    most_divisions: int | None = None,
    guides: Sequence[DividingGuide] = GUIDES,
) -> Divided | None:
    """The shortest packing found under `shorter_than`, None when none turned up; looks no further at `bound`.

    At most `most` skylines are kept at a time. Divided no more often than told.
    """
    best: Divided | None = None
    end = shorter_than
    for guide in guides:
        low = bound
        for _ in range(HALVINGS):
            target = (low + end - 1) // 2
            if end <= bound or target < low or watch.over():
                break
            beam = _Beam(problem, target, most, guide, most_divisions)
            found = beam.run(watch)
            if found is None:
                low = target + 1
            else:
                best, end = found, found.length
    return best


@dataclass(frozen=True)
class _Front:
    """The skylines kept, a row each: the width that every item still needs (-1: none of it lies yet), the way of every turn
    (-1: open), area used and lost, divisions and pieces so far, and each one's place in the last step written down."""

    lefts: Whole
    tops: Whole
    need: Whole
    ways: Whole
    used: Whole
    lost: Whole
    divisions: Whole
    placed: Whole
    place: Whole

    def some(self, rows: Whole) -> "_Front":
        each = self.lefts, self.tops, self.need, self.ways, self.used, self.lost, self.divisions, self.placed, self.place
        return _Front(*(values[rows] for values in each))


@dataclass(frozen=True)
class _Step:
    """What was done: from which place of the step before, by which kind (-1: the gap given up), where, and how wide."""

    before: Whole
    kind: Whole
    x: Whole
    y: Whole
    width: Whole


class _Beam:
    """What does not change during one search. A kind is an item in one of its ways."""

    def __init__(self, problem: DividedProblem, length: int, most: int, guide: DividingGuide, most_divisions: int | None) -> None:
        self._problem, self._length, self._most, self._guide = problem, length, most, guide
        self._most_divisions = BEYOND if most_divisions is None else most_divisions
        kinds = [
            (item, way, size[0], size[1], each.turn, each.whole)
            for item, each in enumerate(problem.items)
            for way, size in enumerate(each.sizes)
            if size is not None and size[1] <= length
        ]
        self._kinds = np.array([each[:5] for each in kinds], dtype=np.int64).reshape(-1, 5)
        self._item, self._way, self._wide, self._long, self._turn = self._kinds.T
        self._whole = np.array([each[5] for each in kinds], dtype=bool)
        self._turns = np.array([each.turn for each in problem.items])
        self._least_area = problem.least_area()
        self._spare = problem.width * length - self._least_area
        self._areas, self._lengths = self._tables(problem)
        chance = np.random.default_rng(0)
        self._marks = chance.integers(1, 1 << 62, size=len(problem.items), dtype=np.int64)
        self._turn_marks = chance.integers(1, 1 << 62, size=int(self._turns.max(initial=0)) + 1, dtype=np.int64)

    @staticmethod
    def _tables(problem: DividedProblem) -> tuple[Whole, Whole]:
        """Area and length of every item in every way, and in a last column the least area of all."""
        ways = max(len(each.sizes) for each in problem.items)
        areas = np.full((len(problem.items), ways + 1), BEYOND_ANY, dtype=np.int64)
        lengths = np.zeros((len(problem.items), ways + 1), dtype=np.int64)
        for item, each in enumerate(problem.items):
            for way, size in enumerate(each.sizes):
                if size is not None:
                    areas[item, way] = (size[0] + problem.seam * problem.fewest(size[0])) * size[1]
                    lengths[item, way] = size[1]
        areas[:, -1] = areas[:, :-1].min(axis=1)
        return areas, lengths

    def run(self, watch: Watch) -> Divided | None:
        """A packing no longer than asked, or None when none turned up."""
        if self._spare < 0:
            return None
        one, zero = np.ones((1, 1), dtype=np.int64), np.zeros(1, dtype=np.int64)
        turns = len(self._turn_marks)
        front: _Front | None = _Front(
            *flat(self._problem.width), -one.repeat(len(self._turns), 1), -one.repeat(turns, 1), zero, zero, zero, zero, zero
        )
        steps: list[_Step] = []
        while front is not None and not watch.over():
            full = np.flatnonzero((front.need == 0).all(axis=1))
            if full.size:
                return self._divided(steps, int(front.place[full[0]]))
            front = self._look_on(front, steps, watch)
        return None

    def _divided(self, steps: list[_Step], place: int) -> Divided:
        pieces, length = [], 0
        for step in reversed(steps):
            kind, x, y, width = (int(values[place]) for values in (step.kind, step.x, step.y, step.width))
            place = int(step.before[place])
            if kind >= 0:
                pieces.append(Piece(int(self._item[kind]), int(self._way[kind]), x, y, width))
                length = max(length, y + int(self._long[kind]))
        return Divided(tuple(reversed(pieces)), length)

    def _look_on(self, front: _Front, steps: list[_Step], watch: Watch) -> _Front | None:
        """The next front, its step written down; None where nothing leads on."""
        gaps = lowest_gaps(front.lefts, front.tops)
        row, kind, width = self._options(front, gaps)
        watch.count(len(row) / LOOKS_PER_TRY)
        if not len(row):
            return None
        there = Gaps(*(getattr(gaps, name)[row] for name in ("step", "left", "floor", "width", "left_wall", "right_wall")))
        height = np.where(kind < 0, there.lower_wall(self._length) - there.floor, self._long[kind])
        after = self._after(front.some(row), kind, width, height)
        cost = self._cost(after, there, width, height, kind)
        good = np.flatnonzero((cost <= self._spare) & (after.divisions <= self._most_divisions))
        if not len(good):
            return None
        after, kind, width, height, cost = after.some(good), kind[good], width[good], height[good], cost[good]
        there = Gaps(*(getattr(there, name)[good] for name in ("step", "left", "floor", "width", "left_wall", "right_wall")))
        at_left = there.left_wall >= there.right_wall
        lefts, tops, x = after_items(after.lefts, after.tops, there, widths=width, heights=height, at_left=at_left)
        after = replace(after, lefts=lefts, tops=tops)
        best = self._best(after, self._rank(after, there, height, cost))
        steps.append(_Step(after.place[best], kind[best], x[best], there.floor[best], width[best]))
        return replace(after.some(best), place=np.arange(len(best)))

    def _options(self, front: _Front, gaps: Gaps) -> tuple[Whole, Whole, Whole]:
        """Row, kind (-1: the gap is given up) and width of everything that may go into the lowest gaps."""
        found = [(*np.nonzero(may), np.broadcast_to(width, may.shape)[may]) for may, width in self._pieces(front, gaps)]
        given_up = np.flatnonzero((gaps.width < self._problem.width) & (gaps.floor < self._length))
        found.append((given_up, np.full(len(given_up), -1), gaps.width[given_up]))
        row, kind, width = (np.concatenate(each) for each in zip(*found, strict=True))
        return row, kind, width

    def _pieces(self, front: _Front, gaps: Gaps) -> Iterator[tuple[Truth, Whole]]:
        """For every row and kind whether a piece may lie in the gap, and how wide it is then."""
        problem, step = self._problem, self._problem.step
        needed = front.need[:, self._item]
        need = np.where(needed < 0, self._wide, needed)
        way = front.ways[:, self._turn]
        fits = (needed != 0) & ((way < 0) | (way == self._way)) & (self._long <= (self._length - gaps.floor)[:, None])
        cut = np.where(self._whole, need, -(-need // step) * step)
        gap = gaps.width[:, None] // step * step
        yield fits & (cut <= gaps.width[:, None]), cut

        least = max(problem.least, 1)  # a piece of no width would lie anywhere, and lead nowhere

        def may_be(width: Whole) -> Truth:
            part: Truth = fits & ~self._whole & (width >= least) & (width <= gap) & (need - width + problem.seam >= least)
            return part & (width < need)

        yield may_be(gap), gap
        half = -(-(need + problem.seam) // (2 * step)) * step
        yield may_be(half), half
        for other in range(len(self._item)):
            unlike = fits[:, other : other + 1] & (self._item != self._item[other])
            beside = gap - cut[:, other : other + 1]
            yield may_be(beside) & unlike, beside
            rest = need - (problem.width - cut[:, other : other + 1]) // step * step + problem.seam
            rest = -(-rest // step) * step
            yield may_be(rest) & unlike, rest

    def _after(self, front: _Front, kind: Whole, width: Whole, height: Whole) -> _Front:
        """The rows (one for each option) with the piece taken off what its item needs; skylines as they were."""
        placed = np.flatnonzero(kind >= 0)
        need, ways, given = front.need.copy(), front.ways.copy(), kind < 0
        of = kind[placed]
        item = self._item[of]
        before = np.where(need[placed, item] < 0, self._wide[of], need[placed, item])
        left = before - width[placed]
        need[placed, item] = np.where(left > 0, left + self._problem.seam, 0)
        ways[placed, self._turn[of]] = self._way[of]
        divisions = front.divisions.copy()
        divisions[placed] += left > 0
        area = width * height
        return replace(
            front,
            need=need,
            ways=ways,
            used=front.used + np.where(given, 0, area),
            lost=front.lost + np.where(given, area, 0),
            divisions=divisions,
            placed=front.placed + ~given,
        )

    def _cost(self, after: _Front, there: Gaps, width: Whole, height: Whole, kind: Whole) -> Whole:
        """Area lost for certain: given up, shut in beside the piece, in divisions, and by the ways chosen."""
        beside = there.width - width
        shut = (beside > 0) & (beside < self._narrowest(after)) & (kind >= 0)
        top = np.minimum(np.minimum(there.lower_wall(self._length), there.floor + height), self._length)
        lost = after.lost + np.where(shut, beside * (top - there.floor), 0)
        cost: Whole = after.used + lost + self._rest_area(after) - self._least_area
        return cost

    def _narrowest(self, after: _Front) -> Whole:
        """How wide the narrowest piece is that can still be cut."""
        need = after.need[:, self._item]
        need = np.where(need < 0, self._wide, np.where(need == 0, BEYOND, need))
        narrowest: Whole = np.where(self._whole, need, np.minimum(need, self._problem.least)).min(axis=1)
        return narrowest

    def _rest_area(self, after: _Front) -> Whole:
        """Area that what does not lie yet takes at least."""
        way = after.ways[:, self._turns]
        item = np.arange(len(self._turns))
        fewest = np.maximum(0, -(-(after.need - self._problem.width) // (self._problem.width - self._problem.seam)))
        rest = (after.need + fewest * self._problem.seam) * self._lengths[item, way]
        area: Whole = np.where(after.need < 0, self._areas[item, way], np.where(after.need == 0, 0, rest)).sum(axis=1)
        return area

    def _rank(self, after: _Front, there: Gaps, height: Whole, cost: Whole) -> npt.NDArray[np.float64]:
        guide, tops = self._guide, after.tops
        floors = np.where(tops < BEYOND, tops, 0)
        under = np.maximum((np.diff(after.lefts, axis=1) * floors[:, :-1]).sum(axis=1), 1)
        uneven = np.abs(np.diff(np.where(tops < BEYOND, tops, tops[:, :1]), axis=1)[:, :-1]).sum(axis=1) / self._length
        top = there.floor + height
        level = (top == there.left_wall) | (top == there.right_wall)
        steps = (after.lefts < self._problem.width).sum(axis=1)
        mean = np.maximum(after.used, 1) / np.maximum(after.placed, 1)
        rank = guide.lost * cost / under - guide.small * np.log(mean) + guide.level * level
        rank = rank + (guide.uneven * uneven + guide.steps * steps) / len(self._turns) ** 0.5
        rounded: npt.NDArray[np.float64] = np.round(rank, DIGITS)
        return rounded

    def _best(self, after: _Front, rank: npt.NDArray[np.float64]) -> Whole:
        """The places of those kept, the most promising first: one of each that are alike."""
        order = np.argsort(rank, kind="stable")
        marks = (after.need * self._marks).sum(axis=1) + (after.ways * self._turn_marks).sum(axis=1)
        marks += ((after.lefts * 1_000_003 + after.tops * 7919) * (after.lefts * 31 + 17)).sum(axis=1)
        first = np.unique(marks[order], return_index=True)[1]
        best: Whole = order[np.sort(first)[: self._most]]
        return best
