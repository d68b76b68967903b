"""What an order leaves over: of the roll, and of the pieces that were cut. Worth keeping above a size."""

from collections.abc import Sequence

from remnants.estimating.plan import ROLL, Placed
from remnants.estimating.rules import Rules
from remnants.geometry import Outline, Ring, rectangle
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.remainders import remainders
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.model import Candidate, Leftover

__all__ = ["cut_ring", "leftovers_of"]


def cut_ring(placed: Placed) -> Ring:
    """The cut's four corners in the pile frame of its source (mm)."""
    width, length = placed.cut.width_mm, placed.cut.length_mm
    return moved_ring(((0.0, 0.0), (width, 0.0), (width, length), (0.0, length)), placed.at)


def leftovers_of(
    placed: Sequence[Placed], width_mm: float, ordered_mm: float, stock: Sequence[Candidate], rules: Rules
) -> tuple[Leftover, ...]:
    """The remains, those of the roll first (in the roll's axes), then of each piece (in its own); largest first.

    Usable above `rules.keep_side_mm` on its smaller side and `rules.keep_area_mm2` (UFGS 09 68 00, remnants clause; from memory).
    """
    found: list[Leftover] = []
    if ordered_mm > 0:
        cuts = [cut_ring(each) for each in placed if each.source == ROLL]
        found += _left(ROLL, rectangle(width_mm, ordered_mm), cuts, 0.0, rules)
    for candidate in stock:
        piece = candidate.piece
        cuts = [turned_ring(cut_ring(each), piece.pile_deg) for each in placed if each.source == piece.tag]
        if cuts:
            found += _left(piece.tag, piece.outline, cuts, piece.pile_deg, rules)
    return tuple(found)


def _left(source: str, outline: Outline, cuts: Sequence[Ring], pile_deg: float, rules: Rules) -> list[Leftover]:
    left = []
    for remain in remainders(outline, cuts):
        best = largest_rectangle(remain, pile_deg)
        worth = min(best.width_mm, best.length_mm) >= rules.keep_side_mm and remain.usable_area_mm2 >= rules.keep_area_mm2
        left.append(Leftover(source, remain, (best.width_mm, best.length_mm), (best.x, best.y), worth))
    return left
