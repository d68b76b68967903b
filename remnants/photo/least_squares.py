"""Figures that fit what was seen in a picture, with what is known of them beforehand, and how well they are known then.

Gauss-Newton with Levenberg's damping (K. Levenberg, Quarterly of Applied Mathematics 2, 1944). What is known beforehand counts as
measured with its own weight, so that what pictures do not tell widens the bars and never counts as known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.late import Late

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["NUDGE", "Beforehand", "Fit", "fitted", "slopes_of"]

CORNER_PX = 0.1
"""Standard deviation of a found corner before any is looked at (pixels)."""

CORNER_WEIGHT = 8.0
"""So many corners' worth of belief in it."""

_DAMPED, _TOO_DAMPED = 1e-3, 1e9
"""Share of each square's own weight that a first step is held back by, and from which no step gains any more."""

_STEPS = 60
_STILL = 1e-9
"""Share of the sum of squares that a step must still gain."""

NUDGE = 1e-5
"""Of a figure's own size, for slopes."""


@dataclass(frozen=True)
class Beforehand:
    """What is known of each figure before anything is looked at: what it is, and the weight (the inverse of the covariance)."""

    figures: Floats
    weight: Floats

    def cost(self, now: Floats) -> float:
        """How far figures are off it, as a sum of squares in standard deviations."""
        off = now - self.figures
        return float(off @ self.weight @ off)


@dataclass(frozen=True)
class Fit:
    """The figures that fit best, their covariance, what is left of each coordinate (pixels), the standard deviation of a corner,
    and how far the figures are off what was known, as a sum of squares in standard deviations."""

    figures: Floats
    covariance: Floats
    left: Floats
    corner_px: float
    known_cost: float


def fitted(
    off: Callable[[Floats], Floats],
    start: Floats,
    known: Beforehand,
    *,
    slopes: Callable[[Floats], Floats] | None = None,
    corner_px: float | None = None,
) -> Fit:
    """What fits best. `off` gives what is left of each coordinate (pixels), `slopes` how what is seen changes with each figure.

    How well corners are found is told by `corner_px`, else judged by what is left.
    """
    changes = slopes or (lambda now: slopes_of(off, now))
    figures, sd = start, corner_px or CORNER_PX
    for _ in range(1 if corner_px else 2):
        figures, slope, left = _least(off, changes, figures, known, sd)
        weighed = slope.T @ slope / sd**2
        used = float(np.trace(weighed @ np.linalg.inv(weighed + known.weight)))
        freedom = max(left.size - used, 1.0)
        if corner_px is None:
            sd = float(np.sqrt((left @ left + CORNER_WEIGHT * CORNER_PX**2) / (freedom + CORNER_WEIGHT)))
    weighed = slope.T @ slope / sd**2
    covariance = np.asarray(np.linalg.inv(weighed + known.weight), dtype=np.float64)
    return Fit(figures, covariance, left, sd, known.cost(figures))


def slopes_of(off: Callable[[Floats], Floats], figures: Floats) -> Floats:
    """How what is seen changes with each figure."""
    columns = []
    for at in range(len(figures)):
        step = NUDGE * max(1.0, abs(float(figures[at])))
        there, back = figures.copy(), figures.copy()
        there[at] += step
        back[at] -= step
        columns.append((off(back) - off(there)) / (2 * step))
    return np.column_stack(columns)


def _least(
    off: Callable[[Floats], Floats], slopes: Callable[[Floats], Floats], figures: Floats, known: Beforehand, corner_px: float
) -> tuple[Floats, Floats, Floats]:
    """The figures that fit best, the slopes of what is seen there, and what is left (pixels)."""
    damping = _DAMPED

    def cost(now: Floats, left: Floats) -> float:
        return float(left @ left) / corner_px**2 + known.cost(now)

    left = off(figures)
    best = cost(figures, left)
    slope = slopes(figures)
    for _ in range(_STEPS):
        square = slope.T @ slope / corner_px**2 + known.weight
        pull = slope.T @ left / corner_px**2 - known.weight @ (figures - known.figures)
        tried = figures + np.linalg.solve(square + damping * np.diag(np.diag(square)), pull)
        tried_left = off(tried)
        gained = best - (now := cost(tried, tried_left))
        if gained > 0:
            figures, left, best, damping = tried, tried_left, now, damping / 5
            slope = slopes(figures)
        else:
            damping *= 5
        if abs(gained) <= _STILL * best or damping > _TOO_DAMPED:
            break
    return figures, slope, left
