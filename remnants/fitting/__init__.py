"""Fitting patches from pieces: a pure function of the job, the candidates, the rules and the seed.

What is offered here is loaded when it is first asked for: who asks for the rules alone waits for no search.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from remnants.fitting.rules import FitRules
    from remnants.fitting.sharing.search import Told
    from remnants.fitting.solve import TRIES, Known, contested, fit, fit_ways, weigh
    from remnants.fitting.telling.plan import BEST_POSSIBLE

__all__ = ["BEST_POSSIBLE", "TRIES", "FitRules", "Known", "Told", "contested", "fit", "fit_ways", "weigh"]

_HOMES = {
    "BEST_POSSIBLE": "telling.plan",
    "TRIES": "solve",
    "FitRules": "rules",
    "Known": "solve",
    "Told": "sharing.search",
    "contested": "solve",
    "fit": "solve",
    "fit_ways": "solve",
    "weigh": "solve",
}
"""The module of each name above."""

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
