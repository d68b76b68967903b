"""Where a pattern repeats, and where rows of tufts lie.

Everything is seen along the pile (mm): x across it, y along it. The pattern's reference point lies at every point of a lattice:
`across_mm` to the right the same point comes again, `drop` of `along_mm` further up; `along_mm` up it comes again straight above.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from remnants.errors import BadInput, Fault
from remnants.geometry.outline import TOLERANCE_MM, Point
from remnants.geometry.turn import turned_point

__all__ = ["Lattice", "Rows", "offset"]

MOST_POINTS = 1_000_000
"""More lattice points than this in one region are a slip of the unit."""


@dataclass(frozen=True, slots=True)
class Lattice:
    """The moves that bring a pattern onto itself: `across_mm` with `drop` of `along_mm`, and `along_mm`, any number of each.

    `drop` is 0 for set match, 0.5 for half-drop, 0.25 for quarter-drop. Raises BadInput when a repeat has no length.
    """

    across_mm: float
    along_mm: float
    drop: float = 0.0

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no repeat: give a length above zero")
            for name, value in (("across", self.across_mm), ("along", self.along_mm))
            if not (math.isfinite(value) and value > TOLERANCE_MM)
        ]
        if not (math.isfinite(self.drop) and 0 <= self.drop < 1):
            faults.append(Fault("drop", f"{self.drop!r} is no drop: give a share from 0 to under 1"))
        if faults:
            raise BadInput(faults)

    def move(self, across: int, along: int) -> Point:
        """The translation by whole repeats (mm): so many across, then so many along."""
        return across * self.across_mm, (across * self.drop + along) * self.along_mm

    def nearest(self, shift: Point) -> Point:
        """The translation of the lattice nearest to `shift` (mm); of equals the one further left, then lower."""
        column = math.floor(shift[0] / self.across_mm)
        reach = math.ceil(self.along_mm / 2 / self.across_mm) + 1
        moves = []
        for across in range(column - reach, column + reach + 2):
            along = math.floor(shift[1] / self.along_mm - across * self.drop)
            moves += [self.move(across, along), self.move(across, along + 1)]
        return min(moves, key=lambda move: (round(math.dist(move, shift), 6), move))

    def out_by(self, shift: Point) -> Point:
        """By how much a shift (mm) misses the nearest translation of the lattice: (0, 0) when the pattern meets."""
        nearest = self.nearest(shift)
        return shift[0] - nearest[0], shift[1] - nearest[1]

    def meets(self, shift: Point, tolerance_mm: float = TOLERANCE_MM) -> bool:
        """True when a pattern moved by `shift` (mm) lies on itself within the tolerance."""
        return math.hypot(*self.out_by(shift)) <= tolerance_mm

    def points_in(self, region: tuple[float, float, float, float], start: Point = (0.0, 0.0)) -> NDArray[np.float64]:
        """Every `start` + translation in the region (least x, least y, greatest x, greatest y; mm), as rows of (x, y).

        Its edges, and what misses them by no more than the tolerance, count as inside. Leftmost first, then lowest.
        Raises BadInput for a region that holds more than a million.
        """
        left, bottom, right, top = region
        first = math.ceil((left - TOLERANCE_MM - start[0]) / self.across_mm)
        last = math.floor((right + TOLERANCE_MM - start[0]) / self.across_mm)
        columns = np.arange(first, last + 1)
        shifted = start[1] + columns * self.drop * self.along_mm
        lowest = np.ceil((bottom - TOLERANCE_MM - shifted) / self.along_mm).astype(np.int64)
        counts = np.floor((top + TOLERANCE_MM - shifted) / self.along_mm).astype(np.int64) - lowest + 1
        counts = np.maximum(counts, 0)
        if counts.sum() > MOST_POINTS:
            raise BadInput(f"a repeat of {self.across_mm} x {self.along_mm} mm comes over a million times: check its unit")
        across = np.repeat(columns, counts)
        along = np.repeat(lowest - np.cumsum(counts) + counts, counts) + np.arange(int(counts.sum()))
        return np.column_stack([start[0] + across * self.across_mm, start[1] + (across * self.drop + along) * self.along_mm])

    def at_or_after(self, place: Point, start: Point = (0.0, 0.0)) -> Point:
        """The first `start` + translation neither left of nor below `place` (mm): the leftmost, then the lowest of them."""
        across = math.ceil((place[0] - TOLERANCE_MM - start[0]) / self.across_mm)
        along = math.ceil((place[1] - TOLERANCE_MM - start[1]) / self.along_mm - across * self.drop)
        move = self.move(across, along)
        return start[0] + move[0], start[1] + move[1]


def offset(motif: Point, pile_deg: float, onto: Point, onto_pile_deg: float) -> Point:
    """The move that lays one motif on another, both then seen along the pile (mm).

    `motif` is a point of a piece with its pile at `pile_deg`, `onto` one of a patch with its pile at `onto_pile_deg`. The pattern
    meets exactly when the piece, seen along its pile, is moved by this plus any translation of the lattice.
    """
    (x, y), (to_x, to_y) = turned_point(motif, -pile_deg), turned_point(onto, -onto_pile_deg)
    return to_x - x, to_y - y


@dataclass(frozen=True, slots=True)
class Rows:
    """The gaps between rows of tufts, which run along the pile: one at `gap_mm` and one every `spacing_mm` across from there.

    A cut with the row runs in a gap. Raises BadInput when the spacing has no length.
    """

    spacing_mm: float
    gap_mm: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.spacing_mm) and self.spacing_mm > TOLERANCE_MM):
            raise BadInput([Fault("row", f"{self.spacing_mm!r} mm is no spacing of rows: give a length above zero")])

    def at_or_before(self, x: float) -> float:
        """The last gap not right of `x` (mm); one right of it by no more than the tolerance counts."""
        return self.gap_mm + self.spacing_mm * math.floor((x + TOLERANCE_MM - self.gap_mm) / self.spacing_mm)

    def at_or_after(self, x: float) -> float:
        """The first gap not left of `x` (mm); one left of it by no more than the tolerance counts."""
        return self.gap_mm + self.spacing_mm * math.ceil((x - TOLERANCE_MM - self.gap_mm) / self.spacing_mm)

    def nearest(self, x: float) -> float:
        """The gap nearest to `x` (mm), the left one of two as near."""
        before, after = self.at_or_before(x), self.at_or_after(x)
        return before if x - before <= after - x else after

    def between(self, left: float, right: float) -> tuple[float, float] | None:
        """The widest cut from gap to gap that stays between two x (mm), or None if they hold no row."""
        first, last = self.at_or_after(left), self.at_or_before(right)
        return (first, last) if last - first > TOLERANCE_MM else None
