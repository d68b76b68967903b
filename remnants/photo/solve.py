"""Where the camera was, and how well that is known: a least-squares fit with what is known beforehand, and its covariance.

What is known beforehand counts as measured with its own standard deviation, so that what a picture does not tell (the lens, where
a page takes a tenth of it) widens the bars and never counts as known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.camera import CAMERA, CURL, FURTHER, curled, on_plane, project, turn_of
from remnants.photo.detect import Found
from remnants.photo.least_squares import Beforehand, fitted
from remnants.photo.marker_page import BOARD_MM, corners_mm

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["Lens", "Solved", "middle_of", "solved"]

MIDDLE_SHARE = 0.01
"""Standard deviation of the lens's middle, as a share of the picture's longer side."""

CURVE_SD, CURVE_FURTHER_SD = 0.02, 0.008
"""Standard deviations of the two radial terms: what a phone's own correction leaves (ours, no source)."""

CURL_SD_MM = 0.8
"""Standard deviation of each term of a page's curl on a clipboard (mm; ours, no source)."""

FREE_MM, FREE_RAD = 1e6, 1e3
"""Standard deviations of what is not known beforehand at all."""


@dataclass(frozen=True)
class Lens:
    """What is known of a lens beforehand: its focal length in pixels and the standard deviation of its logarithm, the middle and
    the two radial terms, each with its standard deviation. `covariance` of these five counts in their place where it is known."""

    focal_px: float
    focal_sd: float
    middle_px: tuple[float, float] = (0.0, 0.0)
    middle_sd_px: float | None = None
    curve: tuple[float, float] = (0.0, 0.0)
    curve_sd: tuple[float, float] = (CURVE_SD, CURVE_FURTHER_SD)
    covariance: Floats | None = None

    @property
    def figures(self) -> Floats:
        """As in a camera: the log of the focal length, the middle, the radial terms."""
        return np.array([np.log(self.focal_px), *self.middle_px, *self.curve])

    def covariance_in(self, size: tuple[int, int]) -> Floats:
        """That of its figures, in a picture of so many pixels."""
        if self.covariance is not None:
            return self.covariance
        middle_sd = MIDDLE_SHARE * max(size) if self.middle_sd_px is None else self.middle_sd_px
        return np.diag(np.square([self.focal_sd, middle_sd, middle_sd, *self.curve_sd]))


@dataclass(frozen=True)
class Solved:
    """The camera of a picture: its figures, their covariance, and what tells whether to believe them.

    `figures` are those of the camera, then of the first page's curl, then of each further page. `page_mm` tells by page the true
    size of its board. Pixels count from the upper left pixel's middle.
    """

    size: tuple[int, int]
    pages: tuple[int, ...]
    figures: Floats
    base: Floats
    covariance: Floats
    rms_px: float
    curls_mm: tuple[float, ...]
    scales: tuple[float, ...]
    focal_sds: float
    """How many standard deviations the focal length is off what was known beforehand."""
    corner_px: float = 0.0
    corners: int = 0
    known_cost: float = 0.0
    """The standard deviation of a corner, how many were seen, and how far the figures are off what was known beforehand, as a sum
    of squares in standard deviations."""

    def cost(self, corner_px: float) -> float:
        """How far what was seen and what was known are off together, as a sum of squares, where a corner is off by so much."""
        return self.corners * (self.rms_px / corner_px) ** 2 + self.known_cost

    @property
    def tilt_deg(self) -> float:
        """How far the camera looks away from straight down."""
        turn = turn_of(self.figures[:3]) @ self.base
        return float(np.degrees(np.arccos(min(1.0, abs(turn[2, 2])))))

    @property
    def lens_mm(self) -> float:
        """How far the lens is from the middle of the first page."""
        return float(np.linalg.norm(self.figures[3:6]))

    def on_carpet(self, pixels: Floats, above_mm: float = 0.0, figures: Floats | None = None) -> Floats:
        """Where pixels lie on the plane so far above the carpet (rows of x, y in mm, axes of the first page)."""
        camera = (self.figures if figures is None else figures)[:CAMERA]
        return on_plane(camera, self.base, pixels - middle_of(self.size), above_mm)

    def middles_mm(self) -> Floats:
        """The middle of each page on the carpet, and its turn: rows of x, y (mm) and radians."""
        rows = [np.zeros(FURTHER)]
        for at in range(1, len(self.pages)):
            start = CAMERA + CURL + (at - 1) * (FURTHER + CURL)
            rows.append(self.figures[start : start + FURTHER])
        return np.asarray(rows)


def middle_of(size: tuple[int, int]) -> Floats:
    """The middle of a picture of so many pixels across and down."""
    return np.array([(size[0] - 1) / 2, (size[1] - 1) / 2])


