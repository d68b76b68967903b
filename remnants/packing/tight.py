"""Filling a strip of a given length with hardly any waste: strong where the items once were a whole strip."""

from collections.abc import Sequence

from remnants.packing.strip import Item, StripProblem
from remnants.packing.watch import Watch

__all__ = ["fill_tight"]

Steps = tuple[tuple[int, int], ...]


def fill_tight(
    problem: StripProblem, length: int, *, order: Sequence[int], nodes: int, watch: Watch
) -> tuple[tuple[int, int], ...] | None:
    """Corners of a packing no longer than `length`, or None when none turned up within `nodes` steps.

    Lowest gap first: each item that fits goes to its left end in turn (those that fill it first, then by `order`), or the
    gap is given up, as long as the waste allows.
    Items with a lattice are laid at the strip's start only, so for them None says nothing.
    """
    spare = problem.width * length - problem.area
    if spare < 0 or any(item.lattice for item in problem.items):
        return None
    search = _Search(problem.items, length, nodes, watch)
    line = ((0, 0), (problem.width, 0))
    return search.corners() if search.run(line, tuple(order), spare) else None


class _Search:
    """Depth first, with a limit on the steps; holds the corners of the branch it is on."""

    def __init__(self, items: Sequence[Item], length: int, nodes: int, watch: Watch) -> None:
        self._items = items
        self._length = length
        self._nodes = nodes
        self._watch = watch
        self._at: dict[int, tuple[int, int]] = {}

    def corners(self) -> tuple[tuple[int, int], ...]:
        return tuple(self._at[index] for index in range(len(self._items)))

    def run(self, line: Steps, waiting: tuple[int, ...], spare: int) -> bool:
        """True when all that waits found a place above this skyline with at most `spare` of waste."""
        if not waiting:
            return True
        self._nodes -= 1
        if self._nodes < 0 or (self._nodes % 256 == 0 and self._watch.over()):
            self._nodes = -1
            return False
        step = min(range(len(line) - 1), key=lambda index: line[index][1])
        (left, floor), right = line[step], line[step + 1][0]
        if spare == 0 and not _sums_to([self._items[index].width for index in waiting], right - left):
            return False
        for index in self._fitting(waiting, right - left, self._length - floor):
            item = self._items[index]
            self._at[index] = left, floor
            rest = tuple(other for other in waiting if other != index)
            if self.run(_covered(line, step, item), rest, spare):
                return True
        raised, waste = _raised(line, step, self._length)
        return self._nodes >= 0 and waste <= spare and self.run(raised, waiting, spare - waste)

    def _fitting(self, waiting: tuple[int, ...], width: int, length: int) -> list[int]:
        """One of each kind that fits the gap: what fills its width first, then by size."""
        kinds: dict[Item, int] = {}
        for index in waiting:
            item = self._items[index]
            if item.width <= width and item.length <= length:
                kinds.setdefault(item, index)
        return sorted(kinds.values(), key=lambda index: self._items[index].width != width)


def _sums_to(widths: Sequence[int], width: int) -> bool:
    """True when some of the widths fill this one exactly: without that a gap can't be closed without waste."""
    reached = {0}
    for each in widths:
        reached |= {total + each for total in reached if total + each <= width}
        if width in reached:
            return True
    return False


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
