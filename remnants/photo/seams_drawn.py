"""The seams of a repair drawn into its picture from above, each with its grade in a disc: 0 hard to find to 3 plain."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from remnants.geometry.outline import Point
from remnants.late import Late
from remnants.model.sight import Sight, SightKind

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["grade_text", "seam_sights", "seams_drawn"]

DISC_SHARE = 0.028
"""The radius of a disc, of the picture's longer side: read on a phone, where the picture is as wide as the screen."""

INK, PAPER = (20, 20, 20), (255, 255, 255)


def seam_sights(sights: Iterable[Sight], patch: str) -> tuple[Sight, ...]:
    """The seams of a patch that may be seen, in the order of the plan."""
    return tuple(sight for sight in sights if sight.kind is SightKind.SEAM and sight.patch == patch and len(sight.line) > 1)


def grade_text(sight: Sight) -> str:
    """`2`, or `1-3` where it isn't sure."""
    return str(sight.worst) if sight.best == sight.worst else f"{sight.best}-{sight.worst}"


def seams_drawn(colours: NDArray[np.uint8], sights: Sequence[Sight], *, px_per_mm: float, corner_mm: Point) -> NDArray[np.uint8]:
    """The same picture with these seams; `corner_mm` is its lower left corner in the axes of their lines (mm)."""
    made = colours.copy()
    down, across = made.shape[:2]
    top = corner_mm[1] + down / px_per_mm
    radius = max(9, round(DISC_SHARE * max(across, down)))
    thin = max(1, radius // 12)
    lines = [[((x - corner_mm[0]) * px_per_mm - 0.5, (top - y) * px_per_mm - 0.5) for x, y in sight.line] for sight in sights]
    for line in lines:
        points = np.round(np.array(line)).astype(np.int32)
        for ink, wide in ((PAPER, 3 * thin), (INK, thin)):
            cv2.polylines(made, [points], isClosed=False, color=ink, thickness=wide, lineType=cv2.LINE_AA)
    for sight, line in zip(sights, lines, strict=True):
        _disc(made, _middle(line), radius, grade_text(sight))
    return made


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


def _disc(made: NDArray[np.uint8], at: Point, radius: int, told: str) -> None:
    """A white disc with a dark rim and what it tells, kept whole in the picture."""
    down, across = made.shape[:2]
    middle = tuple(min(max(round(part), radius + 2), side - radius - 3) for part, side in zip(at, (across, down), strict=True))
    cv2.circle(made, middle, radius, PAPER, -1, cv2.LINE_AA)
    cv2.circle(made, middle, radius, INK, max(2, radius // 8), cv2.LINE_AA)
    size, thick = radius / (17.0 if len(told) == 1 else 27.0), max(1, radius // 10)
    (wide, high), _ = cv2.getTextSize(told, cv2.FONT_HERSHEY_SIMPLEX, size, thick)
    place = middle[0] - wide // 2, middle[1] + high // 2
    cv2.putText(made, told, place, cv2.FONT_HERSHEY_SIMPLEX, size, INK, thick, cv2.LINE_AA)
