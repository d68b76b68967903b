"""The outline of a stain from one tap in it: light as a plane taken out, cut half way between stain and carpet, grown from there.

In synthetic pictures (see the benchmarks) outline and truth share 0.96 of both at a contrast to noise over 5, and 0.93 from 3 to
5. Below 3, where it may be 0.65, it is refused. How far the edge itself may lie off goes into the bar.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.errors import BadInput, Fault
from remnants.late import Late
from remnants.photo.camera import CAMERA, project
from remnants.photo.marker_page import BOARD_MM
from remnants.photo.measures import Point
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import middle_of
from remnants.photo.view import View

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["LEAST_CONTRAST", "Stain", "stain_at"]

LEAST_CONTRAST = 3.0
"""Of the stain to the carpet's noise, below which no outline is proposed."""

ROUND_MM = 420
"""The carpet that is looked at reaches so far from the tap, each way; a pixel a mm."""

_EDGE_MM = 90.0
"""What the edge may lie off at a contrast to noise of one: 95 of 100 lay within, from 3 to 25."""

_SMOOTH_MM = 2.0
"""Tufts are evened out over so much."""

_TAPPED_MM = 5
"""Half the square about the tap that tells what the stain looks like."""

_PAPER_MM = 30.0
"""White paper round the board, which is no carpet."""

_CORNER_MM = 2.0
"""So near the corners keep to the outline: taps are no better."""

_MOST_CORNERS = 40
"""What a person can look over and move."""

_CALM, _MOST_SMOOTH_MM = 14.0, 7.0
"""Contrast to noise at which an edge is calm by itself, and the most that a fainter one is smoothed over."""

_ROUNDS = 4
_EACH = 11
"""Of so many mm² of carpet one tells light and noise: ten thousands are left."""

_FAR_SDS = 2.5
"""What lies further from the plane of light is not carpet."""

_LEAST_PX = 150
_STORED_SD = 2.0
"""Steps of 255 that storing a picture takes from its colours, block by block: no finer difference of colour is believed."""


@dataclass(frozen=True, slots=True)
class Stain:
    """The corners of a stain (pixels of the file), and how far its edge itself may lie off, 95 times of 100 (mm)."""

    corners: tuple[Point, ...]
    edge_mm: float


