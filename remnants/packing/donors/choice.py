"""The best choice among fillings already found: what each sort of part is worth by linear programming, and the exact choice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.packing.donors.kinds import Filling, Kinds, Lay
from remnants.packing.exact_solver import cp_model, pywraplp, solve_watched
from remnants.packing.watch import Watch

__all__ = ["Worth", "choose", "weigh"]

LEAST_SECONDS = 0.01
"""The solver takes no time limit of nothing."""

LEFT_OUT = 1000
"""What a part left out costs beside the dearest donor: more than any saving of donors."""


@dataclass(frozen=True, slots=True)
class Worth:
    """The best mix of fillings: its cost, what a part of each sort adds to it and one more donor of each kind (0 or less);
    each filling's share and cost over its worth."""

    cost: float
    of_sort: tuple[float, ...]
    of_kind: tuple[float, ...]
    shares: tuple[float, ...]
    excess: tuple[float, ...]


def weigh(
    kinds: Kinds, fillings: Sequence[Filling], *, wanted: Sequence[int] | None = None, there: Sequence[int] | None = None
) -> Worth:
    """The best mix of `fillings` when parts of them may be used, in the donors' unit of cost.

    It lays all parts on all donors, or so many of each sort as are `wanted`, and on so many donors of each kind as are `there`.
    """
    solver = pywraplp.Solver.CreateSolver("GLOP")
    goal = solver.Objective()
    wanted = kinds.demand if wanted is None else wanted
    holding = [solver.Constraint(count, solver.infinity()) for count in wanted]
    taking = [solver.Constraint(-solver.infinity(), count) for count in (kinds.supply if there is None else there)]
    dear = LEFT_OUT * max(kind.cost for kind in kinds.kinds)
    for row in holding:
        left_out = solver.NumVar(0, solver.infinity(), "")
        goal.SetCoefficient(left_out, dear)
        row.SetCoefficient(left_out, 1)
    columns = []
    for filling in fillings:
        column = solver.NumVar(0, solver.infinity(), "")
        goal.SetCoefficient(column, kinds.kinds[filling.kind].cost)
        taking[filling.kind].SetCoefficient(column, 1)
        for sort, count in Counter(filling.sorts).items():
            if wanted[sort]:
                holding[sort].SetCoefficient(column, min(count, wanted[sort]))
        columns.append(column)
    goal.SetMinimization()
    solver.Solve()
    return Worth(
        goal.Value(),
        tuple(max(row.dual_value(), 0.0) for row in holding),
        tuple(min(row.dual_value(), 0.0) for row in taking),
        tuple(column.solution_value() for column in columns),
        tuple(column.reduced_cost() for column in columns),
    )


def choose(kinds: Kinds, fillings: Sequence[Filling], *, rank: tuple[int, int], effort: float, watch: Watch) -> Lay | None:
    """The best plan made of `fillings` if one better than `rank` is found: (parts missing, cost).

    `effort` is in the solver's own deterministic seconds; the time of the `watch`, or somebody who asks to stop, ends it early.
    """
    model = cp_model.CpModel()
    dear = 1 + sum(kind.cost * len(kind.donors) for kind in kinds.kinds)
    used = [model.new_int_var(0, kinds.supply[filling.kind], "") for filling in fillings]
    missing = [model.new_int_var(0, count, "") for count in kinds.demand]
    holding: list[list[cp_model.LinearExprT]] = [[one] for one in missing]
    costs: list[cp_model.LinearExprT] = [dear * one for one in missing]
    of_kind: list[list[cp_model.IntVar]] = [[] for _ in kinds.kinds]
    for filling, count in zip(fillings, used, strict=True):
        costs.append(kinds.kinds[filling.kind].cost * count)
        of_kind[filling.kind].append(count)
        for sort, times in Counter(filling.sorts).items():
            holding[sort].append(times * count)
    for sort, wanted in enumerate(kinds.demand):
        model.add(sum(holding[sort]) >= wanted)
    for kind, counts in enumerate(of_kind):
        model.add(sum(counts) <= kinds.supply[kind])
    model.add(sum(costs) <= rank[0] * dear + rank[1] - 1)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort
    solver.parameters.max_time_in_seconds = max(LEAST_SECONDS, min(watch.seconds_left(), 1e6))
    if solve_watched(solver, model, watch) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return kinds.lay(filling for filling, count in zip(fillings, used, strict=True) for _ in range(solver.value(count)))
