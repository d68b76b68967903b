"""What a donor is worth before and after its cuts, what they take of it at the least, and where a cut spoils least."""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from remnants.fitting.patch.donor import Donor
from remnants.fitting.rules import FitRules
from remnants.geometry.lie import region
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, area_mm2, bounds, perimeter_mm
from remnants.geometry.rectangles import Rectangle, largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.strips import is_square_cut
from remnants.geometry.turn import turned_ring
from remnants.rules import KeepRule

__all__ = ["best_move", "least_spoiled_mm2", "left_after", "outlines_worth_mm2", "spoiled_mm2", "worth_mm2"]

SET_MM = 4 * TOLERANCE_MM
"""A cut may reach half the tolerance out of its piece, and each of its corners may be set on a line that near."""


@lru_cache(maxsize=20_000)
def _largest(outline: Outline, pile_deg: float) -> Rectangle:
    return largest_rectangle(outline, pile_deg)


def worth_mm2(outline: Outline, pile_deg: float, rules: FitRules, *, style: str) -> float:
    """Value of a connected piece of a style (mm² of full-value carpet): 0 if it isn't worth keeping."""
    keep = rules.keep.of(style)
    if not _may_be_kept(outline, pile_deg, keep):
        return 0.0
    largest = _largest(outline, pile_deg)
    if not keep.worth_keeping(largest.width_mm, largest.length_mm):
        return 0.0
    return rules.value_mm2(outline.usable_area_mm2, largest.area_mm2)


def _may_be_kept(outline: Outline, pile_deg: float, keep: KeepRule) -> bool:
    """False where its bounds alone say that no rectangle in it is worth keeping."""
    if pile_deg % 90.0:
        return True
    left, bottom, right, top = outline.bounds
    return keep.worth_keeping(right - left, top - bottom)


def outlines_worth_mm2(outlines: Sequence[Outline], pile_deg: float, rules: FitRules, *, style: str) -> float:
    """Value of several pieces of a style together."""
    return sum(worth_mm2(outline, pile_deg, rules, style=style) for outline in outlines)


def left_after(donor: Donor, cuts: Sequence[Ring]) -> tuple[Outline, ...]:
    """What is left of a donor after cuts (piece axes, mm), largest first."""
    return remainders(donor.left, cuts)


class _Whole(NamedTuple):
    """A piece before it is cut: its worth, its usable area and its largest rectangle, all mm²."""

    worth: float
    area: float
    largest: float


@lru_cache(maxsize=20_000)
def _whole(outline: Outline, pile_deg: float, style: str, rules: FitRules) -> _Whole:
    remains = remainders(outline, ())
    return _Whole(
        outlines_worth_mm2(remains, pile_deg, rules, style=style),
        sum(remain.usable_area_mm2 for remain in remains),
        max((_largest(remain, pile_deg).area_mm2 for remain in remains), default=0.0),
    )


def spoiled_mm2(donor: Donor, cuts: Sequence[Ring], rules: FitRules) -> float:
    """Value that cuts (piece axes) take from a donor, mm²."""
    pile, style = donor.candidate.piece.pile_deg, donor.candidate.piece.style
    after = outlines_worth_mm2(left_after(donor, cuts), pile, rules, style=style)
    return _whole(donor.left, pile, style, rules).worth - after


def least_spoiled_mm2(donor: Donor, taken: Sequence[Ring], rules: FitRules, *, anyhow: bool = False) -> float:
    """Value (mm²) that cuts of these shapes (piece axes) take from a donor at the least, wherever on it they lie.

    What is left has the area that they don't take, and no rectangle in it is larger than that, than one was before, or than one
    beside the rectangle that a cut itself holds: all that lies clear of a w by l in a W by L is at most W - w wide or L - l long.
    `anyhow`: each shape may be parted once more before it is cut.
    """
    pile, style = donor.candidate.piece.pile_deg, donor.candidate.piece.style
    whole, seams = _whole(donor.left, pile, style, rules), 2 if anyhow else 1  # no seam is longer than half of what goes round
    left = max(0.0, whole.area - sum(area_mm2(ring) - seams * SET_MM * perimeter_mm(ring) for ring in taken))
    largest = min(whole.largest, left, *(() if anyhow else (_most_beside(donor.left, cut, pile) for cut in taken)))
    return whole.worth - rules.value_mm2(left, largest)


def _most_beside(outline: Outline, cut: Ring, pile_deg: float) -> float:
    """No rectangle along the pile (mm²) is larger that lies on a piece beside a cut."""
    left, bottom, right, top = bounds(turned_ring(outline.ring, -pile_deg))
    width, length, held = right - left, top - bottom, _held(cut, pile_deg)
    beside, above = width - max(0.0, held.width_mm - SET_MM), length - max(0.0, held.length_mm - SET_MM)
    return max(beside * length, above * width, 0.0)


@lru_cache(maxsize=4096)
def _held(cut: Ring, pile_deg: float) -> Rectangle:
    """A rectangle along the pile that a cut holds; of one with slanted edges, where it takes long to find, none."""
    square = is_square_cut(Outline(turned_ring(cut, -pile_deg)))
    return _largest(Outline(cut), pile_deg) if square else Rectangle(*cut[0], 0.0, 0.0)


def best_move(donor: Donor, cut: Ring, rules: FitRules, moves: Sequence[Point] | None = None) -> Point | None:
    """The move (mm, pile frame) onto the donor's ground that leaves the most worth, then the largest rectangle; None if none.

    Without `moves`, the corners of the region where the cut can lie are tried: contact with the edge on two sides.
    """
    if moves is None:
        exact = region(donor.ground, cut, slack=False).corners()
        moves = exact or region(donor.ground, cut).middles()
    if not moves:
        return None
    if len(moves) == 1:
        return moves[0]
    pile, style = donor.candidate.piece.pile_deg, donor.candidate.piece.style

    def merit(move: Point) -> tuple[float, float, float, float]:
        left, largest = left_after(donor, (donor.to_piece(cut, move),)), 0.0
        for outline in left:  # the largest first, and no rectangle is larger than what it lies in
            largest = max(largest, _largest(outline, pile).area_mm2) if outline.usable_area_mm2 > largest else largest
        return -round(outlines_worth_mm2(left, pile, rules, style=style)), -round(largest), round(move[1], 3), round(move[0], 3)

    return min(_spread(moves, rules.placements), key=merit)


def _spread(moves: Sequence[Point], most: int) -> list[Point]:
    """At most `most` of the moves, evenly over their order, the first and the last among them."""
    if len(moves) <= most:
        return list(moves)
    return [moves[round(index * (len(moves) - 1) / (most - 1))] for index in range(most)]
