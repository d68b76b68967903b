"""The repair seen before it is made: each donor's carpet at its true scale in the picture of the floor, as the plan lays it.

Nothing is invented: carpet is taken from a picture of the donor that has a scale, cut where the plan cuts it, turned as it will
lie and never mirrored. Of a donor without such a picture its colour alone is shown, with its rows, and that is said.
"""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PIL import Image

from remnants.geometry.outline import Point, Ring, bounds
from remnants.late import Late
from remnants.matching.colours import named_shade, srgb_of_lab
from remnants.model import Part, PatchPlan, Piece
from remnants.photo.light import light_round
from remnants.photo.overhead import Overhead
from remnants.photo.reach import PAPER_MM
from remnants.photo.refusals import WhyNot, refused
from remnants.photo.texture import Texture, texture_of

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Colours = NDArray[np.uint8]
    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["PROMISE", "Donor", "Frame", "Preview", "framed", "previewed", "ring_mask", "untextured"]

PROMISE = "a drawing, not a promise"

NO_TEXTURE = "its own colour, no texture: it has no picture to scale"
OWN_LIGHT = "as bright as in its own picture, since not all of a marker page is seen"

SIDE_PX = 1000
"""Pixels of its longer side: a phone shows no more, and it is worked out in a tenth of a second."""

ROUND_SHARE, LEAST_ROUND_MM = 0.5, 150.0
"""Of the patch's longer side, and at least, how much of the floor is shown round it."""

SAME_MM = 1.0
"""A piece whose width or length is another by more than this than in its picture was cut or measured anew since."""

CALM_MM = 12.0
"""So near the patch nothing tells the light: the damage may reach there."""

ROW_SHARE, ROW_DARK = 0.3, 0.88
"""Of a donor without texture: how much of each row is drawn darker, and how dark."""

LEAST_ROW_PX = 3.0
QUALITY = 88

_SHIFT = 4
"""Bits of a pixel's fraction that outlines are drawn by."""


@dataclass(frozen=True)
class Donor:
    """A piece that parts are cut from, how far apart its rows are (mm), its repeat along the pile (mm), and its picture."""

    piece: Piece
    row_mm: float | None = None
    repeat_mm: float | None = None
    picture: Overhead | None = None

    @property
    def shown(self) -> Overhead | None:
        """The picture that shows the piece as it is: of the photograph that it was measured in, and not cut since."""
        picture = self.picture
        if picture is None or not self.piece.photo_digest or picture.digest != self.piece.photo_digest:
            return None
        left, bottom, right, top = self.piece.outline.bounds
        same = zip((right - left, top - bottom), picture.size_mm, strict=True)
        return picture if all(abs(own - told) <= SAME_MM for own, told in same) else None

    @property
    def colour(self) -> tuple[float, float, float] | None:
        """Its colour as it is logged, 0 to 255: of its measured shade, else of its colour's name."""
        named = None if self.piece.lab else named_shade(self.piece.colour)
        shade = self.piece.lab or (named.lab if named else None)
        if shade is None:
            return None
        red, green, blue = srgb_of_lab(shade)
        return 255 * red, 255 * green, 255 * blue


@dataclass(frozen=True, slots=True)
class Frame:
    """What of the floor is shown: pixels across and down, pixels a mm, and the lower left corner (mm, room)."""

    size: tuple[int, int]
    px_per_mm: float
    corner_mm: Point

    def pixel_of(self, point: Point) -> Point:
        """Where a point of the room (mm) is shown: column and row, from the middle of the upper left pixel."""
        top = self.corner_mm[1] + self.size[1] / self.px_per_mm
        return (point[0] - self.corner_mm[0]) * self.px_per_mm - 0.5, (top - point[1]) * self.px_per_mm - 0.5

    @property
    def matrix(self) -> Floats:
        """The same for (x, y, 1): 3 x 3."""
        scale, (x, y) = self.px_per_mm, self.pixel_of((0.0, 0.0))
        return np.array([[scale, 0.0, x], [0.0, -scale, y], [0.0, 0.0, 1.0]])


@dataclass(frozen=True)
class Preview:
    """The floor with the repair in it (rows x columns x 3), what of the floor that is, and what is said of it."""

    colours: NDArray[np.uint8]
    frame: Frame
    notes: tuple[str, ...] = ()

    def jpeg(self) -> bytes:
        """The same as a JPEG file, without any data of its own."""
        return self._stored("JPEG")

    def png(self) -> bytes:
        """The same as a PNG file, without any data of its own."""
        return self._stored("PNG")

    def _stored(self, kind: str) -> bytes:
        out = io.BytesIO()
        Image.fromarray(self.colours).save(out, kind, quality=QUALITY)
        return out.getvalue()


