"""What no way of dividing and packing a few items goes below, whatever is divided where: of a few rooms often the optimum.

Told by when each piece begins alone. Pushed to either end, every piece begins at one of a few places (`starts`). Pieces of one
item that begin at the same place are taken as one, which needs no more width. So for each place how wide the piece of each item
is that begins there, and at every level all of them together are no wider than the strip: a small programme in whole and other
numbers (HiGHS). That pieces must keep their place across is left out, so what it refutes is refuted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from remnants.late import Late
from remnants.packing.strip.divided import DividedProblem
from remnants.packing.strip.lines_bound import lines_bound
from remnants.packing.strip.starts import starts_of, sums_of
from remnants.packing.watch import Watch

if TYPE_CHECKING:
    import highspy
else:
    highspy = Late("highspy")

__all__ = ["divided_bound"]

MOST_STARTS = 450
"""Places at which a piece may begin that is pushed to one end, all items together, beyond which nothing is proved."""

MOST_TURNS = 32
"""Combinations of ways beyond which nothing is proved."""

MOST_NODES, EASY_STARTS = 400, 60
"""Branches after which a programme with so many starts is left undecided; a larger one sooner, by the square of its size."""

FINDING = "mip_heuristic_run_rins", "mip_heuristic_run_rens", "mip_heuristic_run_root_reduced_cost"
"""Searches of the solver's for an answer, left out of large programmes: they take half the time, and none is asked for."""

Sizes = Sequence[tuple[int, int, bool]]
"""Width, length and whether it is whole, of every item."""


def divided_bound(problem: DividedProblem, *, bound: int, known: int, watch: Watch) -> int:
    """A length that no packing goes below: at least `bound`, at most `known`, which is the length of a packing.

    The solver takes for equal what differs by a millionth of the strip's width: who counts finer hands in a wider strip.
    """
    ways = [_Way(problem, sizes, known, watch) for sizes in _ways(problem)]
    top = min([known, *(way.low for way in ways if way.sums is None)]) if ways else bound
    ends = sorted({each for way in ways for each in way.sums or () if max(bound, way.low) <= each < top})
    first, last = 0, len(ends)
    while first < last and not watch.over():
        middle = (first + last) // 2
        open_yet = next((way for way in ways if not way.refuted(ends[middle], watch)), None)
        if open_yet is None:
            first = middle + 1
        else:
            last = middle
            ways.sort(key=lambda way: way is not open_yet)  # what could not be refuted is asked first of what is shorter
    return max(bound, ends[first] if first < len(ends) else top)


def _ways(problem: DividedProblem) -> list[Sizes]:
    """The items laid in each of their ways, first what has least area: it may go lowest."""
    turns = sorted({item.turn for item in problem.items})
    ways = [len(next(item for item in problem.items if item.turn == turn).sizes) for turn in turns]
    if math.prod(ways) > MOST_TURNS or problem.width <= problem.seam:
        return []
    found = []
    for chosen in product(*map(range, ways)):
        way = dict(zip(turns, chosen, strict=True))
        sizes = [(item.sizes[way[item.turn]], item.whole) for item in problem.items]
        told = [(size[0], size[1], whole) for size, whole in sizes if size is not None]
        if len(told) == len(sizes):
            found.append(told)
    return sorted(found, key=lambda sizes: _area(problem, sizes))


def _area(problem: DividedProblem, sizes: Sizes) -> int:
    return sum((width + problem.seam * problem.fewest(width)) * length for width, length, _ in sizes)


