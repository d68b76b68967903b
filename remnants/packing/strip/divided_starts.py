"""A shorter way to divide and pack a few items: first where pieces begin along the strip and how wide, then side by side.

A beam gives a piece the width of a gap or of what is left. In a short packing of few items widths may follow only from each
other: so they are unknowns here. A model of whole numbers says which piece begins where and how wide it is, so that at every
level all go side by side; another one lays just those beside each other, their widths open again. Where that can't be, the first
is asked for other places.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.packing.exact_solver import cp_model, solve_watched
from remnants.packing.strip.divided import Divided, DividedProblem, Piece
from remnants.packing.strip.starts import starts_of, sums_of
from remnants.packing.watch import Watch

__all__ = ["shorten_by_starts"]

MOST_STARTS = 900
"""Places at which a piece may begin that is pushed to one end, all items together, beyond which nothing is looked for."""

LEAST_UNIT = 1000
"""Widths are whole numbers of this, or of the problem's step if that is more: of a millimetre, where its unit is a thousandth."""

GAP_SHARE = 0.25
"""Of the gap between the length and the bound, what each packing looked for is to save at least."""

FEWEST_WORK, CHOOSING_WORK, LAYING_WORK = 2.0, 0.15, 0.3
"""The solver's own seconds at most for where the fewest pieces begin, for where so many do, and for laying them side by side."""

WORK_PER_TRY = 0.1
"""The solver's own seconds that count as a try."""

MORE_PIECES, MOST_LAYINGS = (None, 3, 4, 5), 3
"""Pieces beyond those that the items can't do without (None: as few as can be); how many sets of places are laid with each."""

PIECES_A_PLACE = 2
"""Pieces of an item that may begin at one place."""

Chosen = Mapping[tuple[int, int], int]
"""Item and place where a piece begins, and how wide (units)."""


def shorten_by_starts(
    problem: DividedProblem, ways: Sequence[int], *, shorter_than: int, bound: int, watch: Watch
) -> Divided | None:
    """A packing under `shorter_than`, each item laid in that one of its ways; None when none turned up.

    The lengths looked for are at least `bound`, each a quarter nearer to it; after the first that is not found it stops.
    """
    model = _Sizes.of(problem, ways)
    sums = sums_of(model.lengths, shorter_than - 1, places=MOST_STARTS)
    found, end = None, shorter_than
    while sums is not None and not watch.over():
        length = max((each for each in sums if each <= min(end - 1, end - GAP_SHARE * (end - bound))), default=0)
        shorter = model.packing(length, sums, watch) if length >= bound else None
        if shorter is None:
            break
        found, end = Divided(shorter, length), length
    return found


