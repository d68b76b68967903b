"""Filling a strip of a given length with hardly any waste: strong where the items once were a whole strip."""

import math
from collections.abc import Sequence

from remnants.packing.strip.problem import Item, StripProblem
from remnants.packing.watch import Watch

__all__ = ["Dead", "fill_tight"]

Steps = tuple[tuple[int, int], ...]
Dead = tuple[Steps, int]
"""A skyline and the items that still wait above it, as bits."""

MOST_DEAD = 400_000
MOST_BITS, MOST_KNOWN_BITS = 100_000, 200_000_000
"""Sums of sizes are looked at where they are no more than this; and so many bits of them are kept at most (25 MB)."""


def fill_tight(
    problem: StripProblem, length: int, *, order: Sequence[int], nodes: int, watch: Watch, dead: set[Dead]
) -> tuple[tuple[int, int], ...] | None:
    """Corners of a packing no longer than `length`, or None when none turned up within `nodes` steps.

    Lowest gap first: each item that fits goes to its left end in turn (those that fill it first, then by `order`), or the
    gap is given up, as long as the waste allows. `dead` remembers skylines from which nothing leads on, for this length; hand the
    same set in again for another order.
    Items with a lattice are laid at the strip's start only, so for them None says nothing.
    """
    spare = problem.width * length - problem.area
    if spare < 0 or any(item.lattice for item in problem.items):
        return None
    search = _Search(problem, length, nodes, watch, dead, whole=spare == 0)
    line = ((0, 0), (problem.width, 0))
    return search.corners() if search.run(line, tuple(order), spare) else None


class _Search:
    """Depth first, with a limit on the steps; holds the corners of the branch it is on."""

    def __init__(self, problem: StripProblem, length: int, nodes: int, watch: Watch, dead: set[Dead], *, whole: bool) -> None:
        self._items = problem.items
        self._length = length
        self._nodes = nodes
        self._watch = watch
        self._dead = dead
        self._at: dict[int, tuple[int, int]] = {}
        self._across = _Sums([item.width for item in problem.items], problem.width) if whole else None
        self._along = _Sums([item.length for item in problem.items], length) if whole else None

    def corners(self) -> tuple[tuple[int, int], ...]:
        return tuple(self._at[index] for index in range(len(self._items)))

    def run(self, line: Steps, waiting: tuple[int, ...], spare: int) -> bool:
        """True when all that waits found a place above this skyline with at most `spare` of waste."""
        if not waiting:
            return True
        bits = sum(1 << index for index in waiting)
        if (line, bits) in self._dead:
            return False
        if self._lead_on(line, waiting, bits, spare):
            return True
        if self._nodes >= 0 and len(self._dead) < MOST_DEAD:
            self._dead.add((line, bits))
        return False

    def _lead_on(self, line: Steps, waiting: tuple[int, ...], bits: int, spare: int) -> bool:
        """Tries every next step from this skyline."""
        self._nodes -= 1
        if self._nodes < 0 or (self._nodes % 64 == 0 and self._watch.over()):
            self._nodes = -1
            return False
        step = min(range(len(line) - 1), key=lambda index: line[index][1])
        (left, floor), right = line[step], line[step + 1][0]
        if self._across and not self._across.reach(bits, right - left):
            return False
        for index in self._fitting(waiting, bits, right - left, self._length - floor):
            item = self._items[index]
            self._at[index] = left, floor
            rest = tuple(other for other in waiting if other != index)
            if self.run(_covered(line, step, item), rest, spare):
                return True
        raised, waste = _raised(line, step, self._length)
        return self._nodes >= 0 and waste <= spare and self.run(raised, waiting, spare - waste)

    def _fitting(self, waiting: tuple[int, ...], bits: int, width: int, length: int) -> list[int]:
        """One of each kind that fits the gap: what fills its width first, then by size."""
        kinds: dict[Item, int] = {}
        for index in waiting:
            item = self._items[index]
            if (
                item.width <= width
                and item.length <= length
                and item not in kinds
                and self._leaves_sums(index, bits, width, length)
            ):
                kinds[item] = index
        return sorted(kinds.values(), key=lambda index: self._items[index].width != width)

    def _leaves_sums(self, index: int, bits: int, width: int, length: int) -> bool:
        """Without waste, what is beside the item and what is above it must be sums of what still waits."""
        if self._across is None or self._along is None:
            return True
        item, rest = self._items[index], bits & ~(1 << index)
        return self._across.reach(rest, width - item.width) and self._along.reach(rest, length - item.length)


class _Sums:
    """Which lengths are sums of some of the sizes; kept for each set of sizes asked about."""

    def __init__(self, sizes: Sequence[int], most: int) -> None:
        self._unit = math.gcd(*sizes, most)
        self._sizes = [size // self._unit for size in sizes]
        self._use = most // self._unit <= MOST_BITS
        self._mask = (1 << (most // self._unit + 1)) - 1 if self._use else 0
        self._known: dict[int, int] = {0: 1}
        self._most_known = MOST_KNOWN_BITS // (self._mask.bit_length() + 1)

    def reach(self, bits: int, size: int) -> bool:
        """True when some of the sizes in `bits` add up to `size`, or when that can't be told."""
        return not self._use or bool(self._sums(bits) >> (size // self._unit) & 1)

    def _sums(self, bits: int) -> int:
        if bits not in self._known:
            low = bits & -bits
            rest = self._sums(bits ^ low)
            if len(self._known) > self._most_known:
                self._known = {0: 1}
            self._known[bits] = (rest | rest << self._sizes[low.bit_length() - 1]) & self._mask
        return self._known[bits]


def _covered(line: Steps, step: int, item: Item) -> Steps:
    """The skyline with the item at the left end of the gap."""
    (left, floor), right = line[step], line[step + 1][0]
    new = [(left, floor + item.length)]
    if left + item.width < right:
        new.append((left + item.width, floor))
    return _joined((*line[:step], *new, *line[step + 1 :]))


def _raised(line: Steps, step: int, length: int) -> tuple[Steps, int]:
    """The skyline with the gap given up to its lower wall (or to the strip's end), and the area wasted by it."""
    (left, floor), right = line[step], line[step + 1][0]
    walls = [line[at][1] for at in (step - 1, step + 1) if 0 <= at < len(line) - 1]
    level = min(walls, default=length)
    return _joined((*line[:step], (left, level), *line[step + 1 :])), (right - left) * (level - floor)


def _joined(line: Steps) -> Steps:
    last = len(line) - 1
    return tuple(step for at, step in enumerate(line) if at in (0, last) or step[1] != line[at - 1][1])
