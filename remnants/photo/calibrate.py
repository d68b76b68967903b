"""One lens out of several photographs of the marker page, each from elsewhere: its figures, and how well they are known.

All pictures share a focal length, a middle and two radial terms. Each has its own pose and its own curl of the page, and its own
small shift of focal length and middle: a phone focuses anew for each, and shifts its lens to steady the picture. The size of the
page does not matter here, as only angles count: so its check bar is not asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.model.phone_lens import LENS_FIGURES
from remnants.photo.camera import CAMERA, CURL, curled, project
from remnants.photo.detect import Found
from remnants.photo.least_squares import NUDGE, Beforehand, fitted
from remnants.photo.marker_page import corners_mm
from remnants.photo.solve import CURL_SD_MM, FREE_MM, FREE_RAD, Lens, Solved, middle_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["FOCUS_SD", "STEADY_SD", "SharedLens", "Shown", "lens_in", "shared_lens"]

FOCUS_SD = 0.0015
"""Standard deviation of the log of the focal length from picture to picture, as the phone focuses. By the thin lens (1/f = 1/a +
1/b) one of 5 to 7 mm that is focused at 0.8 m and at 1.7 m differs by 0.3 to 0.5 %, end to end."""

STEADY_SD = 0.002
"""That of the middle, in longer sides, as the phone steadies its lens: some 0.2 degrees (ours, no source)."""

_POSE, _SHIFT = 6, 3
_OWN = _POSE + CURL + _SHIFT
"""Figures of one picture: its pose, its page's curl, its shifts of focal length and middle."""


@dataclass(frozen=True)
class Shown:
    """A marker page in a picture of so many pixels (upright), by how many quarters to the right that was turned to be upright,
    and what the picture's own data say of its lens."""

    found: Found
    size: tuple[int, int]
    quarters: int
    lens: Lens


@dataclass(frozen=True)
class SharedLens:
    """The figures of a lens in longer sides and sensor axes, and their covariance, row by row."""

    figures: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]


def lens_in(figures: Sequence[float], covariance: Sequence[Sequence[float]], size: tuple[int, int], quarters: int | None) -> Lens:
    """What is known of the lens of one more picture: the figures of all, and how far one picture's own may be off.

    `quarters` is how far the picture was turned to be upright; None where nobody knows, and then its middle is not known either.
    """
    long = float(max(size))
    told, spread = np.asarray(figures, dtype=np.float64), np.array(covariance, dtype=np.float64)
    spread[[0, 1, 2], [0, 1, 2]] += np.square([FOCUS_SD, STEADY_SD, STEADY_SD])
    turn = np.eye(LENS_FIGURES)
    turn[1:3, 1:3] = _quarter(quarters or 0) * long
    told, spread = turn @ told, turn @ spread @ turn.T
    if quarters is None:
        far = float(np.trace(spread[1:3, 1:3])) + float(told[1:3] @ told[1:3])
        told[1:3], spread[1:3, :], spread[:, 1:3] = 0.0, 0.0, 0.0
        spread[[1, 2], [1, 2]] = far
    focal = float(np.exp(told[0]) * long)
    middle, curve = (float(told[1]), float(told[2])), (float(told[3]), float(told[4]))
    return Lens(focal, float(np.sqrt(spread[0, 0])), middle, None, curve, covariance=spread)


def shared_lens(views: Sequence[Shown], alone: Sequence[Solved]) -> SharedLens:
    """The lens that took these pictures; `alone` is each one's camera by itself, to begin with."""
    joined = _Joined(tuple(views), tuple(alone))
    fit = fitted(joined.off, joined.start(), joined.beforehand(), slopes=joined.slopes)
    spread = (fit.covariance + fit.covariance.T)[:LENS_FIGURES, :LENS_FIGURES] / 2
    figures = tuple(float(each) for each in fit.figures[:LENS_FIGURES])
    return SharedLens(figures, tuple(tuple(float(each) for each in row) for row in spread))


@dataclass(frozen=True)
class _Joined:
    """All pictures at once: five figures of the lens, then those of each picture."""

    views: tuple[Shown, ...]
    alone: tuple[Solved, ...]

    def start(self) -> Floats:
        """The lens as its data tell it, the poses and curls of each picture by itself."""
        told = self.views[0].lens
        figures = [np.array([np.log(told.focal_px / max(self.views[0].size)), 0.0, 0.0, 0.0, 0.0])]
        figures += [
            np.concatenate((one.figures[:_POSE], one.figures[CAMERA : CAMERA + CURL], np.zeros(_SHIFT))) for one in self.alone
        ]
        return np.concatenate(figures)

    def beforehand(self) -> Beforehand:
        """What is known of the lens by its data, and of each picture."""
        told, size = self.views[0].lens, self.views[0].size
        by_long = np.array([1.0, 1.0 / max(size), 1.0 / max(size), 1.0, 1.0])
        lens = told.covariance_in(size) * np.outer(by_long, by_long)
        own = [FREE_RAD] * 3 + [FREE_MM] * 3 + [CURL_SD_MM] * CURL + [FOCUS_SD, STEADY_SD, STEADY_SD]
        weight = np.diag(np.concatenate((np.ones(LENS_FIGURES), np.tile(np.array(own) ** -2.0, len(self.views)))))
        weight[:LENS_FIGURES, :LENS_FIGURES] = np.linalg.inv(lens)
        means = np.zeros(len(weight))
        means[0] = self.start()[0]
        return Beforehand(means, weight)

    def off(self, figures: Floats) -> Floats:
        """What is left of each corner, picture by picture."""
        return np.concatenate([self._off(at, figures) for at in range(len(self.views))])

    def slopes(self, figures: Floats) -> Floats:
        """How what is seen changes: with the lens in all pictures, with a picture's own figures in that one alone."""
        parts = []
        for at in range(len(self.views)):
            first = LENS_FIGURES + at * _OWN
            part = np.zeros((2 * len(self.views[at].found.corners), len(figures)))
            for column in (*range(LENS_FIGURES), *range(first, first + _OWN)):
                step = NUDGE * max(1.0, abs(float(figures[column])))
                there, back = figures.copy(), figures.copy()
                there[column] += step
                back[column] -= step
                part[:, column] = (self._off(at, back) - self._off(at, there)) / (2 * step)
            parts.append(part)
        return np.vstack(parts)

    def _off(self, at: int, figures: Floats) -> Floats:
        view, lens = self.views[at], figures[:LENS_FIGURES]
        own = figures[LENS_FIGURES + at * _OWN :][:_OWN]
        long = max(view.size)
        middle = (_quarter(view.quarters) @ (lens[1:3] + own[-2:])) * long
        focal = lens[0] + own[-_SHIFT] + np.log(long)
        camera = np.concatenate((own[:_POSE], [focal], middle, lens[3:5]))
        flat = corners_mm()[view.found.corners]
        points = np.column_stack((flat, curled(flat, own[_POSE : _POSE + CURL])))
        seen = project(camera, self.alone[at].base, points)
        return np.ravel(view.found.pixels - middle_of(view.size) - seen)


def _quarter(quarters: int) -> Floats:
    """What turns a direction (right, down) in the picture as stored to where it points once that was turned to the right."""
    cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
    return np.array([[cos, -sin], [sin, cos]], dtype=np.float64)
