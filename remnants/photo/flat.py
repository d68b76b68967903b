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
from remnants.photo.solve import middle_of
from remnants.photo.view import REACH_MM, View

if TYPE_CHECKING:
    import cv2
    import numpy as np
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["Flat", "flat_picture"]

SIDE_PX = 1500
"""Pixels of its longer side: a phone shows no more, and a thousand kilobytes hold it."""

_QUALITY = 85
_ROOM_MM = 60.0
"""Shown round what was measured."""


@dataclass(frozen=True, slots=True)
class Flat:
    """A JPEG file of the carpet from above, its pixels a mm, and where its lower left corner lies (mm, axes of the page)."""

    jpeg: bytes
    px_per_mm: float
    corner_mm: Point


def flat_picture(view: View, ring: Sequence[Point] = ()) -> Flat:
    """The carpet round the first page and round an outline (mm), which is drawn into it, without the picture's own data."""
    reach = [(side / 2 + (_ROOM_MM if ring else REACH_MM / 2)) for side in BOARD_MM]
    xs = [-reach[0], reach[0], *(x for x, _ in ring)]
    ys = [-reach[1], reach[1], *(y for _, y in ring)]
    left, right, bottom, top = min(xs) - _ROOM_MM, max(xs) + _ROOM_MM, min(ys) - _ROOM_MM, max(ys) + _ROOM_MM
    scale = SIDE_PX / max(right - left, top - bottom)
    across, down = (max(1, round(side * scale)) for side in (right - left, top - bottom))
    column, row = np.meshgrid(np.arange(across), np.arange(down))
    points = np.column_stack((left + (column.ravel() + 0.5) / scale, top - (row.ravel() + 0.5) / scale, np.zeros(column.size)))
    camera = view.camera
    seen = (project(camera.figures[:CAMERA], camera.base, points) + middle_of(camera.size)).astype(np.float32)
    at_x, at_y = (seen[:, axis].reshape(down, across) for axis in (0, 1))
    flat = cv2.remap(
        view.picture.colour, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(255, 255, 255)
    )
    image = Image.fromarray(np.asarray(flat, dtype=np.uint8))
    if ring:
        drawn = [((x - left) * scale, (top - y) * scale) for x, y in ring]
        pen = ImageDraw.Draw(image)
        for width, ink in ((5, (255, 255, 255)), (2, (0, 0, 0))):
            pen.line([*drawn, drawn[0]], fill=ink, width=width)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY)
    return Flat(out.getvalue(), scale, (left, bottom))
