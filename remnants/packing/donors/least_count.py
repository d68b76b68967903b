"""How many like donors some rectangles need at least: bounds by dual feasible functions.

A dual feasible function resizes lengths so that whatever lay side by side in a donor still does. With widths resized by one and
lengths by another, the resized areas still lie in the resized donor: their sum over the donor's area is a bound. Families after
Fekete and Schepers (2001), Carlier, Clautiaux and Moukrim (2007) and Boschetti and Mingozzi (2003), as surveyed by Clautiaux,
Alves and Valério de Carvalho, Annals of Operations Research 179 (2010) (from memory).
"""

import math
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["least_donors"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_STEPS = 60
"""Values tried of the parameter of each family, beside the sizes themselves."""

DUST = 1e-9
"""What floats lose in sums of shares."""


def least_donors(sizes: Sequence[tuple[int, int]], width: int, length: int) -> int:
    """The least number of donors `width` x `length` for parts of these (width, length), not turned; whole numbers in one unit.

    Each part must fit in a donor. 0 for no parts.
    """
    if not sizes:
        return 0
    across = _resized(np.array([part[0] for part in sizes], dtype=np.int64), width)
    along = _resized(np.array([part[1] for part in sizes], dtype=np.int64), length)
    return math.ceil(float((across @ along.T).max()) - DUST)


def _resized(sizes: Ints, whole: int) -> Floats:
    """One row a function: every size as its share of the resized whole."""
    rows = [sizes / whole]
    rows += [_without_small(sizes, whole, least) for least in _thresholds(sizes, whole)]
    rows += [_in_steps(sizes, whole, step) for step in _steps(sizes, whole)]
    rows += [_in_shares(sizes, whole, count) for count in range(1, MOST_STEPS + 1)]
    rows += [_by_count(sizes, whole, least) for least in _thresholds(sizes, whole)]
    return np.unique(np.array(rows), axis=0)


def _thresholds(sizes: Ints, whole: int) -> list[int]:
    small = {int(size) for size in sizes if 2 * size <= whole}
    large = {whole - int(size) + 1 for size in sizes if 2 * size > whole}
    return sorted(least for least in small | large if 1 <= least <= whole // 2)


def _steps(sizes: Ints, whole: int) -> Iterable[int]:
    if whole // 2 <= 4 * MOST_STEPS:
        return range(1, whole // 2 + 1)
    parts = {whole // count + more for count in range(2, MOST_STEPS) for more in (0, 1)}
    return sorted(step for step in {*_thresholds(sizes, whole), *parts} if 1 <= step <= whole // 2)


def _without_small(sizes: Ints, whole: int, least: int) -> Floats:
    """What leaves less than `least` beside it takes the whole; what is smaller takes nothing."""
    kept = np.where(sizes > whole - least, whole, np.where(sizes >= least, sizes, 0))
    return np.asarray(kept / whole, dtype=np.float64)


def _in_steps(sizes: Ints, whole: int, step: int) -> Floats:
    """Small sizes rounded down to steps, large ones so that what they leave is rounded down."""
    most = whole // step
    counted = np.where(2 * sizes > whole, 2 * (most - (whole - sizes) // step), 2 * (sizes // step))
    return np.asarray(np.where(2 * sizes == whole, most, counted) / (2 * most), dtype=np.float64)


def _in_shares(sizes: Ints, whole: int, count: int) -> Floats:
    """Rounded down to shares of one in `count`, but for exact ones of one in `count` + 1."""
    times = (count + 1) * sizes
    shares = np.where(times % whole == 0, sizes / whole, (times // whole) / count)
    return np.asarray(shares, dtype=np.float64)


def _by_count(sizes: Ints, whole: int, least: int) -> Floats:
    """A part of middling size counts one, a large one as many of them as it keeps out, small ones nothing."""
    middling = np.cumsum(np.sort(sizes[(sizes >= least) & (2 * sizes <= whole)]))
    most = int(np.searchsorted(middling, whole, side="right"))
    if not most:
        return np.zeros(len(sizes))
    kept_out = most - np.searchsorted(middling, whole - sizes, side="right")
    counted = np.where(2 * sizes > whole, kept_out, np.where(sizes >= least, 1, 0))
    return np.asarray(counted / most, dtype=np.float64)
