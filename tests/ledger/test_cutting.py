"""What cutting makes of donors: what remains, offcuts, waste; and that areas add up."""

from itertools import count

import pytest

from remnants.geometry import Outline, Ring, largest_rectangle, rectangle
from remnants.geometry.outline import outline_of
from remnants.ledger import Cut, Entry, Received, replay
from remnants.ledger.balance import balance_faults
from remnants.ledger.cutting import DonorCut, cut_donors
from remnants.model import Kind, Part, PatchPlan, Piece, Plan, Verdict
from tests.stock_values import IN, SIGNED, a_piece


def wide(remain: Outline) -> float:
    """The smaller side of its largest rectangle (mm)."""
    largest = largest_rectangle(remain)
    return min(largest.width_mm, largest.length_mm)


def cut_out(donor: Piece, *cuts: Ring, keep_mm: float = 300) -> DonorCut:
    """The donor with these cuts taken out; leftovers are kept from `keep_mm` on their smaller side."""
    parts = tuple(Part(donor.tag, cut, cut, 0, (0, 0)) for cut in cuts)
    plan = Plan("job", Verdict.WHOLE, (PatchPlan("hall", Verdict.WHOLE, parts),))
    numbers = count(1)
    (made,) = cut_donors(
        plan, {donor.tag: donor}, keep=lambda _, remain: wide(remain) >= keep_mm, new_tag=lambda: f"O-{next(numbers)}"
    )
    return made


def balanced(donor: Piece, made: DonorCut) -> bool:
    received = {offcut.tag: Received(offcut, donor.tag) for offcut in made.offcuts}
    entries = (Entry(1, 1, donor.tag, Received(donor), SIGNED), Entry(2, 2, donor.tag, made.cut, SIGNED))
    return not balance_faults(replay(entries), received)


def strip(left: float, right: float, length: float = 60) -> Ring:
    return rectangle((right - left) * IN, length * IN, (left * IN, 0)).ring


def test_the_largest_leftover_keeps_the_tag_and_the_others_get_their_own() -> None:
    donor = a_piece(width=100, motif=(90 * IN, 5 * IN), pile_deg=90, worn=2)
    made = cut_out(donor, strip(20, 40))  # leaves 20 and 60 in, both kept
    assert made.cut.remaining
    assert made.cut.remaining.bounds == pytest.approx((40 * IN, 0, 100 * IN, 60 * IN))
    (offcut,) = made.offcuts
    assert (offcut.tag, offcut.kind, offcut.style, offcut.lot, offcut.pile_deg, offcut.worn) == (
        "O-1",
        Kind.OFFCUT,
        donor.style,
        donor.lot,
        90,
        2,
    )
    assert offcut.outline.bounds == pytest.approx((0, 0, 20 * IN, 60 * IN))
    assert offcut.motif == (90 * IN, 5 * IN)
    assert balanced(donor, made)


def test_an_offcut_lies_in_axes_of_its_own_and_its_pattern_with_it() -> None:
    donor = a_piece(width=100, motif=(70 * IN, 5 * IN))
    made = cut_out(donor, strip(60, 65))  # leaves 60 and 35
    (offcut,) = made.offcuts
    assert offcut.outline.bounds == pytest.approx((0, 0, 35 * IN, 60 * IN))
    assert offcut.motif == pytest.approx((5 * IN, 5 * IN))


def test_what_is_not_worth_keeping_is_waste() -> None:
    donor = a_piece(width=100)
    made = cut_out(donor, strip(5, 100))
    assert (made.cut.remaining, made.offcuts) == (None, ())
    assert made.cut.waste_mm2 == pytest.approx(5 * 60 * IN**2)
    assert made.cut.taken_mm2 == pytest.approx(95 * 60 * IN**2)
    assert balanced(donor, made)


def test_areas_add_up_with_cutouts_and_slants_and_are_told_when_they_do_not() -> None:
    shape = outline_of([(0, 0), (2000, 100), (2500, 1500), (300, 1900)], [[(900, 900), (1100, 950), (1000, 1100)]])
    donor = Piece("L-1", Kind.LAID, "Velder Loop", "", "", shape, pile_deg=33)
    made = cut_out(donor, ((400, 300), (800, 320), (780, 700), (390, 650)), ((1500, 600), (1900, 640), (1600, 1200)))
    assert balanced(donor, made)
    wrong = Cut(made.cut.remaining, made.cut.taken_mm2 + 50_000, made.cut.waste_mm2, made.cut.offcuts)
    assert not balanced(donor, DonorCut("L-1", wrong, made.offcuts))


def test_what_a_customer_keeps_stays_kept() -> None:
    made = cut_out(a_piece(width=100, kind=Kind.KEPT), strip(20, 40))
    assert [offcut.kind for offcut in made.offcuts] == [Kind.KEPT]


def test_what_is_not_lifted_of_a_floor_stays_laid_on_it() -> None:
    closet = a_piece("L-1", width=100, kind=Kind.LAID, place="Alder Court 7", room="closet", hidden=True)
    made = cut_out(closet, strip(20, 40))
    assert made.cut.remaining
    (beside,) = made.offcuts
    assert (beside.kind, beside.place, beside.room, beside.hidden) == (Kind.LAID, "Alder Court 7", "closet", True)
    assert balanced(closet, made)


def test_a_strip_that_is_left_of_a_floor_is_no_stock_and_yet_is_there() -> None:
    closet = a_piece("L-1", width=100, kind=Kind.LAID)
    made = cut_out(closet, strip(5, 100))
    assert made.cut.remaining
    assert made.cut.remaining.bounds == pytest.approx((0, 0, 5 * IN, 60 * IN))
    assert (made.offcuts, made.cut.waste_mm2) == ((), 0)
    assert balanced(closet, made)
    gone = cut_out(closet, strip(0, 100))
    assert gone.cut.remaining is None, "all of it was lifted"
