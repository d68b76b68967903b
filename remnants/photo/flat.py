"""The carpet of a photograph as seen from straight above, at scale."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PIL import Image, ImageDraw

from remnants.late import Late
from remnants.photo.camera import CAMERA, project
from remnants.photo.marker_page import BOARD_MM
from remnants.photo.measures import Point
from remnants.photo.reach import reach_mm
from remnants.photo.solve import middle_of
from remnants.photo.view import View

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["Box", "Flat", "flat_picture", "whole_flat"]

SIDE_PX = 1500
"""Pixels of its longer side: a phone shows no more, and a thousand kilobytes hold it."""

FINE_SIDE_PX = 2400
"""Of one that corners are set in under a magnifier: some 1.7 pixels a mm, near what the photograph itself holds."""

_QUALITY = 85
_SHOWN_MM = 300.0
"""Shown round the board where nothing was measured."""

_ROOM_MM = 60.0
"""Shown round what was measured."""

_KNOT = 16
"""Of so many pixels one is worked out, and those between follow in a straight line: within a thousandth of a pixel."""

_RIM = 24
"""Points of each side of the picture whose places on the carpet bound it."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Flat:
    """A JPEG file of the carpet from above, its pixels a mm, and where its lower left corner lies (mm, axes of the page)."""

    jpeg: bytes
    px_per_mm: float
    corner_mm: Point
    size: tuple[int, int] = (0, 0)
    """Pixels across and down."""

    def pixel_of(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Where points of the carpet (mm) are in it: columns and rows, from the middle of the upper left pixel."""
        top = self.corner_mm[1] + self.size[1] / self.px_per_mm
        return (x - self.corner_mm[0]) * self.px_per_mm - 0.5, (top - y) * self.px_per_mm - 0.5


def flat_picture(view: View, ring: Sequence[Point] = ()) -> Flat:
    """The carpet round the first page and round an outline (mm), which is drawn into it, without the picture's own data."""
    reach = [(side / 2 + (_ROOM_MM if ring else _SHOWN_MM)) for side in BOARD_MM]
    xs = [-reach[0], reach[0], *(x for x, _ in ring)]
    ys = [-reach[1], reach[1], *(y for _, y in ring)]
    box = min(xs) - _ROOM_MM, min(ys) - _ROOM_MM, max(xs) + _ROOM_MM, max(ys) + _ROOM_MM
    scale = SIDE_PX / max(box[2] - box[0], box[3] - box[1])
    image = Image.fromarray(_from_above(view, box, scale, 0.0))
    if ring:
        drawn = [((x - box[0]) * scale, (box[3] - y) * scale) for x, y in ring]
        pen = ImageDraw.Draw(image)
        for width, ink in ((5, (255, 255, 255)), (2, (0, 0, 0))):
            pen.line([*drawn, drawn[0]], fill=ink, width=width)
    return _stored(image, box, scale)


def whole_flat(view: View, *, above_mm: float = 0.0, side_px: int = FINE_SIDE_PX) -> Flat:
    """All of the carpet in the picture that may be measured in, on the plane so far above the page."""
    box = _measurable(view, above_mm)
    scale = side_px / max(box[2] - box[0], box[3] - box[1])
    return _stored(Image.fromarray(_from_above(view, box, scale, above_mm)), box, scale)


def _measurable(view: View, above_mm: float) -> Box:
    """The upright box round what lies within reach of the pages, and in the picture."""
    camera = view.camera
    far = reach_mm(camera) + float(np.hypot(*BOARD_MM)) / 2
    middles = camera.middles_mm()[:, :2]
    low, high = middles.min(axis=0) - far, middles.max(axis=0) + far
    across, down = camera.size
    along, side = np.linspace(0.0, 1.0, _RIM), np.repeat([0.0, 1.0], _RIM)
    rim = np.vstack((np.column_stack((np.tile(along, 2), side)), np.column_stack((side, np.tile(along, 2)))))
    seen = camera.on_carpet(rim * [across - 1, down - 1], above_mm)
    if np.isfinite(seen).all():
        low, high = np.maximum(low, seen.min(axis=0)), np.minimum(high, seen.max(axis=0))
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _from_above(view: View, box: Box, scale: float, above_mm: float) -> NDArray[np.uint8]:
    """The carpet in a box (mm) at so many pixels a mm, white where the picture holds nothing of it; band by band."""
    left, bottom, right, top = box
    across, down = (max(1, round(side * scale)) for side in (right - left, top - bottom))
    made = np.empty((down, across, 3), dtype=np.uint8)
    columns = np.arange(0.0, across + _KNOT, _KNOT)
    at, share = np.divmod(np.arange(across), _KNOT)
    for first in range(0, down, _KNOT):
        upper, lower = (
            _seen(view, left + (columns + 0.5) / scale, top - (row + 0.5) / scale, above_mm) for row in (first, first + _KNOT)
        )
        rows = np.arange(min(_KNOT, down - first))[:, None, None] / _KNOT
        knots = upper * (1.0 - rows) + lower * rows
        between = (share / _KNOT)[:, None]
        seen = knots[:, at] * (1.0 - between) + knots[:, at + 1] * between
        made[first : first + _KNOT] = cv2.remap(
            view.picture.colour,
            seen[..., 0].astype(np.float32),
            seen[..., 1].astype(np.float32),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(255, 255, 255),
        )
    return made


def _seen(view: View, x: Floats, y: float, above_mm: float) -> Floats:
    """Where a row of the carpet is in the picture that was looked at."""
    camera = view.camera
    points = np.column_stack((x, np.full(x.size, y), np.full(x.size, above_mm)))
    return project(camera.figures[:CAMERA], camera.base, points) + middle_of(camera.size)


def _stored(image: Image.Image, box: Box, scale: float) -> Flat:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY)
    return Flat(out.getvalue(), scale, (box[0], box[3] - image.height / scale), image.size)
