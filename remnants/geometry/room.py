"""How wide or long a straight-sided part may be on a piece: the exact figure behind every threshold of a joined patch.

A rectangle is an upright line swept sideways. So the widest one of a given length is the longest level chord of the
region where an upright line of that length can stand.
"""

import numpy as np
from numpy.typing import NDArray

from remnants.geometry.lie import MICRONS, Ground, Paths, line_region
from remnants.geometry.outline import TOLERANCE_MM
from remnants.geometry.tolerances import MICROMETRES_MM

__all__ = ["room_for"]


def room_for(ground: Ground, axis: int, other_mm: float) -> float:
    """The largest extent (mm) along `axis` (0 = x, 1 = y) of a rectangle measuring `other_mm` along the other axis.

    Within the tolerance, in the ground's own axes; minus infinity if no rectangle of that other extent lies on the ground.
    """
    if ground.outline.is_rectangle:
        left, bottom, right, top = ground.outline.bounds
        extents = (right - left, top - bottom)
        return extents[axis] + TOLERANCE_MM - MICROMETRES_MM if other_mm <= extents[1 - axis] + TOLERANCE_MM else -np.inf
    left, bottom, right, top = ground.outline.bounds
    if other_mm > (top - bottom, right - left)[axis] + TOLERANCE_MM:
        return -np.inf
    return _longest_chord(line_region(ground, 1 - axis, other_mm), axis) - MICROMETRES_MM


def _longest_chord(paths: Paths, axis: int) -> float:
    """Longest chord along `axis` inside a region of the grid, mm."""
    if not paths:
        return -np.inf
    rings = [np.array(path, dtype=np.float64) for path in paths]
    starts = np.concatenate(rings)
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    levels = np.unique(starts[:, 1 - axis])
    if len(levels) < 2:
        return float(np.ptp(starts[:, axis])) / MICRONS
    return float(max(_chords(starts, ends, axis, levels[:-1], levels[1:]).max(initial=0.0), 0.0)) / MICRONS


def _chords(
    starts: NDArray[np.float64], ends: NDArray[np.float64], axis: int, lows: NDArray[np.float64], highs: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Chord lengths at the foot and the head of every slab between neighbouring corner levels."""
    low_end, high_end = np.minimum(starts[:, 1 - axis], ends[:, 1 - axis]), np.maximum(starts[:, 1 - axis], ends[:, 1 - axis])
    crossing = (low_end[None, :] <= lows[:, None]) & (high_end[None, :] >= highs[:, None]) & (high_end > low_end)[None, :]
    rise = np.where(high_end > low_end, ends[:, 1 - axis] - starts[:, 1 - axis], 1.0)
    slope = (ends[:, axis] - starts[:, axis]) / rise
    found = []
    middles = (lows + highs) / 2
    at_middle = np.where(crossing, starts[None, :, axis] + slope * (middles[:, None] - starts[None, :, 1 - axis]), np.inf)
    order = np.argsort(at_middle, axis=1, kind="stable")
    for level in (lows, highs):
        at = np.where(crossing, starts[None, :, axis] + slope * (level[:, None] - starts[None, :, 1 - axis]), np.inf)
        ordered = np.take_along_axis(at, order, axis=1)
        pairs = ordered.shape[1] // 2
        first, second = ordered[:, 0 : 2 * pairs : 2], ordered[:, 1 : 2 * pairs : 2]
        both = np.isfinite(second)
        found.append(np.where(both, second - np.where(both, first, 0.0), 0.0).ravel())
    return np.concatenate(found)
