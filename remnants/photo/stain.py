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
from remnants.photo.flattened import Flattened
from remnants.photo.measures import Point
from remnants.photo.reach import off_paper
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.solve import middle_of
from remnants.photo.view import View

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Colours = NDArray[np.float32]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["LEAST_CONTRAST", "Stain", "stain_at", "stain_on"]

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
    """The corners of a stain (pixels of the file, or mm of the carpet), how far its edge may lie off, 95 times of 100 (mm)."""

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
    across, down = camera.size
    inside = (seen[..., 0] >= 0) & (seen[..., 0] <= across - 1) & (seen[..., 1] >= 0) & (seen[..., 1] <= down - 1)
    flat = cv2.remap(view.picture.colour, seen[..., 0], seen[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    ring, contrast = _outlined(np.asarray(flat), inside & off_paper(camera, *_grid(middle)))
    pixels = seen[ring[:, 1], ring[:, 0]].astype(np.float64)
    corners = tuple((float(x), float(y)) for x, y in view.picture.in_file(pixels))
    return Stain(corners, _EDGE_MM / contrast)


def stain_on(flattened: Flattened, tap: Point) -> Stain:
    """The outline of the stain that was tapped (mm) on carpet that was made flat; its corners are mm too.

    Raises NotMeasured where it hardly stands out, or reaches too far; BadInput for a tap outside the picture or on a page.
    """
    flattened.refuse_outside([tap])
    cv2.setNumThreads(1)
    x, y = _grid(np.asarray(tap, dtype=np.float64))
    at_x, at_y = flattened.flat.pixel_of(x, y)
    across, down = flattened.flat.size
    inside = (at_x >= 0) & (at_x <= across - 1) & (at_y >= 0) & (at_y <= down - 1) & flattened.in_picture(x, y)
    left, upper = max(0, int(at_x.min())), max(0, int(at_y.min()))
    near = flattened.colour((left, upper, min(across, int(at_x.max()) + 2), min(down, int(at_y.max()) + 2)))
    wide = max(1, round(flattened.flat.px_per_mm))
    even = cv2.blur(near, (wide, wide))
    at_x, at_y = (at_x - left).astype(np.float32), (at_y - upper).astype(np.float32)
    seen = cv2.remap(even, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    ring, contrast = _outlined(np.asarray(seen), inside & off_paper(flattened.camera, x, y))
    corners = tuple((float(x[row, column]), float(y[row, column])) for column, row in ring)
    return Stain(corners, _EDGE_MM / contrast)


def _outlined(seen: NDArray[np.uint8], carpet: NDArray[np.bool_]) -> tuple[NDArray[np.int64], float]:
    """The corners (columns and rows) of the stain in the middle of a square of carpet, a pixel a mm, and its contrast."""
    if not carpet[ROUND_MM, ROUND_MM]:
        raise BadInput([Fault("tap", "the tap lies on the marker page: tap in the damage")])
    smooth = np.asarray(cv2.GaussianBlur(seen.astype(np.float32), (0, 0), _SMOOTH_MM), dtype=np.float32)
    apart, contrast = _apart(_without_light(smooth, carpet), carpet)
    if contrast < LEAST_CONTRAST:
        raise refused(
            WhyNot.FAINT,
            f"the stain stands out too little ({contrast:.1f} times the carpet's own noise, {LEAST_CONTRAST:g} at least): "
            "tell its corners yourself, or take the picture in other light",
        )
    return _grown(_calmed(apart, contrast), carpet), contrast


def _grid(middle: Floats) -> tuple[Floats, Floats]:
    """Each mm of the carpet round a point, rows from the top."""
    steps = np.arange(-ROUND_MM, ROUND_MM + 1, dtype=np.float64)
    x, y = np.meshgrid(middle[0] + steps, middle[1] - steps)
    return x, y


def _seen(view: View, middle: Floats) -> NDArray[np.float32]:
    """Where each mm of the carpet round a point is seen, in pixels of the picture that was looked at (rows from the top)."""
    x, y = _grid(middle)
    points = np.column_stack((x.ravel(), y.ravel(), np.zeros(x.size)))
    camera = view.camera
    pixels = project(camera.figures[:CAMERA], camera.base, points) + middle_of(camera.size)
    return np.asarray(pixels.reshape(*x.shape, 2), dtype=np.float32)


def _without_light(colour: Colours, carpet: NDArray[np.bool_]) -> Colours:
    """The colours less a plane of light, which is fitted to what is carpet: far from it lies the stain."""
    down, across = carpet.shape
    few = np.flatnonzero(carpet)[::_EACH]
    y, x = np.unravel_index(few, carpet.shape)
    plane = np.column_stack((np.ones(few.size), x / across - 0.5, y / down - 0.5))
    seen = colour.reshape(-1, colour.shape[2])[few].astype(np.float64)
    light, middle, use = np.zeros((3, seen.shape[1])), np.zeros(seen.shape[1]), np.ones(few.size, dtype=np.bool_)
    for _ in range(_ROUNDS):
        light = np.linalg.lstsq(plane[use], seen[use], rcond=None)[0]
        left = seen - plane @ light
        middle = np.median(left[use], axis=0)
        away = np.abs(left - middle).max(axis=1)
        use = away <= _FAR_SDS * 1.4826 * max(float(np.median(away[use])), 0.5)
    along, upright = (np.arange(side) / side - 0.5 for side in (across, down))
    wide = (light[0] + middle + along[:, None] * light[1]).astype(np.float32)
    return np.asarray(colour - wide[None] - (upright[:, None] * light[2]).astype(np.float32)[:, None], dtype=np.float32)


def _apart(even: Colours, carpet: NDArray[np.bool_]) -> tuple[Colours, float]:
    """How far each mm lies on the way from carpet (0) to stain (1), and the contrast to noise (R. A. Fisher's line, 1936)."""
    near = slice(ROUND_MM - _TAPPED_MM, ROUND_MM + _TAPPED_MM + 1)
    stain = even[near, near].reshape(-1, even.shape[2]).mean(axis=0, dtype=np.float64)
    own = even.reshape(-1, even.shape[2])[np.flatnonzero(carpet)[::_EACH]].astype(np.float64)
    off = np.abs(own @ stain / max(float(np.linalg.norm(stain)), 1.0))
    calm = own[off <= np.quantile(off, 0.7)]
    noise = np.cov(calm.T) + _STORED_SD**2 * np.eye(even.shape[2])
    line = np.linalg.solve(noise, stain)
    whole = float(line @ stain)
    return even @ (line / (whole or 1.0)).astype(np.float32), float(np.sqrt(max(whole, 0.0)))


def _calmed(apart: Colours, contrast: float) -> Colours:
    """The same, smoothed the more the fainter the stain is, so that noise does not fray its edge."""
    wide = min(_SMOOTH_MM * _CALM / contrast, _MOST_SMOOTH_MM)
    return apart if wide <= _SMOOTH_MM else np.asarray(cv2.GaussianBlur(apart, (0, 0), wide), dtype=np.float32)


def _grown(apart: Colours, carpet: NDArray[np.bool_]) -> NDArray[np.int64]:
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
