"""What a donor is worth before and after its cuts, and where a cut spoils least."""

from collections.abc import Sequence
from functools import lru_cache

from remnants.fitting.patch.donor import Donor
from remnants.fitting.rules import FitRules
from remnants.geometry.lie import region
from remnants.geometry.outline import Outline, Point, Ring
from remnants.geometry.rectangles import Rectangle, largest_rectangle
from remnants.geometry.remainders import remainders

__all__ = ["best_move", "left_after", "outlines_worth_mm2", "spoiled_mm2", "worth_mm2"]


@lru_cache(maxsize=20_000)
def _largest(outline: Outline, pile_deg: float) -> Rectangle:
    return largest_rectangle(outline, pile_deg)


def worth_mm2(outline: Outline, pile_deg: float, rules: FitRules) -> float:
    """Value of a connected piece (mm² of full-value carpet): 0 if it isn't worth keeping."""
    largest = _largest(outline, pile_deg)
    if not rules.worth_keeping(largest.width_mm, largest.length_mm):
        return 0.0
    return rules.value_mm2(outline.usable_area_mm2, largest.area_mm2)


def outlines_worth_mm2(outlines: Sequence[Outline], pile_deg: float, rules: FitRules) -> float:
    """Value of several pieces together."""
    return sum(worth_mm2(outline, pile_deg, rules) for outline in outlines)


def left_after(donor: Donor, cuts: Sequence[Ring]) -> tuple[Outline, ...]:
    """What is left of a donor after cuts (piece axes, mm), largest first."""
    return remainders(donor.left, cuts)


def spoiled_mm2(donor: Donor, cuts: Sequence[Ring], rules: FitRules) -> float:
    """Value that cuts (piece axes) take from a donor, mm²."""
    pile = donor.candidate.piece.pile_deg
    before = outlines_worth_mm2(remainders(donor.left, ()), pile, rules)
    return before - outlines_worth_mm2(left_after(donor, cuts), pile, rules)


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
    pile = donor.candidate.piece.pile_deg

    def merit(move: Point) -> tuple[float, float, float, float]:
        left = left_after(donor, (donor.to_piece(cut, move),))
        largest = max((_largest(outline, pile).area_mm2 for outline in left), default=0.0)
        return -round(outlines_worth_mm2(left, pile, rules)), -round(largest), round(move[1], 3), round(move[0], 3)

    return min(_spread(moves, rules.placements), key=merit)


def _spread(moves: Sequence[Point], most: int) -> list[Point]:
    """At most `most` of the moves, evenly over their order, the first and the last among them."""
    if len(moves) <= most:
        return list(moves)
    return [moves[round(index * (len(moves) - 1) / (most - 1))] for index in range(most)]
