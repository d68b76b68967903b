"""A picture of carpet from straight above that tells its own scale: pixels a mm, and where what it shows lies in it.

What it tells stands in the JPEG's comment, figures and the photograph's SHA-256 alone: no place, time or name. A picture that is
made smaller takes it along.
"""

from __future__ import annotations

import io
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from PIL import Image

from remnants.late import Late
from remnants.photo.marker_page import BOARD_MM

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    from remnants.photo.flattened import Flattened
    from remnants.photo.measures import Point

    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["Overhead", "overhead_of", "overhead_told", "with_scale"]

MOST_PAGES_TOLD = 4
MOST_FIGURE = 1e6
"""No figure of a picture of carpet is larger."""

WHITE_SHARE = 85.0
"""Of the board's pixels, by brightness, in per cent: half of them are white paper."""

_BOARD_PX = (92, 115)
"""A pixel each 2 mm."""

_KIND = "remnants picture from above"
_COMMENT_BYTES = 4000


@dataclass(frozen=True)
class Overhead:
    """A JPEG from above, its pixels a mm, its lower left corner (mm, axes of the page), and where things lie.

    `at` is where the middle of the page lies in the axes of the room or the piece that it shows (mm), and how many degrees
    clockwise the page's top is turned from their +y. `pages` are its pages: middle (mm), turn (radians), true size of a mm.
    `size_mm` is the width and length of the piece that was measured in it, where it shows one.
    """

    jpeg: bytes
    size: tuple[int, int]
    px_per_mm: float
    corner_mm: Point
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    pages: tuple[tuple[float, float, float, float], ...] = ()
    digest: str = ""
    size_mm: Point = (0.0, 0.0)

    def colours(self) -> NDArray[np.uint8]:
        """Its pixels, rows x columns x 3."""
        with Image.open(io.BytesIO(self.jpeg), formats=("JPEG",)) as image:
            return np.asarray(image.convert("RGB"), dtype=np.uint8)

    def to_pixels(self) -> Floats:
        """What takes points of the room or the piece (x, y, 1 in mm) to its pixels: 3 x 3. It turns and never mirrors."""
        x, y, turn = self.at
        on_page = _turn(math.radians(turn)) @ np.array([[1.0, 0.0, -x], [0.0, 1.0, -y], [0.0, 0.0, 1.0]])
        return np.asarray(self._page_to_pixels() @ on_page)

    def page_rings(self, margin_mm: float) -> tuple[Floats, ...]:
        """The corners of each page's board and so much more paper round it, in its pixels."""
        to_pixels = self._page_to_pixels()
        rings = []
        for page_x, page_y, own, scale in self.pages:
            half_x, half_y = (side * scale / 2 + margin_mm for side in BOARD_MM)
            corners = np.array([(-half_x, -half_y), (half_x, -half_y), (half_x, half_y), (-half_x, half_y)])
            turned = corners @ _turn(own)[:2, :2].T + [page_x, page_y]
            rings.append((np.column_stack((turned, np.ones(4))) @ to_pixels.T)[:, :2])
        return tuple(rings)

    def _page_to_pixels(self) -> Floats:
        scale, (left, bottom) = self.px_per_mm, self.corner_mm
        top = bottom + self.size[1] / scale
        return np.array([[scale, 0.0, -left * scale - 0.5], [0.0, -scale, top * scale - 0.5], [0.0, 0.0, 1.0]])

    def white(self, colours: NDArray[np.uint8]) -> Floats | None:
        """The colour of the first page's paper, which tells the light there; None where it doesn't show all of the board."""
        if not self.pages:
            return None
        ring = self.page_rings(0.0)[0].astype(np.float32)
        if (ring < 0).any() or (ring > [self.size[0] - 1, self.size[1] - 1]).any():
            return None
        across, up = _BOARD_PX
        own = np.array([(0, up), (across, up), (across, 0), (0, 0)], dtype=np.float32)
        board = cv2.warpPerspective(colours, cv2.getPerspectiveTransform(ring, own), (across, up), flags=cv2.INTER_LINEAR)
        return np.percentile(board.reshape(-1, 3).astype(np.float64), WHITE_SHARE, axis=0)


def overhead_of(found: Flattened, at: tuple[float, float, float], size_mm: Point = (0.0, 0.0)) -> Overhead:
    """What was made flat as a picture of a room or a piece, whose page lies `at` there."""
    flat = found.flat
    middles = zip(found.camera.middles_mm(), found.camera.scales, strict=True)
    pages = tuple((float(x), float(y), float(turn), float(scale)) for (x, y, turn), scale in middles)
    return Overhead(flat.jpeg, flat.size, flat.px_per_mm, flat.corner_mm, at, pages, found.digest, size_mm)


def with_scale(picture: Overhead) -> bytes:
    """Its JPEG with its scale in the comment; the pixels stay as they are."""
    told = {
        "kind": _KIND,
        "digest": picture.digest,
        "wide": picture.size[0],
        "px_per_mm": picture.px_per_mm,
        "corner": list(picture.corner_mm),
        "at": list(picture.at),
        "pages": [list(page) for page in picture.pages[:MOST_PAGES_TOLD]],
        "size": list(picture.size_mm),
    }
    comment = json.dumps(told).encode("ascii")
    segment = b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment
    return picture.jpeg[:2] + segment + picture.jpeg[2:]


def overhead_told(jpeg: bytes, comment: bytes | None = None) -> Overhead | None:
    """The picture that a JPEG of ours tells to be, at the size that it has now; None where it tells no scale that can be read.

    `comment` is that of the picture which this one was made from, where it tells none itself.
    """
    try:
        with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
            size, own = image.size, image.info.get("comment")
    except (OSError, SyntaxError, ValueError):
        return None
    told = _read(own if comment is None else comment)
    if told is None:
        return None
    share = size[0] / told.size[0]
    return replace(told, jpeg=jpeg, size=size, px_per_mm=told.px_per_mm * share)


def _read(comment: object) -> Overhead | None:
    """What a comment tells: figures and a digest. Its width is that of the picture which it was written to."""
    if not isinstance(comment, bytes) or len(comment) > _COMMENT_BYTES or _KIND.encode() not in comment:
        return None
    try:
        told = json.loads(comment)
        pages = tuple((page[0], page[1], page[2], page[3]) for page in (_figures(each, 4) for each in told["pages"]))
        corner, at, size, (scale, wide) = (
            _figures(told["corner"], 2),
            _figures(told["at"], 3),
            _figures(told["size"], 2),
            _figures([told["px_per_mm"], told["wide"]], 2),
        )
        digest = bytes.fromhex(told["digest"]).hex()
    except (ValueError, TypeError, KeyError, IndexError, RecursionError):
        return None
    if len(pages) > MOST_PAGES_TOLD or not scale > 0 or not wide >= 1 or len(digest) != 64:
        return None
    return Overhead(b"", (int(wide), 0), scale, (corner[0], corner[1]), (at[0], at[1], at[2]), pages, digest, (size[0], size[1]))


def _figures(told: Sequence[Any], count: int) -> list[float]:
    """So many figures. Raises ValueError for anything else."""
    found = [float(each) for each in told]
    if len(found) != count or not all(math.isfinite(each) and abs(each) <= MOST_FIGURE for each in found):
        raise ValueError(told)
    return found


def _turn(angle: float) -> Floats:
    """Turns points by so many radians, counter-clockwise."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
