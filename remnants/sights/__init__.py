"""What of a repair will be seen: the seams, inside and round the patch, and the shade beside the floor. Pure."""

from remnants.sights.carpets import Carpet
from remnants.sights.grounds import Grounds, grade_of, grounds_of, points_in, show_of
from remnants.sights.runs import Run, Stretch, runs_round
from remnants.sights.surroundings import Surroundings, View

__all__ = [
    "Carpet",
    "Grounds",
    "Run",
    "Stretch",
    "Surroundings",
    "View",
    "grade_of",
    "grounds_of",
    "points_in",
    "runs_round",
    "show_of",
]
