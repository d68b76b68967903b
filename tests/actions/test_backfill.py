"""The floor of a closet that gave carpet is made good: few pieces, little stock, its walls walls."""

from remnants.actions.fit_job import Fitted
from remnants.actions.make_sheet import SheetWish, make_sheet, own_texts
from remnants.geometry import rectangle
from remnants.model import Finish, Kind, Piece, Style
from remnants.report.sheet import Backfill
from remnants.rules import KeepRule, LeastSizes
from tests.report.plans import IN, Layout, a_layout, a_patch, a_piece


def a_closet_cut_at_both_ends() -> Layout:
    """A closet of 69 x 20 in that gave 28 in at its left and 28 in at its right wall; 13 in stay between."""
    place = "Alder Court 7, closet"
    layout = a_layout(a_piece("L-1", rectangle(69 * IN, 20 * IN), kind=Kind.LAID, place=place))
    for name, left in (("hall", 0.0), ("den", 41.0)):
        layout.whole(a_patch(name, rectangle(26 * IN, 18 * IN).ring, edges="seam"), "L-1", (left * IN, 0.0))
    return layout


def backfill_of(layout: Layout, *stock: Piece, keep: LeastSizes | None = None) -> Backfill:
    pieces = layout.pieces | {piece.tag: piece for piece in stock}
    fitted = Fitted(layout.plan, layout.job, pieces, {"Velder Loop": Style("Velder Loop")})
    found = make_sheet(fitted, SheetWish(own_texts(), keep=keep or LeastSizes())).backfill
    assert found is not None
    return found


def test_two_holes_are_two_pieces_where_that_spares_the_stock() -> None:
    found = backfill_of(a_closet_cut_at_both_ends(), a_piece("R-1", rectangle(120 * IN, 120 * IN)))
    assert [patch.name for patch in found.job.patches] == ["hole of cut 1 in L-1", "hole of cut 2 in L-1"]
    assert [len(answer.parts) for answer in found.plan.patches] == [1, 1]
    assert [patch.edges.count(Finish.WALL) for patch in found.job.patches] == [3, 3]


def test_one_remnant_goes_wall_to_wall_where_that_costs_no_more_than_the_pieces() -> None:
    # 75 x 26 in with 3 in at each wall. Two pieces of 32 x 26 would leave 11 in, not worth keeping: it is used up either way.
    found = backfill_of(a_closet_cut_at_both_ends(), a_piece("R-1", rectangle(75 * IN, 26 * IN)))
    assert [patch.name for patch in found.job.patches] == ["floor of L-1, wall to wall"]
    assert [len(answer.parts) for answer in found.plan.patches] == [1]


def test_what_two_pieces_would_leave_counts_where_the_style_keeps_it() -> None:
    """The same remnant, of a style whose 11 x 26 in are kept: all of it is worth 1.258² / (1.258 + 4) = 0.301 m², four steps
    of 0.1 m² begun, and what is left 0.1845² / (0.1845 + 4) = 0.008 m², so that two pieces take three."""
    least = LeastSizes(own=(("Velder Loop", KeepRule(10 * IN, 18 * IN)),))
    found = backfill_of(a_closet_cut_at_both_ends(), a_piece("R-1", rectangle(75 * IN, 26 * IN)), keep=least)
    assert [patch.name for patch in found.job.patches] == ["hole of cut 1 in L-1", "hole of cut 2 in L-1"]


def test_nobody_elses_carpet_goes_into_a_closet() -> None:
    other = a_piece("K-9", rectangle(120 * IN, 120 * IN), kind=Kind.KEPT, place="Finch Row 12, attic")
    found = backfill_of(a_closet_cut_at_both_ends(), other)
    assert not any(answer.parts for answer in found.plan.patches)
