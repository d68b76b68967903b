"""Fitting patches from pieces: a pure function of the job, the candidates, the rules and the seed."""

from remnants.fitting.check import check
from remnants.fitting.rules import Rules
from remnants.fitting.sharing import Told
from remnants.fitting.solve import TRIES, fit

__all__ = ["TRIES", "Rules", "Told", "check", "fit"]
