"""Lengths and outlines on the carpet, each with its bar: 95 of 100 truths lie within it.

Bar = 1.96 x the root of (what the camera may be off + what the taps may be off + what the page may be off), all as variances. No
number is given without it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.solve import Solved

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["TAP_SHARE", "Length", "MeasuredOutline", "Point", "length_between", "outline_through", "tap_px_of"]

Point = tuple[float, float]

NINETY_FIVE = 1.959964
"""Standard deviations within which 95 of 100 lie, of what is spread normally."""

TAP_SHARE = 0.00075
"""Standard deviation of a tap, each way, as a share of the picture's longer side: 3 pixels of 4000."""

PAGE_MM, PAGE_SHARE = 0.2, 0.00075
"""What the print of the page and the reading of its check bar leave of a length: so many mm, and such a share."""

DRAWS = 1000
"""So many outlines as they may as well be: the bar is that of the 950th, and hardly moves with more."""

_SLOPE_SHARE = 0.05
"""Of a figure's standard deviation: small enough that it counts as straight there, large enough for floats."""

_SLOPE_PX = 0.05


@dataclass(frozen=True, slots=True)
class Length:
    """A length and how far off it may be (mm)."""

    mm: float
    bar_mm: float

    def holds(self, truth_mm: float) -> bool:
        """Whether a length lies within the bar."""
        return abs(self.mm - truth_mm) <= self.bar_mm


@dataclass(frozen=True, slots=True)
class MeasuredOutline:
    """Corners on the carpet (mm, axes of the first page), how far any of them may lie off the true shape, and each side."""

    ring: tuple[Point, ...]
    bar_mm: float
    sides: tuple[Length, ...]

    def with_edge(self, edge_mm: float) -> MeasuredOutline:
        """The same where the edge that its corners lie on may itself be so far off (mm)."""
        sides = tuple(replace(side, bar_mm=math.hypot(side.bar_mm, edge_mm)) for side in self.sides)
        return replace(self, bar_mm=math.hypot(self.bar_mm, edge_mm), sides=sides)

    @property
    def extent(self) -> tuple[Length, Length]:
        """How far it reaches across and up; each end may be off by the bar."""
        spans = (max(axis) - min(axis) for axis in zip(*self.ring, strict=True))
        across, up = (Length(span, 2 * self.bar_mm) for span in spans)
        return across, up


def tap_px_of(size: tuple[int, int]) -> float:
    """The standard deviation of a tap in a picture of so many pixels."""
    return TAP_SHARE * max(size)


def length_between(view: Solved, one: Point, other: Point, *, tap_px: float, above_mm: float = 0.0) -> Length:
    """The length between two pixels on the carpet, or on the plane so far above it."""
    pixels = np.array([one, other], dtype=np.float64)

    def long(figures: Floats, at: Floats) -> Floats:
        (x, y), (u, v) = view.on_carpet(at, above_mm, figures)
        return np.array([np.hypot(u - x, v - y)])

    mm = float(long(view.figures, pixels)[0])
    by_figures, by_taps = _slopes(view, long, pixels)
    spread = float((by_figures @ view.covariance @ by_figures.T)[0, 0]) + tap_px**2 * float((by_taps @ by_taps.T)[0, 0])
    return Length(mm, _bar_mm(mm, spread))


def outline_through(view: Solved, corners: Sequence[Point], *, tap_px: float, above_mm: float = 0.0) -> MeasuredOutline:
    """The outline whose corners are these pixels. Its bar holds for all its corners at once, wherever the outline lies."""
    pixels = np.asarray(corners, dtype=np.float64)

    def flat(figures: Floats, at: Floats) -> Floats:
        return np.ravel(view.on_carpet(at, above_mm, figures))

    ring = flat(view.figures, pixels).reshape(-1, 2)
    by_figures, by_taps = _slopes(view, flat, pixels)
    middle = ring.mean(axis=0)
    spread = by_figures @ view.covariance @ by_figures.T + tap_px**2 * (by_taps @ by_taps.T)
    grown = np.ravel(ring - middle)[:, None]
    spread += PAGE_SHARE**2 * (grown @ grown.T) + (PAGE_MM**2 / 2) * np.eye(len(grown))
    held = _without_moves(ring - middle)
    told = tuple((float(x), float(y)) for x, y in ring)
    return MeasuredOutline(told, _all_within(held @ spread @ held.T), _sides(view, ring, by_figures, by_taps * tap_px))


def _sides(view: Solved, ring: Floats, by_figures: Floats, by_taps: Floats) -> tuple[Length, ...]:
    """Each side with its bar, by the slopes of the corners that it runs between."""
    sides = []
    for at, corner in enumerate(ring):
        after = (at + 1) % len(ring)
        mm = float(np.hypot(*(ring[after] - corner)))
        ahead = (ring[after] - corner) / max(mm, 1.0)
        own, taps = (ahead @ (by[2 * after : 2 * after + 2] - by[2 * at : 2 * at + 2]) for by in (by_figures, by_taps))
        sides.append(Length(mm, _bar_mm(mm, float(own @ view.covariance @ own) + float(taps @ taps))))
    return tuple(sides)


def _bar_mm(mm: float, spread: float) -> float:
    return NINETY_FIVE * float(np.sqrt(spread + (PAGE_MM + PAGE_SHARE * mm) ** 2))


def _slopes(view: Solved, told: Callable[[Floats, Floats], Floats], pixels: Floats) -> tuple[Floats, Floats]:
    """How what is told changes with each figure, and with each tapped pixel's x and y."""
    by_figures = []
    for at, sd in enumerate(np.sqrt(np.diag(view.covariance))):
        step = np.zeros(len(view.figures))
        step[at] = _SLOPE_SHARE * sd
        by_figures.append((told(view.figures + step, pixels) - told(view.figures - step, pixels)) / (2 * step[at]))
    by_taps = []
    for at in range(pixels.size):
        step = np.zeros(pixels.size)
        step[at] = _SLOPE_PX
        moved = step.reshape(pixels.shape)
        by_taps.append((told(view.figures, pixels + moved) - told(view.figures, pixels - moved)) / (2 * _SLOPE_PX))
    return np.column_stack(by_figures), np.column_stack(by_taps)


def _without_moves(own: Floats) -> Floats:
    """What takes out of shifts of corners the part that only moves and turns the whole outline."""
    count = len(own)
    across, up = np.tile([1.0, 0.0], count), np.tile([0.0, 1.0], count)
    turned = np.ravel(np.column_stack((-own[:, 1], own[:, 0])))
    moves, _ = np.linalg.qr(np.column_stack((across, up, turned)))
    return np.asarray(np.eye(2 * count) - moves @ moves.T)


def _all_within(spread: Floats) -> float:
    """How far the corner that is furthest off lies in 95 of 100 draws (mm). The draws are the same each time."""
    values, axes = np.linalg.eigh(spread)
    chance = np.random.default_rng(DRAWS).standard_normal((DRAWS, len(values)))
    drawn = (chance * np.sqrt(np.maximum(values, 0.0))) @ axes.T
    furthest = np.hypot(drawn[:, 0::2], drawn[:, 1::2]).max(axis=1)
    return float(np.quantile(furthest, 0.95))
