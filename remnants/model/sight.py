"""A sight: something of a repair that somebody may see afterwards, with how plainly."""

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from remnants.geometry.outline import Point

__all__ = ["FLOOR_SEAM", "INNER_SEAM", "MOST_SEEN", "SEEN_WORDS", "Sight", "SightKind"]

SEEN_WORDS = ("hard to find", "seen when looked for", "seen", "plain")
"""What the grades of a sight are called, from 0."""
MOST_SEEN = len(SEEN_WORDS) - 1

FLOOR_SEAM, INNER_SEAM = "Seam with the floor", "Seam inside the patch"
"""How the sentence begins on a seam round a patch, and on one between two of its parts."""


class SightKind(StrEnum):
    """What it is that shows: another shade beside the floor's, or a seam."""

    SHADE = "shade"
    SEAM = "seam"


@dataclass(frozen=True)
class Sight:
    """One thing that may be seen. `best` and `worst`: 0 hard to find to 3 plain; `line`: a seam's corners (room, mm).

    A seam round a patch runs counter-clockwise round it; one `inside` runs between two of its parts.
    """

    kind: SightKind
    patch: str
    best: int
    worst: int
    sentence: str
    line: tuple[Point, ...] = ()
    inside: bool = False

    @property
    def length_mm(self) -> float:
        """How long a seam is, furniture over it or not; 0 of carpet."""
        return math.fsum(math.dist(one, two) for one, two in pairwise(self.line))

    @property
    def words(self) -> str:
        """`hard to find`, or `hard to find to plain`."""
        best, worst = SEEN_WORDS[self.best], SEEN_WORDS[self.worst]
        return best if best == worst else f"{best} to {worst}"