def previewed(floor: Overhead, answer: PatchPlan, donors: Mapping[str, Donor], *, side_px: int = SIDE_PX) -> Preview:
    """The patch in the picture of its floor; `donors` are the pieces that its parts are cut from, by tag.

    Raises NotMeasured, each with what to do: where the picture doesn't show the place, no donor has a picture to scale, or one
    has neither that nor a colour that is known.
    """
    frame = framed(floor, answer, donors, side_px=side_px)
    matrix, size = frame.matrix, frame.size
    floor_colours = floor.colours()
    laid = _warped(floor_colours, matrix @ np.linalg.inv(floor.to_pixels()), size)
    masks = [ring_mask(part.net, matrix, size) for part in answer.parts]
    place = np.maximum.reduce(masks)
    light = light_round(laid, _carpet(floor, place, frame), place)
    white = floor.white(floor_colours)
    notes: list[str] = [] if light is not None else ["too little carpet is seen round it to tell how the light falls"]
    filled, share = np.zeros((size[1], size[0], 3)), np.zeros((size[1], size[0], 1))
    textures: dict[str, Texture | None] = {}
    for part, mask in zip(answer.parts, masks, strict=True):
        donor = donors[part.piece]
        if part.piece not in textures:
            textures[part.piece] = _texture(donor, frame.px_per_mm)
        shown, said = _part(part, donor, textures[part.piece], (mask, frame))
        shown, dim = _as_bright(shown, textures[part.piece], white)
        notes += [f"{part.piece}: {each}" for each in (said, dim) if each]
        weight = mask[..., None] / 255.0
        filled += shown * weight
        share += weight
    inside = np.minimum(share, 1.0)
    new = filled / np.maximum(share, 1 / 255) * (1.0 if light is None else light[..., None])
    made = np.where(inside > 0, laid * (1.0 - inside) + np.clip(new, 0, 255) * inside, laid)
    return Preview(np.round(made).astype(np.uint8), frame, tuple(dict.fromkeys(notes)))


def framed(floor: Overhead, answer: PatchPlan, donors: Mapping[str, Donor], *, side_px: int = SIDE_PX) -> Frame:
    """What of the floor would be shown, before anything is drawn. Raises NotMeasured as `previewed`."""
    _refuse_unshown(answer, donors)
    left, bottom, right, top = _box(floor, answer)
    scale = min(floor.px_per_mm, side_px / max(right - left, top - bottom))
    size = max(1, round((right - left) * scale)), max(1, round((top - bottom) * scale))
    return Frame(size, scale, (left, top - size[1] / scale))


def untextured(answer: PatchPlan, donors: Mapping[str, Donor]) -> tuple[str, ...]:
    """What is to be said of donors that are shown without their texture."""
    tags = dict.fromkeys(part.piece for part in answer.parts)
    return tuple(f"{tag}: {NO_TEXTURE}" for tag in tags if not donors[tag].shown)


def ring_mask(ring: Ring, to_canvas: Floats, size: tuple[int, int]) -> NDArray[np.uint8]:
    """255 inside a ring (mm), less along its edge, 0 outside."""
    seen = (np.column_stack((np.asarray(ring, dtype=np.float64), np.ones(len(ring)))) @ to_canvas.T)[:, :2]
    mask = np.zeros((size[1], size[0]), np.uint8)
    cv2.fillPoly(mask, [np.round(seen * 2**_SHIFT).astype(np.int32)], 255, shift=_SHIFT, lineType=cv2.LINE_AA)
    return mask


def _refuse_unshown(answer: PatchPlan, donors: Mapping[str, Donor]) -> None:
    """Raises NotMeasured where nothing can be shown of the parts, or of one of them."""
    tags = list(dict.fromkeys(part.piece for part in answer.parts))
    if not tags:
        raise refused(WhyNot.NOT_SHOWN, f"{answer.name} is not filled, so there is nothing to lay into its picture")
    if not any(donors[tag].shown for tag in tags):
        named = " and ".join(tags)
        raise refused(
            WhyNot.NO_TEXTURE,
            f"{named} {'has' if len(tags) == 1 else 'have'} no picture to scale: log it by a photograph, and keep that picture",
        )
    bare = [tag for tag in tags if not donors[tag].shown and donors[tag].colour is None]
    if bare:
        what = f"{bare[0]} has no picture to scale, and no colour that is known: log it by a photograph, or tell its colour"
        raise refused(WhyNot.NO_TEXTURE, what)


