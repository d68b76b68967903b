"""Joined patches by thresholds.

A seam at s leaves a low part that only grows with s and a high part that only shrinks. So each donor has one figure a side,
and some pair of donors makes the patch if and only if the best low figure reaches the best high one. Three and four parts
recurse: one part is pushed as far as its donor goes, and the rest is asked the same question. Arrays give each donor an
optimistic figure; exact work goes to the few pairs that could still win.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.ask import AXES, Ask
from remnants.fitting.donor import Donor
from remnants.fitting.field import Field, Reaches
from remnants.fitting.layout import Joint, Layout, Leaf
from remnants.fitting.shape import Axis, Shape, Split, splits
from remnants.fitting.showing import points_of
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model.plan import SeamKind

__all__ = ["grounds_between", "joined", "least_points", "pairs"]

Key = tuple[int, float, str, str]


@dataclass(eq=False)
class _Contest:
    """The pairs of two kinds of carpet on either side of one split; working state of `pairs`."""

    lows: Reaches
    highs: Reaches
    low_places: NDArray[np.int64]
    high_places: NDArray[np.int64]
    points: int

    def best(self) -> tuple[Key, int, int] | None:
        """The pair of different pieces with the least area whose figures, optimistic or true, meet."""
        field = self.lows.field
        low_at, high_at = self.lows.at[self.low_places], self.highs.at[self.high_places]
        lows = self.low_places[np.argsort(np.where(np.isnan(low_at), np.inf, -low_at), kind="stable")][: _count(low_at)]
        highs = self.high_places[np.argsort(np.where(np.isnan(high_at), np.inf, high_at), kind="stable")][: _count(high_at)]
        if not lows.size or not highs.size:
            return None
        reach = np.searchsorted(self.highs.at[highs], self.lows.at[lows], side="right")
        lows, reach = lows[reach > 0], reach[reach > 0]
        if not lows.size:
            return None
        smallest, runner_up = _running_least(highs, field)
        one = smallest[reach - 1]
        same = field.pieces[one] == field.pieces[lows]
        one = np.where(same, runner_up[reach - 1], one)
        total = field.areas[lows] + np.where(one >= 0, field.areas[one], np.inf)
        best = int(np.argmin(total))
        if not np.isfinite(total[best]):
            return None
        low, high = int(lows[best]), int(one[best])
        return (self.points, float(total[best]), field.donors[low].tag, field.donors[high].tag), low, high


def _count(at: NDArray[np.float64]) -> int:
    return int(np.count_nonzero(~np.isnan(at)))


def _running_least(places: NDArray[np.int64], field: Field) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Along `places`, the smallest donor so far, and the smallest of another piece (-1 if there is none)."""
    first, second = np.empty_like(places), np.empty_like(places)
    least, other = -1, -1
    areas, tags = field.areas, field.pieces
    for index, place in enumerate(places):
        if least < 0 or areas[place] < areas[least]:
            if least >= 0 and tags[place] != tags[least]:
                other = least
            least = place
        elif tags[place] != tags[least] and (other < 0 or areas[place] < areas[other]):
            other = place
        first[index], second[index] = least, other
    return first, second


def pairs(ask: Ask, shape: Shape, field: Field, most: int) -> list[Layout]:
    """Two-part layouts of a shape from two different pieces, the most promising first, at most `most`; empty if none exists.

    Ordered by how the seam shows, then by the size of the donors used up (small ones first), then by tag.
    """
    waiting = sorted(
        ((least_points(ask, field, axis), number, split) for axis in AXES for number, split in enumerate(splits(shape, axis))),
        key=lambda family: (family[0], family[2].axis, family[1]),
    )
    contests: list[_Contest] = []
    queue: list[tuple[Key, int, int, int]] = []
    made: list[Layout] = []
    while (queue or waiting) and len(made) < most:
        while waiting and (not queue or queue[0][0][0] >= waiting[0][0]):
            for contest in _contests(ask, field, waiting.pop(0)[2]):
                contests.append(contest)
                _push(queue, len(contests) - 1, contest)
        if not queue:
            break
        _, number, low, high = heapq.heappop(queue)
        contest = contests[number]
        if contest.lows.settle(low) >= contest.highs.settle(high):
            made.append(_joint(contest, low, high))
            contest.low_places = contest.low_places[contest.low_places != low]
        _push(queue, number, contest)
    return made


def least_points(ask: Ask, field: Field, axis: Axis) -> int:
    """The fewest points that any seam of this axis can have."""
    firsts = field.kinds[1]
    points = (sum(weight for weight, _ in grounds_between(ask, axis, one, two)) for one in firsts for two in firsts)
    return min(points, default=0)


def _push(queue: list[tuple[Key, int, int, int]], number: int, contest: _Contest) -> None:
    found = contest.best()
    if found is not None:
        key, low, high = found
        heapq.heappush(queue, (key, number, low, high))


def _contests(ask: Ask, field: Field, split: Split) -> Iterator[_Contest]:
    """One contest for each pair of kinds of carpet."""
    lows = Reaches.of(ask, field, split, low=True)
    highs = Reaches.of(ask, field, split, low=False)
    if np.isnan(lows.at).all() or np.isnan(highs.at).all() or np.nanmax(lows.at) < np.nanmin(highs.at):
        return
    lows.settle_worthwhile(float(np.nanmin(highs.at)))
    if np.isnan(lows.at).all():
        return
    highs.settle_worthwhile(float(np.nanmax(lows.at)))
    numbers, firsts = field.kinds
    places = [np.flatnonzero(numbers == kind) for kind in range(len(firsts))]
    for i, one in enumerate(firsts):
        for j, two in enumerate(firsts):
            points = sum(weight for weight, _ in grounds_between(ask, split.axis, one, two))
            yield _Contest(lows, highs, places[i], places[j], points)