def stain_at(view: View, tap: Point) -> Stain:
    """The stain that was tapped in.

    Raises NotMeasured where it stands out too little or runs out of what is looked at; BadInput for a tap outside the picture.
    """
    view.refuse_outside([tap])
    camera = view.camera
    middle = camera.on_carpet(view.picture.worked(np.array([tap])))[0]
    seen = _seen(view, middle)
    across = seen.shape[1]
    at_x, at_y = (float(seen[across // 2, across // 2, axis]) for axis in (0, 1))
    if not np.isfinite(at_x + at_y):
        raise refused(WhyNot.FAR_FROM_PAGE, "the tap looks past the horizon: tap in the damage")
    colour, carpet = _carpet(view, seen, middle)
    even = _without_light(colour, carpet)
    apart, contrast = _apart(even, carpet)
    if contrast < LEAST_CONTRAST:
        raise refused(
            WhyNot.FAINT,
            f"the stain stands out too little ({contrast:.1f} times the carpet's own noise, {LEAST_CONTRAST:g} at least): "
            "tell its corners yourself, or take the picture in other light",
        )
    ring = _grown(_calmed(apart, contrast), carpet)
    pixels = seen[ring[:, 1], ring[:, 0]].astype(np.float64)
    corners = tuple((float(x), float(y)) for x, y in view.picture.in_file(pixels))
    return Stain(corners, _EDGE_MM / contrast)


def _seen(view: View, middle: Floats) -> NDArray[np.float32]:
    """Where each mm of the carpet round a point is seen, in pixels of the picture that was looked at (rows from the top)."""
    steps = np.arange(-ROUND_MM, ROUND_MM + 1, dtype=np.float64)
    x, y = np.meshgrid(middle[0] + steps, middle[1] - steps)
    points = np.column_stack((x.ravel(), y.ravel(), np.zeros(x.size)))
    camera = view.camera
    pixels = project(camera.figures[:CAMERA], camera.base, points) + middle_of(camera.size)
    return np.asarray(pixels.reshape(*x.shape, 2), dtype=np.float32)


def _carpet(view: View, seen: NDArray[np.float32], middle: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """The carpet from above, smoothed, and what of it is in the picture and under no page."""
    flat = cv2.remap(view.picture.colour, seen[..., 0], seen[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    across, down = view.camera.size
    inside = (seen[..., 0] >= 0) & (seen[..., 0] <= across - 1) & (seen[..., 1] >= 0) & (seen[..., 1] <= down - 1)
    steps = np.arange(-ROUND_MM, ROUND_MM + 1, dtype=np.float64)
    x, y = np.meshgrid(middle[0] + steps, middle[1] - steps)
    for (page_x, page_y, turn), scale in zip(view.camera.middles_mm(), view.camera.scales, strict=True):
        own_x = (x - page_x) * np.cos(turn) + (y - page_y) * np.sin(turn)
        own_y = (y - page_y) * np.cos(turn) - (x - page_x) * np.sin(turn)
        half = np.array(BOARD_MM) * scale / 2 + _PAPER_MM
        inside &= ~((np.abs(own_x) < half[0]) & (np.abs(own_y) < half[1]))
    if not inside[ROUND_MM, ROUND_MM]:
        raise BadInput([Fault("tap", "the tap lies on the marker page: tap in the damage")])
    smooth = cv2.GaussianBlur(np.asarray(flat, dtype=np.float32), (0, 0), _SMOOTH_MM)
    return np.asarray(smooth, dtype=np.float64), inside


def _without_light(colour: Floats, carpet: NDArray[np.bool_]) -> Floats:
    """The colours less a plane of light, which is fitted to what is carpet: far from it lies the stain."""
    down, across = carpet.shape
    y, x = np.mgrid[0:down, 0:across]
    plane = np.column_stack((np.ones(carpet.size), x.ravel() / across - 0.5, y.ravel() / down - 0.5))
    flat = colour.reshape(-1, colour.shape[2])
    few = np.flatnonzero(carpet)[::_EACH]
    light, middle, use = np.zeros((3, flat.shape[1])), np.zeros(flat.shape[1]), np.ones(few.size, dtype=np.bool_)
    for _ in range(_ROUNDS):
        light = np.linalg.lstsq(plane[few[use]], flat[few[use]], rcond=None)[0]
        left = flat[few] - plane[few] @ light
        middle = np.median(left[use], axis=0)
        away = np.abs(left - middle).max(axis=1)
        use = away <= _FAR_SDS * 1.4826 * max(float(np.median(away[use])), 0.5)
    return np.asarray((flat - plane @ light - middle).reshape(colour.shape))


def _apart(even: Floats, carpet: NDArray[np.bool_]) -> tuple[Floats, float]:
    """How far each mm lies on the way from carpet (0) to stain (1), and the contrast to noise (R. A. Fisher's line, 1936)."""
    near = slice(ROUND_MM - _TAPPED_MM, ROUND_MM + _TAPPED_MM + 1)
    stain = even[near, near].reshape(-1, even.shape[2]).mean(axis=0)
    own = even[carpet][::_EACH]
    off = np.abs(own @ stain / max(float(np.linalg.norm(stain)), 1.0))
    calm = own[off <= np.quantile(off, 0.7)]
    noise = np.cov(calm.T) + _STORED_SD**2 * np.eye(even.shape[2])
    line = np.linalg.solve(noise, stain)
    whole = float(line @ stain)
    return np.asarray(even @ line / (whole or 1.0)), float(np.sqrt(max(whole, 0.0)))


def _calmed(apart: Floats, contrast: float) -> Floats:
    """The same, smoothed the more the fainter the stain is, so that noise does not fray its edge."""
    wide = min(_SMOOTH_MM * _CALM / contrast, _MOST_SMOOTH_MM)
    return apart if wide <= _SMOOTH_MM else np.asarray(cv2.GaussianBlur(apart, (0, 0), wide), dtype=np.float64)


def _grown(apart: Floats, carpet: NDArray[np.bool_]) -> NDArray[np.int64]:
    """The corners of what hangs together with the tap beyond half way, as columns and rows."""
    dark = ((apart > 0.5) & carpet).astype(np.uint8)
    dark = np.asarray(cv2.morphologyEx(dark, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)), dtype=np.uint8)
    _, parts = cv2.connectedComponents(dark)
    part = int(parts[ROUND_MM, ROUND_MM])
    own = np.asarray(parts == part, dtype=np.uint8) if part else np.zeros_like(dark)
    if own.sum() < _LEAST_PX:
        raise refused(WhyNot.FAINT, "no stain hangs together where you tapped: tap in its middle, or tell its corners yourself")
    if (cv2.dilate(own, np.ones((5, 5), np.uint8)) > 0)[~carpet].any():
        raise refused(WhyNot.FAINT, "the stain runs under the marker page or out of the picture: lay the page beside it")
    if own[0].any() or own[-1].any() or own[:, 0].any() or own[:, -1].any():
        raise refused(WhyNot.FAINT, f"what was tapped reaches over {ROUND_MM} mm: tell the corners yourself")
    rings, _ = cv2.findContours(own, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    whole, near = max(rings, key=cv2.contourArea), _CORNER_MM
    ring = cv2.approxPolyDP(whole, near, True)
    while len(ring) > _MOST_CORNERS:
        near *= 1.3
        ring = cv2.approxPolyDP(whole, near, True)
    return np.asarray(ring, dtype=np.int64).reshape(-1, 2)
