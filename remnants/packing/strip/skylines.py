"""Many skylines at once, as arrays: one row a skyline, steps from left to right.

`lefts` holds each step's left end and `tops` its height. The last step stands at the strip's far edge and is `BEYOND` high; rows
with fewer steps are filled up with it. Whole numbers of any unit.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

__all__ = ["BEYOND", "Gaps", "Whole", "after_items", "alike_joined", "flat", "lowest_gaps", "raised"]

Whole = npt.NDArray[np.int64]
Truth = npt.NDArray[np.bool_]

BEYOND = 1 << 60
"""Higher than any strip is long."""


@dataclass(frozen=True)
class Gaps:
    """The lowest gap of each skyline (its leftmost): step, left end, floor, width, and how high the walls beside it reach."""

    step: Whole
    left: Whole
    floor: Whole
    width: Whole
    left_wall: Whole
    right_wall: Whole

    def lower_wall(self, length: int | Whole) -> Whole:
        """How high the lower of both walls reaches, or the strip's end (or each one's) where that is nearer."""
        return np.minimum(np.minimum(self.left_wall, self.right_wall), length)


def flat(width: int) -> tuple[Whole, Whole]:
    """One empty strip."""
    return np.array([[0, width]], dtype=np.int64), np.array([[0, BEYOND]], dtype=np.int64)


def lowest_gaps(lefts: Whole, tops: Whole) -> Gaps:
    """Of every skyline."""
    row = np.arange(len(tops))
    step = tops.argmin(axis=1)
    left = lefts[row, step]
    left_wall = np.where(step > 0, tops[row, np.maximum(step - 1, 0)], BEYOND)
    return Gaps(step, left, tops[row, step], lefts[row, step + 1] - left, left_wall, tops[row, step + 1])


def raised(lefts: Whole, tops: Whole, gaps: Gaps, levels: Whole) -> tuple[Whole, Whole]:
    """The skylines with each lowest gap given up to its level."""
    tops = tops.copy()
    tops[np.arange(len(tops)), gaps.step] = levels
    return alike_joined(lefts, tops)


def after_items(
    lefts: Whole, tops: Whole, gaps: Gaps, *, widths: Whole, heights: Whole, at_left: Truth
) -> tuple[Whole, Whole, Whole]:
    """The skylines with one item in each lowest gap, at its left end or its right, and the items' left ends."""
    row, column = np.arange(len(tops)), np.arange(tops.shape[1] + 1)
    source = np.where(column <= gaps.step[:, None], column, column - 1)
    lefts, tops = lefts[row[:, None], source], tops[row[:, None], source]
    full = widths == gaps.width
    top, right = gaps.floor + heights, gaps.left + gaps.width - widths
    tops[row, gaps.step] = np.where(at_left | full, top, gaps.floor)
    tops[row, gaps.step + 1] = np.where(at_left & ~full, gaps.floor, top)
    lefts[row, gaps.step + 1] = np.where(full, gaps.left, np.where(at_left, gaps.left + widths, right))
    return *alike_joined(lefts, tops), np.where(at_left, gaps.left, right)


def alike_joined(lefts: Whole, tops: Whole) -> tuple[Whole, Whole]:
    """Neighbouring steps of one height become one; no more columns are kept than the longest row needs."""
    same = np.zeros(tops.shape, dtype=bool)
    same[:, 1:] = tops[:, 1:] == tops[:, :-1]
    order = np.argsort(same, axis=1, kind="stable")[:, : int((~same).sum(axis=1).max())]
    row = np.arange(len(tops))[:, None]
    spare = same[row, order]
    edge = lefts[:, -1:]
    lefts, tops = lefts[row, order], tops[row, order]
    return np.where(spare, edge, lefts), np.where(spare, BEYOND, tops)
