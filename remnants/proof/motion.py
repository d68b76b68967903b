"""Turning, moving and repeating, as a plan means them: turns are degrees clockwise about (0, 0), lengths mm."""

import math
from collections.abc import Sequence

from remnants.proof.lines import Point, Ring

__all__ = ["apart_deg", "brought", "lattice_gap_mm", "turned"]


def turned(point: Point, degrees: float) -> Point:
    """The point turned clockwise about (0, 0)."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return point[0] * cos + point[1] * sin, point[1] * cos - point[0] * sin


def brought(ring: Sequence[Point], turn_deg: float, shift: Point) -> Ring:
    """The ring turned, then moved."""
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return tuple((x * cos + y * sin + shift[0], y * cos - x * sin + shift[1]) for x, y in ring)


def apart_deg(one_deg: float, two_deg: float) -> float:
    """The angle between two bearings, 0 to 180."""
    gap = math.fmod(abs(one_deg - two_deg), 360.0)
    return min(gap, 360.0 - gap)


def lattice_gap_mm(step: Point, across_mm: float, along_mm: float, drop: float) -> float:
    """From a step in the pile frame to the nearest whole number of repeats, each column `drop` of a repeat above the last."""
    first = math.floor(step[0] / across_mm)
    gaps = []
    for column in range(first - 1, first + 3):
        up = step[1] - column * drop * along_mm
        gaps.append(math.hypot(step[0] - column * across_mm, up - round(up / along_mm) * along_mm))
    return min(gaps)