@dataclass(frozen=True)
class _Sizes:
    """The items in their ways: widths in units, lengths in the problem's own."""

    ways: Sequence[int]
    widths: Sequence[int]
    lengths: Sequence[int]
    whole: Sequence[bool]
    room: int
    seam: int
    least: int
    unit: int
    fewest: int
    """Pieces that all items together can't do without."""

    @staticmethod
    def of(problem: DividedProblem, ways: Sequence[int]) -> _Sizes:
        unit = problem.step * -(-LEAST_UNIT // problem.step)
        sizes = [item.sizes[way] or (0, 0) for item, way in zip(problem.items, ways, strict=True)]
        return _Sizes(
            ways,
            [-(-width // unit) for width, _ in sizes],
            [length for _, length in sizes],
            [item.whole for item in problem.items],
            problem.width // unit,
            -(-problem.seam // unit),
            -(-problem.least // unit) + 1,
            unit,
            sum(1 + problem.fewest(width) for width, _ in sizes),
        )

    def packing(self, length: int, sums: Sequence[int], watch: Watch) -> tuple[Piece, ...] | None:
        """A packing no longer than that."""
        left_out: list[Chosen] = []
        for more in MORE_PIECES:
            starts = _Starts(self, length, sums, None if more is None else self.fewest + more)
            for each in left_out:
                starts.leave_out(each)
            for _ in range(MOST_LAYINGS):
                chosen = None if watch.over() else starts.chosen(watch)
                if not chosen:
                    break
                pieces = self._side_by_side(chosen, watch)
                if pieces:
                    return pieces
                starts.leave_out(chosen)
                left_out.append(chosen)
        return None

    def add_widths(
        self, model: cp_model.CpModel, item: int, there: Sequence[cp_model.IntVar | int], wide: Sequence[cp_model.IntVar]
    ) -> None:
        """An item's pieces are as wide as it is with what its divisions take; one that is whole is one piece."""
        count: cp_model.LinearExpr | int = sum(there)
        model.add(sum(wide) == self.widths[item] + self.seam * (count - 1))
        if self.whole[item]:
            model.add(count == 1)

    def narrowest(self, item: int) -> int:
        """A piece of it is at least so wide."""
        return self.widths[item] if self.whole[item] else min(self.widths[item], self.least)

    def _side_by_side(self, chosen: Chosen, watch: Watch) -> tuple[Piece, ...] | None:
        """Pieces that begin at those places, each perhaps as two."""
        model = cp_model.CpModel()
        scale = math.gcd(*self.lengths, *(start for _, start in chosen))
        across, along = [], []
        pieces: list[tuple[int, int, cp_model.IntVar, cp_model.IntVar, cp_model.IntVar]] = []
        for item, start in sorted(chosen):
            for place in range(PIECES_A_PLACE):
                there = model.new_bool_var("")
                if not place:
                    model.add(there == 1)
                x, wide, far = (model.new_int_var(0, self.room, "") for _ in range(3))
                model.add(wide >= self.narrowest(item)).only_enforce_if(there)
                model.add(wide == 0).only_enforce_if(~there)
                across.append(model.new_optional_interval_var(x, wide, far, there, ""))
                along.append(model.new_optional_fixed_size_interval_var(start // scale, self.lengths[item] // scale, there, ""))
                pieces.append((item, start, x, wide, there))
        for item in range(len(self.widths)):
            of = [piece for piece in pieces if piece[0] == item]
            self.add_widths(model, item, [piece[4] for piece in of], [piece[3] for piece in of])
        model.add_no_overlap_2d(across, along)
        model.minimize(sum(piece[4] for piece in pieces))
        solver = _solved(model, watch, LAYING_WORK)
        if solver is None:
            return None
        return tuple(
            Piece(item, self.ways[item], solver.value(x) * self.unit, start, solver.value(wide) * self.unit)
            for item, start, x, wide, there in pieces
            if solver.value(there)
        )


class _Starts:
    """Where pieces begin on a strip of one length, and how wide they are: so many at most, or as few as can be."""

    def __init__(self, sizes: _Sizes, length: int, sums: Sequence[int], most_pieces: int | None) -> None:
        self._model = model = cp_model.CpModel()
        self._pieces: dict[tuple[int, int], tuple[cp_model.IntVar, cp_model.IntVar]] = {}
        places = starts_of(sizes.lengths, length, sums)
        for item, starts in enumerate(places):
            most = min(sizes.widths[item], sizes.room)
            of = []
            for start in starts:
                there, wide = model.new_bool_var(""), model.new_int_var(0, most, "")
                model.add(wide >= sizes.narrowest(item)).only_enforce_if(there)
                model.add(wide <= most * there)
                of.append((there, wide))
                self._pieces[item, start] = there, wide
            sizes.add_widths(model, item, [there for there, _ in of], [wide for _, wide in of])
        for level in sorted({start for starts in places for start in starts}):
            beside = [wide for (item, start), (_, wide) in self._pieces.items() if start <= level < start + sizes.lengths[item]]
            model.add(sum(beside) <= sizes.room)
        count = sum(there for there, _ in self._pieces.values())
        self._work = FEWEST_WORK if most_pieces is None else CHOOSING_WORK
        if most_pieces is None:
            model.minimize(count)
        else:
            model.add(count <= most_pieces)

    def chosen(self, watch: Watch) -> Chosen | None:
        """The pieces of an answer; None where none was found."""
        solver = _solved(self._model, watch, self._work)
        if solver is None:
            return None
        return {place: solver.value(wide) for place, (there, wide) in self._pieces.items() if solver.value(there)}

    def leave_out(self, chosen: Chosen) -> None:
        """No answer has all of these again."""
        self._model.add(sum(self._pieces[place][0] for place in chosen) < len(chosen))


def _solved(model: cp_model.CpModel, watch: Watch, most_work: float) -> cp_model.CpSolver | None:
    """The solver with the best answer found, the same each time; None where there is none."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = min(most_work, WORK_PER_TRY * watch.tries_left())
    if math.isfinite(watch.seconds_left()):
        solver.parameters.max_time_in_seconds = watch.seconds_left()
    status = solve_watched(solver, model, watch)
    watch.count(solver.response_proto.deterministic_time / WORK_PER_TRY)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
