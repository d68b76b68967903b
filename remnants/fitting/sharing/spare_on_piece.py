"""How far a tape may be out before the cuts no longer lie on one piece: the measure that `slack` tells of a whole plan.

Each edge of the piece may lie e further in and each edge of every cut e further out, and the cuts, free to move, still lie on it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import permutations

from remnants.geometry.grow import drawn_in, grown
from remnants.geometry.lattice import Lattice
from remnants.geometry.lie import Ground, Region, apart, region
from remnants.geometry.outline import TOLERANCE_MM, Outline, Ring, bounds
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import turned, turned_ring
from remnants.model.piece import Piece

__all__ = ["NO_ROOM", "SPARE_MM", "Cut", "greatest", "spare_on"]

SPARE_MM = 0.25
"""How closely the spare of what is no rectangle is found: less than a tape shows."""

NO_ROOM = -1.0
"""The spare of a cut that does not lie on its piece at all."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Cut:
    """A cut of a piece (piece axes, mm) where it lies now, and what it is to become; both the same where no seam moves.

    `lattice`: the steps in which its pattern lets it move (pile frame); None where it may lie anywhere.
    """

    lies: Ring
    becomes: Ring
    lattice: Lattice | None


def spare_on(piece: Piece, own: Sequence[Cut], others: Sequence[Cut], enough_mm: float = math.inf) -> float:
    """The spare of one patch's own cuts on a piece, beside those of others (mm); below 0 where they have no room.

    Of what is no rectangle no more is looked for than `enough_mm`.
    """
    cuts = [*own, *others]
    straight = piece.outline.is_rectangle and all(cut.lattice is None and Outline(cut.becomes).is_rectangle for cut in cuts)
    if straight:
        return _of_boxes(bounds(piece.outline.ring), [(bounds(cut.lies), bounds(cut.becomes)) for cut in cuts])
    rest = remainders(piece.outline, [cut.lies for cut in others])
    if len(own) == 1:
        return max((_alone(outline, piece.pile_deg, own[0], enough_mm) for outline in rest), default=NO_ROOM)
    if len(own) == 2 and not any(cut.lattice for cut in own):
        return max((_two(outline, enough_mm, *own) for outline in rest), default=NO_ROOM)
    return min(_as_it_lies(piece.outline, cut, [other for other in cuts if other is not cut], enough_mm) for cut in own)


def _of_boxes(sheet: Box, cuts: Sequence[tuple[Box, Box]]) -> float:
    """The spare of boxes (where each lies, what it becomes) that keep their order on a rectangle, mm.

    Two boxes stay apart along the axis on which there is more between them. In a row of n boxes from edge to edge of the piece,
    its two edges take e each and every box 2e: e is at most (extent - what the boxes take) / (2n + 2). The least of all counts.
    """
    least = float("inf")
    for axis in (0, 1):
        extent = sheet[axis + 2] - sheet[axis]
        taken: dict[int, dict[int, float]] = {}
        """By the box that ends a row and the number of boxes in it: the most that such a row takes."""
        for index in sorted(range(len(cuts)), key=lambda i: cuts[i][0][axis]):
            lies, becomes = cuts[index]
            width = becomes[axis + 2] - becomes[axis]
            rows = {1: width}
            for before, its_rows in taken.items():
                if _apart(cuts[before][0], lies) == axis:
                    for count, most in its_rows.items():
                        rows[count + 1] = max(rows.get(count + 1, 0.0), most + width)
            taken[index] = rows
        for rows in taken.values():
            least = min(least, *(_each(extent - most, 2 * count + 2) for count, most in rows.items()))
    return least


def _each(left_mm: float, shares: int) -> float:
    """What is left of a row, shared out; what is short by no more than the tolerance just fits."""
    return 0.0 if -TOLERANCE_MM <= left_mm < 0 else left_mm / shares


def _apart(one: Box, two: Box) -> int:
    """The axis on which there is more between two boxes."""
    between = [max(two[axis] - one[axis + 2], one[axis] - two[axis + 2]) for axis in (0, 1)]
    return 0 if between[0] > between[1] else 1


def _alone(outline: Outline, pile_deg: float, cut: Cut, enough_mm: float) -> float:
    """The spare of one cut on what is left of a piece, wherever it then lies."""
    whole, ring = turned(outline, -pile_deg), turned_ring(cut.becomes, -pile_deg)
    room, box = whole.bounds, bounds(ring)
    most = min(room[2] - room[0] - (box[2] - box[0]), room[3] - room[1] - (box[3] - box[1])) / 4

    def holds(error_mm: float) -> bool:
        larger = grown(ring, [error_mm] * len(ring))
        return any(_lies(region(Ground(left), larger), cut.lattice) for left in drawn_in(whole, error_mm))

    return greatest(holds, min(most, enough_mm))


def _lies(found: Region, lattice: Lattice | None) -> bool:
    """True if there is a place, one to which the pattern lets the cut move."""
    if not found or lattice is None:
        return bool(found)
    return any(found.holds((float(x), float(y))) for x, y in lattice.points_in(found.box))


def _two(outline: Outline, enough_mm: float, one: Cut, two: Cut) -> float:
    """The spare of two cuts on what is left of a piece, wherever they then lie."""
    room, boxes = outline.bounds, (bounds(one.becomes), bounds(two.becomes))
    over = [room[axis + 2] - room[axis] - max(box[axis + 2] - box[axis] for box in boxes) for axis in (0, 1)]

    def holds(error_mm: float) -> bool:
        rings = [grown(cut.becomes, [error_mm] * len(cut.becomes)) for cut in (one, two)]
        grounds = [Ground(left) for left in drawn_in(outline, error_mm)]
        places = [[region(ground, ring) for ring in rings] for ground in grounds]
        if any(first and second and apart(rings[0], rings[1], first, second) for first, second in places):
            return True
        return any(a[0] and b[1] for a, b in permutations(places, 2))

    return greatest(holds, min(*over, 4 * enough_mm) / 4)


def _as_it_lies(outline: Outline, cut: Cut, others: Sequence[Cut], enough_mm: float) -> float:
    """The spare of one of several cuts on a piece that is no rectangle, none of them moved: no more than there is."""
    rest = remainders(outline, [other.lies for other in others])
    box = bounds(cut.becomes)

    def holds(error_mm: float) -> bool:
        larger = grown(cut.becomes, [error_mm] * len(cut.becomes))
        grounds = [Ground(left) for each in rest for left in drawn_in(each, error_mm)]
        return any(region(ground, larger).holds((0.0, 0.0)) for ground in grounds)

    return greatest(holds, min(box[2] - box[0], box[3] - box[1], 4 * enough_mm) / 4)


def greatest(holds: Callable[[float], bool], most: float, close_mm: float = SPARE_MM) -> float:
    """The greatest error up to `most` at which it holds, within `close_mm` below it; what holds, holds for all that is less."""
    if not holds(0.0):
        return NO_ROOM
    if most <= 0 or holds(most):
        return max(most, 0.0)
    low, high = 0.0, most
    while high - low > close_mm:
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
