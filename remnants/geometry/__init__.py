"""Pure geometry in millimetres, and the only importer of shapely and pyclipper: one module a kind of question."""

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, outline_of, rectangle, ring_of, round_outline
from remnants.geometry.rectangles import Rectangle, largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.staircase import Bounds, Screened, Staircase, Staircases, staircase_of

__all__ = [
    "TOLERANCE_MM",
    "Bounds",
    "Outline",
    "Point",
    "Rectangle",
    "Ring",
    "Screened",
    "Staircase",
    "Staircases",
    "largest_rectangle",
    "outline_of",
    "rectangle",
    "remainders",
    "ring_of",
    "round_outline",
    "staircase_of",
]
