"""What the part beside a seam takes at the least, there and wherever further on the seam lies: figures that cost next to nothing.

As the seam moves on, a part's net only grows, and its cut holds all that lies as near to the net as the least of its allowances.
So what net and strips measure with the seam at one place is a lower bound for every place further on. A donor that measures less
can't fill the split up to there; exact work goes to those that are left.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from remnants.fitting.patch.shape import Axis, Shape, Split
from remnants.geometry.grow import area_around_mm2, edge_strip
from remnants.geometry.outline import TOLERANCE_MM, Ring, area_mm2

__all__ = ["DIRECTIONS", "FORGIVEN_MM", "Needs", "directions", "ends_at", "needs_along", "widths_of"]

Floats = NDArray[np.float64]

DIRECTIONS = 8
"""Directions in which parts and donors are measured, evenly over half a turn: across the pile first, along it in the middle."""

FORGIVEN_MM = 4 * TOLERANCE_MM
"""What a piece measures more in any direction once it is grown by half the tolerance, corners mitred, and a grid's rounding."""

STEP_MM = 100.0
"""How far apart a part is measured along a family of seams, at the least."""

MOST_STEPS = 16
"""Places at which a part is measured along a family of seams, at most, beside the first one."""


@dataclass(frozen=True, eq=False)
class Needs:
    """What a part takes at the least with the seam at each of some `places` or further on, the nearest place first.

    `least` has a column for its width in each of the directions (mm) and one for its area (mm²); each column only rises.
    """

    places: Floats
    least: Floats


def directions(turn_deg: float = 0.0) -> Floats:
    """Unit vectors of the directions as they lie in the axes of what a turn (clockwise) brings to the pile frame: (2, n)."""
    steps = np.arange(DIRECTIONS) * (math.pi / DIRECTIONS) + math.radians(turn_deg)
    return np.array([np.cos(steps), np.sin(steps)])


def widths_of(points: Floats) -> Floats:
    """Extent of the points (n, 2) in each of the directions, mm."""
    widths: Floats = np.ptp(points @ _DIRECTIONS, axis=0)
    return widths


_DIRECTIONS = directions()


def needs_along(split: Split, near: float, far: float, *, low: bool, most: int = MOST_STEPS) -> Needs:
    """What the low part of a split takes, or its high one, with the seam at `near` (mm) and at up to `most` places to `far`."""
    steps = min(most, MOST_STEPS, math.ceil(abs(far - near) / STEP_MM))
    places = np.linspace(near, far, steps + 1)
    return Needs(places, np.maximum.accumulate([_taken(split, float(at), low=low) for at in places]))


def ends_at(needs: Needs, column: int, have: Floats, counts: NDArray[np.int64]) -> Floats:
    """How far the seam may go (mm) until the part takes more than the donors `have` in a direction; NaN where that isn't told.

    `counts`: at how many of the places each has enough. Between two places the part's corners move straight, so what it takes
    rises ever faster: it never falls below the line through two places before, nor through two after. At the first place and at
    the last one, where the seam meets a corner of the patch, it may be less.
    """
    places, least = needs.places, needs.least[:, column]
    found = np.full(len(have), np.nan)
    for on_line, beside, may in (
        (counts - 1, counts - 2, counts > 2),
        (counts, counts + 1, (counts > 0) & (counts + 2 < len(places))),
    ):
        one, two = on_line[may], beside[may]
        rises = (least[one] - least[two]) / (places[one] - places[two])
        with np.errstate(divide="ignore", invalid="ignore"):
            ends = np.where(rises != 0, places[one] + (have[may] - least[one]) / rises, np.nan)
        found[may] = (np.fmin if places[-1] > places[0] else np.fmax)(found[may], ends)
    return found


def _taken(split: Split, at: float, *, low: bool) -> Floats:
    if (at, low) not in split.measured:
        split.measured[at, low] = _least(split, at, low=low)
    return split.measured[at, low]


def _least(split: Split, at: float, *, low: bool) -> Floats:
    """What the part takes with the seam at a position or further on: widths in the directions, and area."""
    half = split.halves(at)[0 if low else 1]
    points = np.array([*half.ring, *_strips(half, split.axis, at)])
    least_mm = min(half.extras)
    widths = np.maximum(widths_of(points), widths_of(np.array(half.ring)) + 2 * least_mm)
    begins, ends, seam_mm = points[:, split.axis].min(), points[:, split.axis].max(), split.shape.allowance.seam_mm
    # the strip of the seam itself moves with it, so it counts along the axis alone
    extent = max(ends, at + seam_mm) - begins if low else ends - min(begins, at - seam_mm)
    column = 0 if split.axis is Axis.ACROSS else DIRECTIONS // 2
    widths[column] = max(widths[column], extent)
    return np.append(widths, _area(half, least_mm))


def _strips(half: Shape, axis: Axis, at: float) -> Ring:
    """The corners of the strips outside the edges that don't lie along the seam: as the seam moves on, these stay."""
    found: list[tuple[float, float]] = []
    for index, extra in enumerate(half.extras):
        start, end = half.ring[index], half.ring[(index + 1) % len(half.ring)]
        if max(abs(start[axis] - at), abs(end[axis] - at)) > TOLERANCE_MM:
            found += edge_strip(half.ring, index, extra)[1:3]
    return tuple(found)


def _area(half: Shape, least_mm: float) -> float:
    """The area of all that lies as near to the net as its least allowance, mm²; a rounded corner counts a little less."""
    if not (least_mm and half.is_simple):
        return abs(area_mm2(half.ring))
    return area_around_mm2(half.ring, least_mm)
