"""Fitting patches from pieces: a pure function of the job, the candidates, the rules and the seed."""

from remnants.fitting.answer import BEST_POSSIBLE
from remnants.fitting.contested import contested
from remnants.fitting.rules import Rules
from remnants.fitting.sharing import Told
from remnants.fitting.solve import TRIES, fit, fit_ways

__all__ = ["BEST_POSSIBLE", "TRIES", "Rules", "Told", "contested", "fit", "fit_ways"]