def solved(
    found: Sequence[Found], size: tuple[int, int], lens: Lens, scales: Mapping[int, float], *, corner_px: float | None = None
) -> Solved:
    """The camera that took a picture of pages. `scales` tells by page the true length of a mm as drawn.

    `corner_px` is how well corners are found, where that is known; else it is judged by what is left.
    """
    pages = tuple(each.page for each in found)
    flats = [corners_mm()[each.corners] * scales[each.page] for each in found]
    pixels = [each.pixels - middle_of(size) for each in found]
    start, base = _start(flats, pixels, lens)
    seen = np.concatenate(pixels)

    def off(now: Floats) -> Floats:
        return np.ravel(seen - _seen(now, base, flats))

    fit = fitted(off, start, _beforehand(lens, size, len(found)), corner_px=corner_px)
    return Solved(
        size,
        pages,
        fit.figures,
        base,
        fit.covariance,
        float(np.sqrt(fit.left @ fit.left / len(seen))),
        tuple(_curl_mm(fit.figures, at) for at in range(len(found))),
        tuple(scales[page] for page in pages),
        abs(float(fit.figures[6]) - float(np.log(lens.focal_px))) / float(np.sqrt(lens.covariance_in(size)[0, 0])),
        fit.corner_px,
        len(seen),
        fit.known_cost,
    )


def _seen(figures: Floats, base: Floats, flats: Sequence[Floats]) -> Floats:
    """Where the corners of all pages are seen."""
    rows = []
    for at, flat in enumerate(flats):
        start = CAMERA + at * (FURTHER + CURL) - (FURTHER if at else 0)
        place, curl = (figures[start : start + FURTHER], figures[start + FURTHER :]) if at else (None, figures[start:])
        above = curled(flat, curl[:CURL])
        lies = flat if place is None else _laid(flat, place)
        rows.append(project(figures[:CAMERA], base, np.column_stack((lies, above))))
    return np.concatenate(rows)


def _laid(flat: Floats, place: Floats) -> Floats:
    cos, sin = np.cos(place[2]), np.sin(place[2])
    return np.asarray(flat @ np.array([[cos, sin], [-sin, cos]]) + place[:2])


def _curl_mm(figures: Floats, at: int) -> float:
    """How far the lowest and the highest point of a page's board lie apart (mm)."""
    start = CAMERA + at * (FURTHER + CURL)
    across, up = (np.linspace(-side / 2, side / 2, 9) for side in BOARD_MM)
    flat = np.array([(x, y) for x in across for y in up])
    return float(np.ptp(curled(flat, figures[start : start + CURL])))


def _beforehand(lens: Lens, size: tuple[int, int], pages: int) -> Beforehand:
    """What is known of each figure beforehand."""
    means = [0.0] * 6 + [*lens.figures]
    sds = [FREE_RAD] * 3 + [FREE_MM] * 3 + [1.0] * len(lens.figures)
    for at in range(pages):
        means += [0.0] * (CURL + (FURTHER if at else 0))
        sds += ([FREE_MM, FREE_MM, FREE_RAD] if at else []) + [CURL_SD_MM] * CURL
    weight = np.diag(np.asarray(sds) ** -2.0)
    weight[6:CAMERA, 6:CAMERA] = np.linalg.inv(lens.covariance_in(size))
    return Beforehand(np.asarray(means), weight)


def _start(flats: Sequence[Floats], pixels: Sequence[Floats], lens: Lens) -> tuple[Floats, Floats]:
    """Where to begin: the turn and the place that the first page's homography tells, of a lens without curve."""
    plain = pixels[0] / lens.focal_px
    home = _homography(flats[0], plain)
    home /= np.sqrt(np.linalg.norm(home[:, 0]) * np.linalg.norm(home[:, 1]))
    if home[2, 2] < 0:
        home = -home
    first, second, place = home.T
    sides = np.column_stack((first, second, np.cross(first, second)))
    left, _, right = np.linalg.svd(sides)
    base = left @ np.diag([1.0, 1.0, float(np.linalg.det(left @ right))]) @ right
    camera = np.concatenate((np.zeros(3), place, [np.log(lens.focal_px)], lens.middle_px, lens.curve))
    figures = [camera, np.zeros(CURL)]
    for flat, seen in zip(flats[1:], pixels[1:], strict=True):
        figures += [_place_of(flat, on_plane(camera, base, seen)), np.zeros(CURL)]
    return np.concatenate(figures), base


def _homography(flat: Floats, seen: Floats) -> Floats:
    """The direct linear transform: the matrix that brings points of a plane to where they are seen."""
    size = float(np.abs(flat).max())
    rows = []
    for (x, y), (u, v) in zip(flat / size, seen, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    matrix = np.linalg.svd(np.asarray(rows))[2][-1].reshape(3, 3)
    return np.asarray(matrix @ np.diag([1 / size, 1 / size, 1.0]))


def _place_of(flat: Floats, at: Floats) -> Floats:
    """Where a page lies on the carpet: the middle and the turn that bring its corners nearest to where they are."""
    own, there = flat - flat.mean(axis=0), at - at.mean(axis=0)
    turn = float(np.arctan2((own[:, 0] * there[:, 1] - own[:, 1] * there[:, 0]).sum(), (own * there).sum()))
    moved = at.mean(axis=0) - _laid(flat.mean(axis=0)[None, :], np.array([0.0, 0.0, turn]))[0]
    return np.array([moved[0], moved[1], turn])
