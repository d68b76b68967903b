"""Filling a strip from the bottom: always the lowest gap first, with what suits it best."""

from collections.abc import Sequence

from remnants.packing.strip.problem import Item, StripProblem
from remnants.packing.strip.waiting import Queue, Waiting, WaitingFew

__all__ = ["fill", "length_of"]

Corners = list[tuple[int, int]]

FEW = 5
"""So many items are looked at one by one faster than they are sorted."""


def length_of(items: Sequence[Item], corners: Sequence[tuple[int, int]]) -> int:
    """How long a strip these items take up where they lie."""
    return max((y + item.length for item, (_, y) in zip(items, corners, strict=True)), default=0)


def fill(problem: StripProblem, order: Sequence[int], limit: int | None = None) -> tuple[int, Corners] | None:
    """Lays the items into the lowest gap in turn; where several suit it equally well the earlier in `order` goes first.

    Returns (length, corners in the problem's order), or None as soon as `limit` is reached or passed.
    """
    items = problem.items
    line = _Skyline(problem.width)
    few = len(items) <= FEW or any(item.lattice for item in items)
    queue: Queue = WaitingFew(items, order) if few else Waiting(items, order)
    corners: Corners = [(0, 0)] * len(items)
    top = 0
    for _ in items:
        found = None
        while found is None:
            step, left, right, floor = line.lowest()
            found = queue.next(left, right, floor, line.walls(step))
            if found is None:
                line.give_up(step)
        index, (x, y) = found
        corners[index] = x, y
        end = y + items[index].length
        top = max(top, end)
        if limit is not None and top >= limit:
            return None
        line.cover(step, x, x + items[index].width, end)
    return top, corners


class _Skyline:
    """The left end and the height of each step from left to right; no two neighbours are equally high."""

    __slots__ = ("_lefts", "_tops", "_width")

    def __init__(self, width: int) -> None:
        self._lefts, self._tops, self._width = [0], [0], width

    def lowest(self) -> tuple[int, int, int, int]:
        """The lowest gap, the leftmost of equals: its step, its left and right ends, and its floor."""
        floor = min(self._tops)
        step = self._tops.index(floor)
        lefts = self._lefts
        return step, lefts[step], lefts[step + 1] if step + 1 < len(lefts) else self._width, floor

    def walls(self, step: int) -> tuple[float, float]:
        """How far the walls of the gap rise above its floor, left and right; the strip's edges rise for ever."""
        tops = self._tops
        left = tops[step - 1] - tops[step] if step else BEYOND
        right = tops[step + 1] - tops[step] if step + 1 < len(tops) else BEYOND
        return left, right

    def give_up(self, step: int) -> None:
        """Nothing fits the gap: it rises to the level of its lower wall. (A floor from edge to edge takes any item.)"""
        self._tops[step] = min(self._tops[at] for at in (step - 1, step + 1) if 0 <= at < len(self._tops))
        self._join(step + 1)
        self._join(step)

    def cover(self, step: int, left: int, right: int, top: int) -> None:
        """An item covers [left, right) of the gap up to `top`."""
        lefts, tops = self._lefts, self._tops
        start, floor = lefts[step], tops[step]
        end = lefts[step + 1] if step + 1 < len(lefts) else self._width
        tops[step] = top
        if right < end:
            lefts.insert(step + 1, right)
            tops.insert(step + 1, floor)
        if left > start:
            lefts.insert(step + 1, left)
            tops.insert(step, floor)
            step += 1
        self._join(step + 1)
        self._join(step)

    def _join(self, step: int) -> None:
        """The step and the one before it become one where they are equally high."""
        if 0 < step < len(self._tops) and self._tops[step] == self._tops[step - 1]:
            del self._tops[step], self._lefts[step]


BEYOND = float("inf")
"""How high the strip's edges rise."""
