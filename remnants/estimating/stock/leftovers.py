"""What an order leaves over: of the roll, and of the pieces that were cut. Worth keeping above a size."""

from collections.abc import Collection, Sequence
from functools import lru_cache

from remnants.geometry import TOLERANCE_MM, Outline, Rectangle, Ring, largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.model import Candidate, Leftover
from remnants.model.order_plan import ROLL, Placed
from remnants.model.order_rules import OrderRules

__all__ = ["cut_ring", "kept_mm2", "leftovers_of", "spent_mm2", "worth_mm2"]


def cut_ring(placed: Placed) -> Ring:
    """The cut's four corners in the pile frame of its source (mm)."""
    return moved_ring(_ring(placed.cut.width_mm, placed.cut.length_mm), placed.at)


def _ring(width_mm: float, length_mm: float) -> Ring:
    return (0.0, 0.0), (width_mm, 0.0), (width_mm, length_mm), (0.0, length_mm)


def leftovers_of(
    placed: Sequence[Placed],
    width_mm: float,
    lengths: Sequence[tuple[float, float]],
    stock: Sequence[Candidate],
    rules: OrderRules,
) -> tuple[Leftover, ...]:
    """The remains, those of the roll first (in the roll's axes), then of each piece (in its own); largest first.

    `lengths` of roll are told by where they start and end (mm): the one that is ordered, or one of each roll.

    Usable are those that `rules.keep` says are worth keeping.
    """
    found: list[Leftover] = []
    for start, end in lengths:
        cuts = [cut_ring(each) for each in placed if each.source == ROLL and start - TOLERANCE_MM <= each.at[1] < end]
        roll = Outline(moved_ring(_ring(width_mm, end - start), (0.0, start)))  # a large order is longer than any floor
        found += _left(ROLL, roll, cuts, 0.0, rules)
    for candidate in stock:
        piece = candidate.piece
        cuts = [turned_ring(cut_ring(each), piece.pile_deg) for each in placed if each.source == piece.tag]
        if cuts:
            found += _left(piece.tag, piece.outline, cuts, piece.pile_deg, rules)
    return tuple(found)


def _left(source: str, outline: Outline, cuts: Sequence[Ring], pile_deg: float, rules: OrderRules) -> list[Leftover]:
    left = []
    for remain in remainders(outline, cuts):
        best = largest_rectangle(remain, pile_deg)
        left.append(Leftover(source, remain, (best.width_mm, best.length_mm), (best.x, best.y), _is_worth(best, rules)))
    return left


def _is_worth(best: Rectangle, rules: OrderRules) -> bool:
    return rules.keep.worth_keeping(best.width_mm, best.length_mm)


@lru_cache(maxsize=4096)
def worth_mm2(outline: Outline, pile_deg: float, rules: OrderRules) -> float:
    """Area of a piece that is worth keeping; 0 where it is too small or too narrow for that."""
    return outline.usable_area_mm2 if _is_worth(largest_rectangle(outline, pile_deg), rules) else 0.0


def kept_mm2(leftovers: Sequence[Leftover]) -> float:
    """Area of the roll's leftovers that are worth keeping."""
    return sum(left.outline.usable_area_mm2 for left in leftovers if left.usable and left.piece == ROLL)


def spent_mm2(leftovers: Sequence[Leftover], tags: Collection[str], stock: Sequence[Candidate], rules: OrderRules) -> float:
    """By how much less the pieces with these tags are worth once they are cut: area worth keeping before, less that after."""
    before = sum(worth_mm2(each.piece.outline, each.piece.pile_deg, rules) for each in stock if each.piece.tag in tags)
    return before - sum(left.outline.usable_area_mm2 for left in leftovers if left.usable and left.piece in tags)
