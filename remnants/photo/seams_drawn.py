"""The seams of a repair drawn into its picture from above, each with its grade in a disc: 0 hard to find to 3 plain."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from PIL import Image

from remnants.geometry.outline import Point
from remnants.late import Late
from remnants.model.sight import Sight, SightKind
from remnants.photo.preview import QUALITY, Frame

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["SeamMark", "SeamsOver", "disc_px", "grade_text", "seam_marks", "seam_sights", "seams_drawn"]

DISC_SHARE = 0.036
"""The radius of a disc, of the picture's longer side: read on a phone, where the picture is as wide as the screen."""

INK, PAPER = (20, 20, 20), (255, 255, 255)


@dataclass(frozen=True, slots=True)
class SeamMark:
    """A seam in a picture: its corners and the middle of its disc (pixels), and its grade."""

    line: tuple[Point, ...]
    disc: Point
    grade: str


@dataclass(frozen=True, slots=True)
class SeamsOver:
    """A picture (JPEG) and the seams to be drawn over it, with the radius of their discs (pixels)."""

    jpeg: bytes
    marks: tuple[SeamMark, ...]
    radius: int

    def drawn(self) -> bytes:
        """The picture with its seams, as a JPEG without a word in it."""
        with Image.open(io.BytesIO(self.jpeg), formats=("JPEG",)) as image:
            colours = np.asarray(image.convert("RGB"))
        out = io.BytesIO()
        Image.fromarray(seams_drawn(colours, self.marks, radius=self.radius)).save(out, "JPEG", quality=QUALITY)
        return out.getvalue()


def seam_sights(sights: Iterable[Sight], patch: str) -> tuple[Sight, ...]:
    """The seams of a patch that may be seen, in the order of the plan."""
    return tuple(sight for sight in sights if sight.kind is SightKind.SEAM and sight.patch == patch and len(sight.line) > 1)


def grade_text(sight: Sight) -> str:
    """`2`, or `1-3` where it isn't sure."""
    return str(sight.worst) if sight.best == sight.worst else f"{sight.best}-{sight.worst}"


def seam_marks(sights: Sequence[Sight], frame: Frame) -> tuple[SeamMark, ...]:
    """These seams as they are drawn."""
    found = []
    for sight in sights:
        line = tuple(frame.pixel_of(point) for point in sight.line)
        found.append(SeamMark(line, _kept_in(_middle(line), frame), grade_text(sight)))
    return tuple(found)


def disc_px(frame: Frame) -> int:
    """The radius of a disc, pixels."""
    return max(9, round(DISC_SHARE * max(frame.size)))


def seams_drawn(colours: NDArray[np.uint8], marks: Sequence[SeamMark], *, radius: int) -> NDArray[np.uint8]:
    """The same picture with these seams, and discs of so many pixels."""
    made = colours.copy()
    thin = max(1, radius // 12)
    for mark in marks:
        points = np.round(np.array(mark.line)).astype(np.int32)
        for ink, wide in ((PAPER, 3 * thin), (INK, thin)):
            cv2.polylines(made, [points], isClosed=False, color=ink, thickness=wide, lineType=cv2.LINE_AA)
    for mark in marks:
        _disc(made, mark, radius)
    return made


def _kept_in(at: Point, frame: Frame) -> Point:
    """The place nearest to a point at which a disc lies whole in the picture."""
    room = disc_px(frame) + 2
    x, y = (min(max(part, room), side - room - 1) for part, side in zip(at, frame.size, strict=True))
    return x, y


def _middle(line: Sequence[Point]) -> Point:
    """The point half way along a line."""
    left = sum(math.dist(one, two) for one, two in pairwise(line)) / 2
    for one, two in pairwise(line):
        long = math.dist(one, two)
        if left <= long and long > 0:
            share = left / long
            return one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])
        left -= long
    return line[-1]


def _disc(made: NDArray[np.uint8], mark: SeamMark, radius: int) -> None:
    """A white disc with a dark rim and the grade."""
    middle = round(mark.disc[0]), round(mark.disc[1])
    cv2.circle(made, middle, radius, PAPER, -1, cv2.LINE_AA)
    cv2.circle(made, middle, radius, INK, max(2, radius // 8), cv2.LINE_AA)
    size, thick = radius / (17.0 if len(mark.grade) == 1 else 27.0), max(1, radius // 10)
    (wide, high), _ = cv2.getTextSize(mark.grade, cv2.FONT_HERSHEY_SIMPLEX, size, thick)
    place = middle[0] - wide // 2, middle[1] + high // 2
    cv2.putText(made, mark.grade, place, cv2.FONT_HERSHEY_SIMPLEX, size, INK, thick, cv2.LINE_AA)
