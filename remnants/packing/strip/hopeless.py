"""Which skylines can't be filled up to a length by what still waits: told for many at once, never wrongly.

Cut to pieces of one length, the room above a skyline holds so many of them in each column, and an item takes up so many.
Where the items need more than there is, nothing leads on. The same holds across, for pieces of one width in each row. Without any
waste, what stands above a step up to the strip's end is a sum of lengths, and what fills a gap between walls a sum of widths.
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from remnants.packing.strip.skylines import BEYOND, Whole

__all__ = ["Hopeless"]

Truth = npt.NDArray[np.bool_]

MOST_PIECE_SIZES = 12
"""Lengths and widths of pieces that are looked at: of more, some are left out."""

MOST_FOR_ROWS = 40
"""Among so many items rows are looked at too; of more they are dear and tell little."""

MOST_FOR_COLUMNS = 60
"""Among more items columns tell next to nothing either: of 90,000 skylines of 73 items one in thirty."""

MOST_SUMS = 500
"""Sums of sizes are told up to so many units of the strip."""


class Hopeless:
    """What the items of one strip need, by kinds: `widths`, `heights` and how many there are (`counts`)."""

    def __init__(self, width: int, length: int, *, widths: Whole, heights: Whole, counts: Whole) -> None:
        self._width, self._length = width, length
        self._widths, self._heights = widths, heights
        self._columns = _pieces(heights.tolist(), length)
        self._rows = _pieces(widths.tolist(), width)
        self._column_needs = (widths[:, None] * (heights[:, None] // self._columns)).astype(np.float64)
        self._row_needs = heights[:, None] * (widths[:, None] // self._rows)
        self._look_at_columns = int(counts.sum()) <= MOST_FOR_COLUMNS
        self._look_at_rows = int(counts.sum()) <= MOST_FOR_ROWS
        self._unit = math.gcd(width, *widths.tolist()), math.gcd(length, *heights.tolist())
        whole = int((widths * heights * counts).sum()) == width * length
        self._sums = whole and width // self._unit[0] <= MOST_SUMS and length // self._unit[1] <= MOST_SUMS

    def leave(self, lefts: Whole, tops: Whole, waiting: Whole) -> Whole:
        """The places of the skylines for which there is hope, of each with what `waiting` (counts by kind) still needs room."""
        floors = np.minimum(tops[:, :-1], self._length)
        wide = np.where(tops[:, :-1] < BEYOND, np.diff(lefts, axis=1), 0)
        kept = np.arange(len(floors))
        if self._look_at_columns:
            kept = np.flatnonzero(self._columns_hold(floors, wide, waiting))
        if self._look_at_rows and len(kept):
            kept = kept[self._rows_hold(floors[kept], wide[kept], waiting[kept])]
        if self._sums and len(kept):
            kept = kept[self._sums_reach(floors[kept], wide[kept], waiting[kept])]
        return kept

    def _columns_hold(self, floors: Whole, wide: Whole, waiting: Whole) -> Truth:
        above = self._length - floors
        room = np.stack([(wide * (above // piece)).sum(axis=1) for piece in self._columns.tolist()], axis=1)
        held: Truth = np.all(waiting.astype(np.float64) @ self._column_needs <= room, axis=1)
        return held

    def _rows_hold(self, floors: Whole, wide: Whole, waiting: Whole) -> Truth:
        levels = np.sort(floors, axis=1)
        tall = np.diff(levels, axis=1, append=self._length)
        room = np.zeros((len(floors), len(self._rows)), dtype=np.int64)
        steps = floors.shape[1]
        for level, high in zip(levels.T, tall.T, strict=True):
            if not high.any():
                continue
            is_open = floors <= level[:, None]
            run = np.zeros(len(floors), dtype=np.int64)
            for step in range(steps):
                run = np.where(is_open[:, step], run + wide[:, step], 0)
                ends = is_open[:, step] & ~is_open[:, step + 1] if step + 1 < steps else is_open[:, step]
                room += (np.where(ends, run, 0)[:, None] // self._rows) * high[:, None]
        held: Truth = np.all(waiting @ self._row_needs <= room, axis=1)
        return held

    def _sums_reach(self, floors: Whole, wide: Whole, waiting: Whole) -> Truth:
        across, along = self._unit
        sums_along = _sums(waiting, self._heights // along, self._length // along)
        above = np.take_along_axis(sums_along, (self._length - floors) // along, 1)
        sums_across = _sums(waiting, self._widths // across, self._width // across)
        walls = np.pad(floors, ((0, 0), (1, 1)), constant_values=BEYOND)
        valley = (floors < walls[:, :-2]) & (floors < walls[:, 2:]) & (floors < self._length)
        beside = np.take_along_axis(sums_across, wide // across, 1)
        reached: Truth = np.all(above & (beside | ~valley), axis=1)
        return reached


def _pieces(sizes: Sequence[int], whole: int) -> Whole:
    """Sizes to cut to: those of the items, what leaves no room beside them, and just over a half, a third, a quarter."""
    found = set(sizes) | {whole - size + 1 for size in sizes if 2 * size <= whole}
    found |= {whole // parts + 1 for parts in (2, 3, 4) if whole // parts < whole}
    ordered, most = sorted(found), MOST_PIECE_SIZES
    if len(ordered) > most:
        ordered = [ordered[round(index * (len(ordered) - 1) / (most - 1))] for index in range(most)]
    return np.array(ordered, dtype=np.int64)


def _sums(waiting: Whole, sizes: Whole, most: int) -> Truth:
    """For every row, which of 0 to `most` are sums of some of the sizes that wait there."""
    reached = np.zeros((len(waiting), most + 1), dtype=bool)
    reached[:, 0] = True
    for kind, size in enumerate(sizes.tolist()):
        for times in range(int(waiting[:, kind].max(initial=0))):
            more = reached[:, : most + 1 - size] & (waiting[:, kind] > times)[:, None]
            reached[:, size:] |= more
    return reached
