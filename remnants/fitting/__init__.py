"""Fitting patches from pieces: a pure function of the job, the candidates, the rules and the seed."""

from remnants.fitting.check import check
from remnants.fitting.rules import Rules
from remnants.fitting.solve import fit

__all__ = ["Rules", "check", "fit"]