def _box(floor: Overhead, answer: PatchPlan) -> tuple[float, float, float, float]:
    """The upright box (mm, room) that is shown: the parts and the floor round them, as far as the picture goes."""
    left, bottom, right, top = bounds([corner for part in answer.parts for corner in part.net])
    across, down = floor.size
    rim = np.array([(-0.5, -0.5), (across - 0.5, -0.5), (across - 0.5, down - 0.5), (-0.5, down - 0.5)])
    ends = (np.column_stack((rim, np.ones(4))) @ np.linalg.inv(floor.to_pixels()).T)[:, :2]
    (low_x, low_y), (high_x, high_y) = ends.min(axis=0), ends.max(axis=0)
    if not (low_x < (left + right) / 2 < high_x and low_y < (bottom + top) / 2 < high_y):
        raise refused(WhyNot.NOT_SHOWN, f"the photograph does not show where {answer.name} is: take one that does")
    more = max(LEAST_ROUND_MM, ROUND_SHARE * max(right - left, top - bottom))
    return (
        max(float(low_x), left - more),
        max(float(low_y), bottom - more),
        min(float(high_x), right + more),
        min(float(high_y), top + more),
    )


def _warped(colours: Colours, matrix: Floats, size: tuple[int, int]) -> Colours:
    """A picture brought onto the canvas; white where it shows nothing."""
    made = cv2.warpAffine(
        colours, matrix[:2], size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(255, 255, 255)
    )
    return np.asarray(made, dtype=np.uint8)


def _carpet(floor: Overhead, place: Colours, canvas: Frame) -> Colours:
    """Where sound carpet is seen: in the picture, off its pages, and clear of what is to be replaced."""
    onto = canvas.matrix @ np.linalg.inv(floor.to_pixels())
    seen = np.full((floor.size[1], floor.size[0]), 255, np.uint8)
    for ring in floor.page_rings(PAPER_MM):
        cv2.fillPoly(seen, [np.round(ring).astype(np.int32)], 0)
    carpet = cv2.warpAffine(seen, onto[:2], canvas.size, flags=cv2.INTER_NEAREST, borderValue=0)
    wide = 2 * max(1, round(CALM_MM * canvas.px_per_mm)) + 1
    near = cv2.dilate(place, np.ones((wide, wide), np.uint8))
    return np.where(near > 0, 0, carpet).astype(np.uint8)


def _texture(donor: Donor, scale: float) -> Texture | None:
    return texture_of(donor.shown, donor.piece.outline, donor.repeat_mm, scale) if donor.shown else None


def _part(part: Part, donor: Donor, texture: Texture | None, where: tuple[Colours, Frame]) -> tuple[Floats, str]:
    """What is seen of a donor in the place of a part, as in its own picture, and what is said of it."""
    mask, canvas = where
    if texture is None:
        return _flat(donor, part.turn_deg + donor.piece.pile_deg, canvas), NO_TEXTURE
    return texture.laid(part, canvas.matrix, mask, pile_deg=donor.piece.pile_deg)


def _as_bright(shown: Floats, texture: Texture | None, white: Floats | None) -> tuple[Floats, str]:
    """The same in the light of the floor: paper of a marker page is as white in both pictures."""
    if texture is None:
        return shown, ""
    if white is None or texture.white is None:
        return shown, OWN_LIGHT
    return shown * (white / np.maximum(texture.white, 1.0)), ""


def _flat(donor: Donor, pile_deg: float, canvas: Frame) -> Floats:
    """The donor's colour, its rows drawn where they are known and far enough apart to be seen."""
    across, down = canvas.size
    plain = np.broadcast_to(np.asarray(donor.colour, dtype=np.float64), (down, across, 3)).copy()
    row_mm, scale, matrix = donor.row_mm, canvas.px_per_mm, canvas.matrix
    if row_mm and row_mm * scale >= LEAST_ROW_PX:
        rows, columns = np.mgrid[0:down, 0:across].astype(np.float64)
        x, y = (columns - matrix[0, 2]) / scale, (matrix[1, 2] - rows) / scale
        aside = x * math.cos(math.radians(pile_deg)) - y * math.sin(math.radians(pile_deg))
        plain *= np.where((aside / row_mm) % 1.0 < ROW_SHARE, ROW_DARK, 1.0)[..., None]
    return plain
