"""Is this ring a circle, and which? Lengths are mm."""

import math
from dataclasses import dataclass

from remnants.geometry.outline import Point, Ring

__all__ = ["Circle", "circle_of"]

FEWEST = 16
"""A polygon that stands for a circle has at least so many corners."""

ROUND_MM = 0.05
"""So little may the corners' distances from the middle differ: sums of floats leave far less, a hand's drawing far more."""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle by its centre and radius (mm)."""

    centre: Point
    radius_mm: float


def circle_of(ring: Ring) -> Circle | None:
    """The circle inside a regular polygon that stands for one (mm), touching each side; None for any other ring."""
    if len(ring) < FEWEST:
        return None
    x, y = (sum(point[axis] for point in ring) / len(ring) for axis in (0, 1))
    reaches = [math.dist((x, y), point) for point in ring]
    sides = [math.dist(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)]
    if max(reaches) - min(reaches) > ROUND_MM or max(sides) - min(sides) > ROUND_MM:
        return None
    return Circle((x, y), min(reaches) * math.cos(math.pi / len(ring)))
