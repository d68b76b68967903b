"""Pure geometry in millimetres, and the only importer of shapely and pyclipper: one module a kind of question."""

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, outline_of, rectangle, ring_of, round_outline

__all__ = ["TOLERANCE_MM", "Outline", "Point", "Ring", "outline_of", "rectangle", "ring_of", "round_outline"]
