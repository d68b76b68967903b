"""Whether a piece is wide enough for two parts at all, in some direction: a figure that spares most linear programmes.

Two convex parts that don't overlap have a line between them. Square to it, the piece measures at least what both do together. The
low part only grows with the seam and the high one only shrinks, so from one place of the seam to the next they measure at least
what the low one does at the first and the high one at the second.
"""

import math
from itertools import pairwise

import numpy as np

from remnants.fitting.patch.least_needs import FORGIVEN_MM, Floats
from remnants.fitting.patch.shape import Shape, Split
from remnants.geometry.outline import TOLERANCE_MM, Ring, area_mm2
from remnants.geometry.shares import convex_shares
from remnants.geometry.turn import turned_ring

__all__ = ["may_lie_side_by_side", "widths_round"]

DIRECTIONS = 720
"""Directions in which parts and piece are measured, evenly over half a turn."""

STEPS = 6
"""Stretches of a family of seams that are looked at one after the other."""


def widths_round(ring: Ring) -> Floats:
    """What a ring measures (mm) in each of the directions, and last how long it is at most."""
    points = np.array(ring) - np.array(ring[0])
    widths = np.ptp(points @ _UNITS, axis=0)
    return np.append(widths, widths.max() / math.cos(_STEP_RAD / 2))


def may_lie_side_by_side(piece: Floats, split: Split, swing_deg: float, least: float, greatest: float) -> bool:
    """False if a piece (its `widths_round`) is nowhere wide enough for both parts, wherever the seam lies between two positions.

    The high part is swung by so many degrees clockwise. Of a part with inward corners its largest convex share is measured.
    """
    places = np.linspace(split.low, split.high, STEPS + 1).tolist()
    for low, high in pairwise(places):
        if high < least - TOLERANCE_MM or low > greatest + TOLERANCE_MM:
            continue
        one, two = split.halves(low)[0], split.halves(high)[1]
        taken = _least_widths(one, 0.0) + _least_widths(two, swing_deg)
        # between two directions each width changes by no more than its length times the angle
        spare = (taken[-1] + piece[-1]) * _STEP_RAD / 2 + FORGIVEN_MM
        if (taken[:-1] <= piece[:-1] + spare).any():
            return True
    return False


def _least_widths(half: Shape, swing_deg: float) -> Floats:
    """What a half measures with the least of its allowances all round; nothing where the seam lies on its end or pinches it."""
    if not half.is_simple:
        return np.zeros(DIRECTIONS + 1)
    share = max(convex_shares(half.ring), key=area_mm2)
    return widths_round(turned_ring(share, swing_deg) if swing_deg else share) + 2 * min(half.extras)


_STEP_RAD = math.pi / DIRECTIONS
_UNITS = np.array([[trig(step * _STEP_RAD) for step in range(DIRECTIONS)] for trig in (math.cos, math.sin)])