def _joint(contest: _Contest, low: int, high: int) -> Layout:
    """The layout of a pair; the seam uses the smaller donor up, the tolerance short of its end where there is play."""
    donors, split = contest.lows.field.donors, contest.lows.split
    greatest, least = float(contest.lows.at[low]), float(contest.highs.at[high])
    at = (least + greatest) / 2
    row = max(donors[i].candidate.style.row_mm or 0.0 for i in (low, high))
    play = max(row, TOLERANCE_MM)  # a row's play lets the seam fall between two of them
    if greatest - least > 4 * play:
        low_first = donors[low].area_mm2 <= donors[high].area_mm2
        at = greatest - play if low_first else least + play
    below, above = split.halves(at)
    return Joint(split, at, Leaf(below, donors[low]), Leaf(above, donors[high]))


def joined(ask: Ask, shape: Shape, field: Field, parts: int, most: int) -> Iterator[Layout]:
    """Layouts of a shape in exactly `parts` parts (two or more), each from a piece of its own. Nothing if none exists."""
    if parts == 2:
        yield from pairs(ask, shape, field, most)
        return
    for axis in AXES:
        for split in splits(shape, axis):
            yield from _one_and_rest(ask, split, field, parts, low=True)
            yield from _one_and_rest(ask, split, field, parts, low=False)
            if parts == 4:
                yield from _two_and_two(ask, split, field)


def _one_and_rest(ask: Ask, split: Split, field: Field, parts: int, *, low: bool) -> Iterator[Layout]:
    """One part pushed as far as its donor goes, the rest from the others.

    Only the `parts` furthest-reaching pieces need trying: were a plan made with another, one of these is free and reaches
    further, and the rest only gets smaller.
    """
    for donor, at in _furthest(Reaches.of(ask, field, split, low=low), parts):
        one, rest = split.halves(at)[:: 1 if low else -1]
        if not rest.wide_enough(ask.min_part_mm):
            continue
        inner = next(iter(joined(ask, rest, field.without({donor.tag}), parts - 1, 1)), None)
        if inner is not None:
            leaf = Leaf(one, donor)
            yield Joint(split, at, leaf, inner) if low else Joint(split, at, inner, leaf)


def _furthest(reaches: Reaches, most: int) -> list[tuple[Donor, float]]:
    """The furthest-reaching donors of different pieces with their true figures, the furthest first."""
    found: dict[str, tuple[Donor, float]] = {}
    sign = -1.0 if reaches.low else 1.0
    queue = [(sign * float(at), index) for index, at in enumerate(reaches.at) if not np.isnan(at)]
    heapq.heapify(queue)
    while queue and len(found) < most:
        told, index = heapq.heappop(queue)
        true = sign * reaches.settle(index)
        if np.isnan(true):
            continue
        if true > told:
            heapq.heappush(queue, (true, index))
            continue
        donor = reaches.field.donors[index]
        found.setdefault(donor.tag, (donor, sign * true))
    return list(found.values())


def _two_and_two(ask: Ask, split: Split, field: Field) -> Iterator[Layout]:
    """Both halves joined from two parts each: the low half pushed as far as a pair goes, conflicts settled by exclusion."""
    low, high = split.limits(ask.min_part_mm)
    if low > high:
        return
    pending: list[frozenset[str]] = [frozenset()]
    tried: set[frozenset[str]] = set(pending)
    while pending:
        barred = pending.pop()
        reach = _furthest_pair(ask, split, field.without(barred), low, high)
        if reach is None:
            continue
        at, inner = reach
        used = frozenset(leaf.donor.tag for leaf in (inner.low, inner.high) if isinstance(leaf, Leaf))
        rest = next(iter(pairs(ask, split.halves(at)[1], field.without(used), 1)), None)
        if rest is not None:
            yield Joint(split, at, inner, rest)
            return
        for tag in sorted(used):
            more = barred | {tag}
            if len(more) <= 3 and more not in tried:
                tried.add(more)
                pending.append(more)


def _furthest_pair(ask: Ask, split: Split, field: Field, low: float, high: float) -> tuple[float, Joint] | None:
    """The greatest position at which the low half can be joined from two of the donors, and how."""

    def made(at: float) -> Joint | None:
        half = split.halves(at)[0]
        layout = next(iter(pairs(ask, half, field, 1)), None) if half.wide_enough(ask.min_part_mm) else None
        return layout if isinstance(layout, Joint) else None

    best = made(low)
    if best is None:
        return None
    at_end = made(high)
    if at_end is not None:
        return high, at_end
    while high - low > TOLERANCE_MM / 4:
        middle = (low + high) / 2
        layout = made(middle)
        low, high, best = (middle, high, layout) if layout is not None else (low, middle, best)
    return low, best


def grounds_between(ask: Ask, axis: Axis, one: Donor, two: Donor) -> list[tuple[int, str]]:
    """The grounds on which a seam between parts of two donors shows (see `showing`)."""
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    other_way = one.lay_deg != two.lay_deg
    return points_of(kind, one.candidate, two.candidate, patch=ask.patch, reversed_pile=other_way)
