"""What would make a no a yes, or a yes show less? The changes that a technician can make, and the least of each that does."""

from remnants.fitting.bargains.levers import Beside
from remnants.fitting.bargains.outcome import made_by, without_names
from remnants.fitting.bargains.search import MOST_WORK, Answers, bargains_for
from remnants.fitting.bargains.sides import tape_step_mm

__all__ = ["MOST_WORK", "Answers", "Beside", "bargains_for", "made_by", "tape_step_mm", "without_names"]
