"""Where the patterns of parts that share pieces must meet: conditions in whole numbers of repeats.

A patch that tells a motif point sets each of its parts on the lattice of its piece. Of one that tells none the second part must
meet the first: its move less that of the first is what lies between the motif points of their pieces, and whole repeats.
"""

import math
from collections.abc import Sequence

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.same_donor import WholeSteps
from remnants.fitting.sharing.options import WayPart
from remnants.geometry.lattice import Lattice
from remnants.geometry.outline import TOLERANCE_MM, Point, bounds
from remnants.geometry.turn import turned_point, whole_turn

__all__ = ["repeats_of"]

Box = tuple[float, float, float, float]
Sums = tuple[dict[int, float], dict[int, float]]


def repeats_of(
    asks: Sequence[Ask], parts: Sequence[WayPart], read_on: Sequence[Donor], *, seams: int
) -> tuple[WholeSteps, ...] | None:
    """The conditions under which the patterns of the parts meet; None where some can't in any way.

    Each part is read in the axes of a donor of its piece (`read_on`). Columns: so many seams, then x and y of each part's move.
    """
    found = []
    firsts: dict[int, int] = {}
    for index, part in enumerate(parts):
        ask = asks[part.patch]
        lattice, motif = ask.lattice_of(part.donor), part.donor.motif
        if lattice is None:
            continue
        own, box = _own_move(part, read_on[index], seams + 2 * index), _moves_within(ask, part.donor)
        if ask.motif is not None:
            if motif is None:
                return None
            found.append(_whole_steps(own, _between(ask.motif, motif), lattice, box))
        elif (first := firsts.setdefault(part.patch, index)) != index:
            other = parts[first].donor
            if motif is None or other.motif is None or ask.lattice_of(other) != lattice:
                return None
            sums = _less(own, _own_move(parts[first], read_on[first], seams + 2 * first))
            left, bottom, right, top = _moves_within(ask, other)
            apart = box[0] - right, box[1] - top, box[2] - left, box[3] - bottom
            found.append(_whole_steps(sums, _between(other.motif, motif), lattice, apart))
    return tuple(found)


def _between(one: Point, two: Point) -> Point:
    return two[0] - one[0], two[1] - one[1]


def _own_move(part: WayPart, read_on: Donor, column: int) -> Sums:
    """The move of a part in its own axes, by the columns of the one that it is read in."""
    back = whole_turn(part.donor.turn_deg - read_on.turn_deg)
    units = [turned_point(unit, back) for unit in ((1.0, 0.0), (0.0, 1.0))]
    return tuple({column: units[0][axis], column + 1: units[1][axis]} for axis in (0, 1))  # type: ignore[return-value]


def _less(one: Sums, two: Sums) -> Sums:
    x, y = (own | {column: -value for column, value in other.items()} for own, other in zip(one, two, strict=True))
    return x, y


def _moves_within(ask: Ask, donor: Donor) -> Box:
    """All moves at which a part of the patch can touch the donor, and more."""
    left, bottom, right, top = donor.box
    x0, y0, x1, y1 = bounds(ask.shape.cut)
    return left - x1, bottom - y1, right - x0, top - y0


def _whole_steps(sums: Sums, start: Point, lattice: Lattice, box: Box) -> WholeSteps:
    """The condition with as many repeats each way as reach across a box."""
    first = math.floor((box[0] - start[0] - TOLERANCE_MM) / lattice.across_mm)
    last = math.ceil((box[2] - start[0] + TOLERANCE_MM) / lattice.across_mm)
    drops = [lattice.drop * across for across in (first, last)]
    lowest = math.floor((box[1] - start[1] - TOLERANCE_MM) / lattice.along_mm - max(drops))
    highest = math.ceil((box[3] - start[1] + TOLERANCE_MM) / lattice.along_mm - min(drops))
    return WholeSteps(sums, start, lattice, (first, last), (lowest, highest))
