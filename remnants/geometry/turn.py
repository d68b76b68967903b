"""Turning and moving. Turns are degrees clockwise about (0, 0); quarter turns swap and negate, so they are exact."""

import math
from collections.abc import Sequence

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring

__all__ = ["between", "levelled", "levelled_ring", "moved", "moved_ring", "turned", "turned_point", "turned_ring", "whole_turn"]

ANGLE_TOLERANCE_DEG = 1e-6
"""Bearings this near are equal: over 100 m of carpet it is 2 micrometres."""


def whole_turn(degrees: float) -> float:
    """The same turn in [0, 360), snapped to the quarter turn it is within the tolerance of."""
    turn = math.fmod(degrees, 360.0)
    turn = turn + 360.0 if turn < 0 else turn
    quarter = round(turn / 90.0) * 90.0
    turn = quarter if abs(turn - quarter) <= ANGLE_TOLERANCE_DEG else turn
    return 0.0 if turn >= 360.0 else turn


def between(start_deg: float, end_deg: float) -> float:
    """The turn in [0, 360) that brings bearing `start_deg` to `end_deg`."""
    return whole_turn(end_deg - start_deg)


def turned_point(point: Point, degrees: float) -> Point:
    """The point (mm) turned clockwise about (0, 0)."""
    return turned_ring((point,), degrees)[0]


def turned_ring(ring: Sequence[Point], degrees: float) -> Ring:
    """Every corner (mm) turned clockwise about (0, 0)."""
    match whole_turn(degrees):
        case 0.0:
            return tuple((x, y) for x, y in ring)
        case 90.0:
            return tuple((y, -x) for x, y in ring)
        case 180.0:
            return tuple((-x, -y) for x, y in ring)
        case 270.0:
            return tuple((-y, x) for x, y in ring)
        case turn:
            cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            return tuple((x * cos + y * sin, y * cos - x * sin) for x, y in ring)


def moved_ring(ring: Sequence[Point], shift: Point) -> Ring:
    """Every corner moved by `shift` (mm)."""
    return tuple((x + shift[0], y + shift[1]) for x, y in ring)


def turned(outline: Outline, degrees: float) -> Outline:
    """The outline and its cutouts turned clockwise about (0, 0)."""
    return Outline(turned_ring(outline.ring, degrees), tuple(turned_ring(ring, degrees) for ring in outline.cutouts))


def levelled_ring(ring: Sequence[Point]) -> Ring:
    """The ring (mm) with figures that differ by half the tolerance at most made one: what a turn by an odd angle left uneven.

    No corner moves by more than a quarter of the tolerance either way.
    """
    across, along = (_made_one({point[axis] for point in ring}) for axis in (0, 1))
    return tuple((across[x], along[y]) for x, y in ring)


def levelled(outline: Outline) -> Outline:
    """The outline and its cutouts, each levelled by itself."""
    return Outline(levelled_ring(outline.ring), tuple(levelled_ring(ring) for ring in outline.cutouts))


def _made_one(figures: set[float]) -> dict[float, float]:
    """For each figure the middle of those that are one with it."""
    alike: list[list[float]] = []
    for figure in sorted(figures):
        if alike and figure - alike[-1][0] <= TOLERANCE_MM / 2:
            alike[-1].append(figure)
        else:
            alike.append([figure])
    return {figure: (group[0] + group[-1]) / 2 if len(group) > 1 else figure for group in alike for figure in group}


def moved(outline: Outline, shift: Point) -> Outline:
    """The outline and its cutouts moved by `shift` (mm)."""
    return Outline(moved_ring(outline.ring, shift), tuple(moved_ring(ring, shift) for ring in outline.cutouts))
