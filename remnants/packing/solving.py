"""Running the exact solver so that a request to stop is heard while it works."""

from __future__ import annotations

import threading

from remnants.packing.exact_solver import cp_model
from remnants.packing.watch import Watch

__all__ = ["solve_watched"]

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
