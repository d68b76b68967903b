"""The exact side: a constraint model of the strip, which shortens a packing or proves that nothing is shorter."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from remnants.packing.exact_solver import cp_model, solve_watched
from remnants.packing.strip.problem import Item, Lattice, StripProblem
from remnants.packing.watch import Watch

__all__ = ["Drive", "Found", "shorten"]

Corners = Sequence[tuple[int, int]]

MOST_STEPS = 1_000_000
"""More repeats than any roll has."""

EFFORT_PER_TRY = 0.02
"""Work that counts as one try, in the solver's own deterministic seconds."""


WORKERS = 8
"""The solver's own ways to work differ by worker; eight of them prove far more than two, on two cores too."""


class Drive(Enum):
    """How the solver works. FIND and PROVE, one worker each, do the same every time; ALL is stronger and may not.

    The solver can also take turns between workers in a settled order, but version 9.15 then ends the whole program
    ("Check failed: heuristics.fixed_search") on models that turn out impossible as they are loaded.
    """

    FIND = "find"
    PROVE = "prove"
    ALL = "all"


@dataclass(frozen=True)
class Found:
    """The best packing found (None when none was shorter than asked) and a proved bound, in the problem's unit."""

    corners: tuple[tuple[int, int], ...] | None
    bound: int


def shorten(
    problem: StripProblem,
    *,
    best: Corners,
    length: int,
    bound: int,
    watch: Watch,
    seed: int,
    drive: Drive,
    told: Callable[[int, int], None],
) -> Found:
    """Looks for a packing shorter than `length`, of which `best` are the corners; `bound` is a known lower bound.

    `told(length, bound)` hears of every better plan. Ends when the watch is over.
    """
    scale = _Scale(problem)
    if scale.up(bound) > scale.down(length - 1):  # every end is a multiple of the scale, and none lies between
        return Found(None, length)
    model = cp_model.CpModel()
    span = model.new_int_var(scale.up(bound), scale.down(length - 1), "length")
    xs, ys = _lay_out(model, problem, scale, span)
    model.minimize(span)
    for x, y, corner in zip(xs, ys, best, strict=True):
        model.add_hint(x, corner[0] // scale.across)
        model.add_hint(y, corner[1] // scale.along)
    solver = cp_model.CpSolver()
    _set_up(solver, drive, watch, seed)
    hearer = _hearer(lambda got, low: told(got * scale.along, low * scale.along))
    status = solve_watched(solver, model, watch, hearer)
    watch.count(math.ceil(solver.response_proto.deterministic_time / EFFORT_PER_TRY))
    if status == cp_model.INFEASIBLE:
        return Found(None, length)
    proved = min(length, max(bound, math.ceil(solver.best_objective_bound) * scale.along))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(None, proved)
    corners = tuple((solver.value(x) * scale.across, solver.value(y) * scale.along) for x, y in zip(xs, ys, strict=True))
    return Found(corners, proved)


class _Scale:
    """Whole numbers divided by what they have in common: the solver is quicker on small ones."""

    def __init__(self, problem: StripProblem) -> None:
        lattices = [item.lattice for item in problem.items if item.lattice]
        self.across = math.gcd(*(item.width for item in problem.items), *(n for each in lattices for n in (each.x0, each.across)))
        along = (n for each in lattices for n in (each.y0, each.along, each.drop))
        self.along = math.gcd(*(item.length for item in problem.items), *along)

    def up(self, length: int) -> int:
        return -(-length // self.along)

    def down(self, length: int) -> int:
        return length // self.along


def _lay_out(
    model: cp_model.CpModel, problem: StripProblem, scale: _Scale, span: cp_model.IntVar
) -> tuple[list[cp_model.IntVar], list[cp_model.IntVar]]:
    """Corner variables of every item, kept apart and within the strip."""
    xs, ys, wide, long = [], [], [], []
    room = problem.width // scale.across
    reach = scale.up(sum(item.length for item in problem.items)) + max((_along(item) for item in problem.items), default=0)
    for index, item in enumerate(problem.items):
        width, length = item.width // scale.across, item.length // scale.along
        x = model.new_int_var(0, room - width, f"x{index}")
        y = model.new_int_var(0, reach, f"y{index}")
        model.add(y + length <= span)
        if item.lattice:
            _tie(model, item.lattice, x, y, scale)
        wide.append(model.new_fixed_size_interval_var(x, width, f"wide{index}"))
        long.append(model.new_fixed_size_interval_var(y, length, f"long{index}"))
        xs.append(x)
        ys.append(y)
    model.add_no_overlap_2d(wide, long)
    model.add_cumulative(long, [item.width // scale.across for item in problem.items], room)
    model.add_cumulative(wide, [item.length // scale.along for item in problem.items], span)
    _order_equals(model, problem.items, xs, ys, room + 1)
    return xs, ys


def _along(item: Item) -> int:
    return item.lattice.along if item.lattice else 0


def _tie(model: cp_model.CpModel, lattice: Lattice, x: cp_model.IntVar, y: cp_model.IntVar, scale: _Scale) -> None:
    """Keeps a corner on its lattice."""
    across = model.new_int_var(0, MOST_STEPS, "")
    along = model.new_int_var(-MOST_STEPS, MOST_STEPS, "")
    model.add(x * scale.across == lattice.x0 + lattice.across * across)
    model.add(y * scale.along == lattice.y0 + lattice.drop * across + lattice.along * along)


def _order_equals(
    model: cp_model.CpModel, items: Sequence[Item], xs: Sequence[cp_model.IntVar], ys: Sequence[cp_model.IntVar], base: int
) -> None:
    """Equal items may change places without any change to the plan: only one order is looked at."""
    last: dict[Item, int] = {}
    for index, item in enumerate(items):
        if item in last:
            before = last[item]
            model.add(ys[before] * base + xs[before] <= ys[index] * base + xs[index])
        last[item] = index


def _set_up(solver: cp_model.CpSolver, drive: Drive, watch: Watch, seed: int) -> None:
    parameters = solver.parameters
    parameters.random_seed = seed
    parameters.num_workers = WORKERS if drive is Drive.ALL else 1
    parameters.optimize_with_lb_tree_search = drive is Drive.PROVE
    if math.isfinite(watch.seconds_left()):
        parameters.max_time_in_seconds = watch.seconds_left()
    if math.isfinite(watch.tries_left()):
        parameters.max_deterministic_time = watch.tries_left() * EFFORT_PER_TRY


def _hearer(told: Callable[[int, int], None]) -> cp_model.CpSolverSolutionCallback:
    """Tells `told` of every better plan. Its class is made here: made with the module, it would load the solver with it."""

    class Hearer(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            told(round(self.objective_value), math.ceil(self.best_objective_bound))

    return Hearer()
