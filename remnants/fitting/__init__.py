"""Fitting patches from pieces: a pure function of the job, the candidates, the rules and the seed."""

from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.search import Told
from remnants.fitting.solve import TRIES, Known, contested, fit, fit_ways, weigh
from remnants.fitting.telling.plan import BEST_POSSIBLE

__all__ = ["BEST_POSSIBLE", "TRIES", "FitRules", "Known", "Told", "contested", "fit", "fit_ways", "weigh"]