class _Way:
    """The items laid in one way: no packing of them is shorter than `low`, each ends at one of the `sums` (None: too many)."""

    def __init__(self, problem: DividedProblem, sizes: Sizes, known: int, watch: Watch) -> None:
        self._problem, self._sizes = problem, sizes
        area = -(-_area(problem, sizes) // problem.width)
        divided = [(width + problem.seam * problem.fewest(width), length) for width, length, _ in sizes]
        self.low = lines_bound(divided, problem.width, bound=area, known=known, watch=watch)
        self.sums = sums_of([length for _, length, _ in sizes], known, places=MOST_STARTS)
        self._refuted, self._left_open = self.low - 1, known

    def refuted(self, length: int, watch: Watch) -> bool:
        """True only if no packing is so short, or shorter; what was asked once isn't asked again."""
        end = max((each for each in self.sums or () if each <= length), default=0)
        if end <= self._refuted:
            return True
        if end >= self._left_open or watch.over():
            return False
        if _may_be(self._problem, self._sizes, end, self.sums or (), watch):
            self._left_open = end
            return False
        self._refuted = end
        return True


def _may_be(problem: DividedProblem, sizes: Sizes, length: int, sums: Sequence[int], watch: Watch) -> bool:
    """False only if no packing is so short."""
    starts = starts_of([long for _, long, _ in sizes], length, sums)
    columns = [(item, start) for item, each in enumerate(starts) for start in each]
    if {item for item, _ in columns} != set(range(len(sizes))):
        return False
    watch.count(max(1.0, len(columns) / EASY_STARTS) ** 1.5)
    programme = _Programme(problem.width, len(columns))
    for item, _ in columns:
        width, _, whole = sizes[item]
        least = min(width, width if whole else problem.least)
        programme.piece(least, min(width, problem.width))
    for item, (width, _, whole) in enumerate(sizes):
        of = [place for place, column in enumerate(columns) if column[0] == item]
        programme.needs(of, width, 0 if whole else problem.seam, whole=whole)
    for level in {start for _, start in columns}:
        programme.level([place for place, (item, start) in enumerate(columns) if start <= level < start + sizes[item][1]])
    return programme.may_be()


class _Programme:
    """Pieces that may be there or not, widths as shares of the strip's."""

    def __init__(self, width: int, starts: int) -> None:
        self._width = width
        self._solver = highspy.Highs()
        nodes = math.ceil(MOST_NODES * min(1.0, EASY_STARTS / starts) ** 2)
        for name, value in (("output_flag", False), ("threads", 1), ("mip_max_nodes", nodes), ("random_seed", 0)):
            self._solver.setOptionValue(name, value)
        for name in FINDING if starts > EASY_STARTS else ():
            self._solver.setOptionValue(name, False)

    def piece(self, least: int, most: int) -> None:
        """A piece: whether it is there, and how wide."""
        solver = self._solver
        column = solver.getNumCol()
        solver.addVar(0.0, 1.0)
        solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        solver.addVar(0.0, most / self._width)
        self._row(0.0, math.inf, [column + 1, column], [1.0, -least / self._width])
        self._row(-math.inf, 0.0, [column + 1, column], [1.0, -most / self._width])

    def needs(self, places: Sequence[int], width: int, seam: int, *, whole: bool) -> None:
        """An item is as wide as its pieces together, without what its divisions take; one that is whole is one piece."""
        there, wide = [2 * place for place in places], [2 * place + 1 for place in places]
        values = [1.0] * len(wide) + [-seam / self._width] * len(there)
        self._row((width - seam) / self._width, math.inf, [*wide, *there], values)
        self._row(1.0, 1.0 if whole else math.inf, there, [1.0] * len(there))

    def level(self, places: Sequence[int]) -> None:
        """The pieces at one level lie beside each other."""
        self._row(-math.inf, 1.0, [2 * place + 1 for place in places], [1.0] * len(places))

    def may_be(self) -> bool:
        """False only if it is proved that there is no answer."""
        self._solver.run()
        return bool(self._solver.getModelStatus() != highspy.HighsModelStatus.kInfeasible)

    def _row(self, low: float, high: float, columns: Sequence[int], values: Sequence[float]) -> None:
        low, high = max(low, -highspy.kHighsInf), min(high, highspy.kHighsInf)
        self._solver.addRow(low, high, len(columns), np.array(columns, dtype=np.int32), np.array(values))
