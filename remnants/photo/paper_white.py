"""The white of the marker page beside its board: what a shade is taken by where no instrument told one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.photo.flattened import Flattened
from remnants.photo.linear_light import BURNT, linear_light
from remnants.photo.marker_page import BOARD_MM
from remnants.photo.refusals import WhyNot, refused

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
else:
    np = Late("numpy")

__all__ = ["white_of"]

PAPER_SHARE = 0.86
"""Of light that office paper gives back (L* of 94; common practice, no source)."""

_BESIDE_MM = 6.0
"""From the edge of the board, on its left and on its right: the paper of either size is wider."""

_SPOTS = 41
_LEAST = 80.0
"""Level (of 255) that paper in enough light is above."""


def white_of(flat: Flattened) -> NDArray[np.float64]:
    """The linear light that a perfect white would have there, red, green, blue. Raises NotMeasured where the page tells none."""
    scale = flat.camera.scales[0]
    beside = BOARD_MM[0] * scale / 2 + _BESIDE_MM
    up = np.linspace(-0.45, 0.45, _SPOTS) * BOARD_MM[1] * scale
    x, y = np.repeat([-beside, beside], _SPOTS), np.tile(up, 2)
    columns, rows = (
        np.clip(np.round(each).astype(int), 0, most - 1)
        for each, most in zip(flat.flat.pixel_of(x, y), flat.flat.size, strict=True)
    )
    box = int(columns.min()), int(rows.min()), int(columns.max()) + 1, int(rows.max()) + 1
    seen = flat.colour(box)[rows - box[1], columns - box[0]]
    level = np.median(seen, axis=0)
    if level.min() < _LEAST or level.max() >= BURNT:
        raise refused(
            WhyNot.BURNT,
            "the white of the marker page is burnt out or in shadow: take it in even light, or tell the floor's measured shade",
        )
    return np.asarray(linear_light(level) / PAPER_SHARE)
