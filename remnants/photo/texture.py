"""A donor's carpet out of its picture, laid where a part of the patch will lie; where a marker page hid it, from beside that."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.geometry.outline import Outline, Point
from remnants.late import Late
from remnants.model import Part
from remnants.photo.marker_page import BOARD_MM
from remnants.photo.overhead import Overhead
from remnants.photo.reach import PAPER_MM

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Colours = NDArray[np.uint8]
    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["Texture", "texture_of"]

BESIDE = "where the marker page lay on it, carpet from beside the page is shown"
MEAN = "where the marker page lay on it, its colour alone is shown"

CLEAR_MM = 15.0
"""Round the paper: its edge and its shadow."""

_STEPS = (1, 2, 3)
"""How many lengths of the page away carpet is looked for."""


@dataclass(frozen=True)
class Texture:
    """A donor's picture near the scale it is shown at: its pixels, which of them are its carpet, what takes its mm to pixels,
    the paper's white, and its repeat along the pile (mm)."""

    colours: NDArray[np.uint8]
    carpet: NDArray[np.uint8]
    to_pixels: NDArray[np.float64]
    white: NDArray[np.float64] | None
    repeat_mm: float | None

    def laid(self, part: Part, to_canvas: Floats, mask: Colours, *, pile_deg: float) -> tuple[Floats, str]:
        """Its carpet on the canvas as the part lies (rows x columns x 3), and what is to be said of it ("" for nothing)."""
        size = mask.shape[1], mask.shape[0]
        wanted = mask > 0
        shown, sound = self._brought(part, to_canvas, size, (0.0, 0.0))
        hidden = wanted & (sound < 255)
        if not hidden.any():
            return shown, ""
        for beside in self._beside(pile_deg):
            more, there = self._brought(part, to_canvas, size, beside)
            if (there[hidden] == 255).all():
                return np.where(hidden[..., None], more, shown), BESIDE
        known = wanted & (sound == 255)
        mean = shown[known].mean(axis=0) if known.any() else self.colours[self.carpet == 255].mean(axis=0)
        return np.where(hidden[..., None], mean, shown), MEAN

    def _brought(self, part: Part, to_canvas: Floats, size: tuple[int, int], beside: Point) -> tuple[Floats, Colours]:
        """Its pixels on the canvas, and which of them are carpet; taken so far beside in its own axes (mm)."""
        turn = math.radians(part.turn_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        lay = np.array([[cos, sin, part.shift[0]], [-sin, cos, part.shift[1]], [0.0, 0.0, 1.0]])
        back = np.array([[1.0, 0.0, -beside[0]], [0.0, 1.0, -beside[1]], [0.0, 0.0, 1.0]])
        matrix = (to_canvas @ lay @ back @ np.linalg.inv(self.to_pixels))[:2]
        shown = cv2.warpAffine(self.colours, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        sound = cv2.warpAffine(self.carpet, matrix, size, flags=cv2.INTER_NEAREST, borderValue=0)
        return shown.astype(np.float64), np.asarray(sound, dtype=np.uint8)

    def _beside(self, pile_deg: float) -> Iterator[Point]:
        """How far beside the page carpet is looked for (mm): along the rows first, alone and by repeats with a pattern."""
        reach = math.hypot(*BOARD_MM) + 2 * (PAPER_MM + CLEAR_MM)
        pile = math.radians(pile_deg)
        ways = ((math.sin(pile), math.cos(pile)), (math.cos(pile), -math.sin(pile)))
        along = self.repeat_mm
        for x, y in ways[:1] if along else ways:
            for step in _STEPS:
                far = reach * step if not along else math.ceil(reach * step / along) * along
                yield far * x, far * y
                yield -far * x, -far * y


def texture_of(picture: Overhead, outline: Outline, repeat_mm: float | None, scale: float) -> Texture:
    """The carpet of a piece in its picture, made smaller where it is shown at fewer pixels a mm (`scale`)."""
    colours, to_pixels = picture.colours(), picture.to_pixels()
    white = picture.white(colours)
    carpet = np.zeros(colours.shape[:2], np.uint8)
    ring = (np.column_stack((np.asarray(outline.ring, dtype=np.float64), np.ones(len(outline.ring)))) @ to_pixels.T)[:, :2]
    cv2.fillPoly(carpet, [np.round(ring).astype(np.int32)], 255)
    for page in picture.page_rings(PAPER_MM + CLEAR_MM):
        cv2.fillPoly(carpet, [np.round(page).astype(np.int32)], 0)
    share = scale / picture.px_per_mm
    if share < 1.0:
        across, down = (max(1, round(side * share)) for side in picture.size)
        by_x, by_y = across / picture.size[0], down / picture.size[1]
        colours = np.asarray(cv2.resize(colours, (across, down), interpolation=cv2.INTER_AREA), dtype=np.uint8)
        carpet = np.asarray(cv2.resize(carpet, (across, down), interpolation=cv2.INTER_NEAREST), dtype=np.uint8)
        smaller = np.array([[by_x, 0.0, (by_x - 1) / 2], [0.0, by_y, (by_y - 1) / 2], [0.0, 0.0, 1.0]])
        to_pixels = smaller @ to_pixels
    return Texture(colours, carpet, to_pixels, white, repeat_mm)
