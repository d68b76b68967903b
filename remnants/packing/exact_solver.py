"""The door to OR-Tools, which takes longer to load than most commands take to answer, and a solver that hears a request to stop.

`cp_model` and `pywraplp` are its modules of these names, loaded when they are first used.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.packing.watch import Watch

__all__ = ["cp_model", "pywraplp", "solve_watched"]

if TYPE_CHECKING:
    from ortools.linear_solver import pywraplp
    from ortools.sat.python import cp_model
else:
    cp_model = Late("ortools.sat.python.cp_model")
    pywraplp = Late("ortools.linear_solver.pywraplp")

LOOK_EVERY_SECONDS = 0.1


def solve_watched(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    watch: Watch,
    hearer: cp_model.CpSolverSolutionCallback | None = None,
) -> cp_model.CpSolverStatus:
    """Solves beside a look at the watch every tenth of a second; `hearer` hears of each better plan, in another thread.

    Limits of time and work are the caller's to set on the solver: the watch is asked only whether somebody wants to stop.
    Ctrl-C stays the caller's to hear.
    """
    solver.parameters.catch_sigint_signal = False
    result: list[cp_model.CpSolverStatus] = []
    thread = threading.Thread(target=lambda: result.append(solver.solve(model, hearer)))
    thread.start()
    try:
        while thread.is_alive():
            thread.join(LOOK_EVERY_SECONDS)
            if thread.is_alive() and watch.stopped():
                solver.stop_search()
    finally:  # whatever happens here, the solver is not left behind
        if thread.is_alive():
            solver.stop_search()
            thread.join()
    return result[0]
