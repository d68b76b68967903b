"""What cutting makes of donors: what remains, offcuts, waste; and that areas add up."""

from dataclasses import replace
from fractions import Fraction
from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.geometry import Outline, Ring, largest_rectangle, rectangle
from remnants.geometry.outline import outline_of
from remnants.ledger import Cut, CutCost, Entry, Received, replay
from remnants.ledger.balance import balance_faults
from remnants.ledger.cutting import DonorCut, cut_donors
from remnants.model import Kind, Part, PatchPlan, Piece, Plan, Verdict
from remnants.model.money import Money, shared_out
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


def entries_of(donor: Piece, made: DonorCut) -> tuple[Entry, Entry]:
    return Entry(1, 1, donor.tag, Received(donor), SIGNED), Entry(2, 2, donor.tag, made.cut, SIGNED)


def received_with(donor: Piece, made: DonorCut) -> dict[str, Received]:
    return {offcut.tag: Received(offcut, donor.tag) for offcut in made.offcuts}


def balanced(donor: Piece, made: DonorCut) -> bool:
    return not balance_faults(replay(entries_of(donor, made)), received_with(donor, made))


def cents_of(donor: Piece, made: DonorCut) -> tuple[int, int]:
    """What the donor had cost, and what all that came of it has of that, in minor units."""
    assert donor.cost and made.cut.cost
    own = [offcut.cost for offcut in made.offcuts]
    shares = (made.cut.cost.left, made.cut.cost.taken, made.cut.cost.waste, *own)
    return donor.cost.minor, sum(share.minor for share in shares if share)


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


def test_what_a_donor_had_cost_goes_by_area_to_what_the_cut_makes_of_it() -> None:
    donor = a_piece(width=100, cost=Money(10_000, "EUR"))  # 100.00 EUR for 100 in: 1 EUR an inch of width
    made = cut_out(donor, strip(20, 40), strip(95, 100))  # leaves 20 and 55 in, both kept
    assert made.cut.cost == CutCost(Money(5_500, "EUR"), Money(2_500, "EUR"), Money(0, "EUR"))
    assert [offcut.cost for offcut in made.offcuts] == [Money(2_000, "EUR")]
    before, after = (each.standing for each in (replay(entries_of(donor, made)[:1]), replay(entries_of(donor, made))))
    assert before and after and (before.piece.cost, after.piece.cost) == (donor.cost, Money(5_500, "EUR"))
    unknown = cut_out(a_piece(width=100), strip(20, 40))
    assert unknown.cut.cost is None and [offcut.cost for offcut in unknown.offcuts] == [None]


@given(
    cents=st.integers(0, 10**7),
    places=st.lists(st.integers(0, 100), min_size=2, max_size=6, unique=True).filter(lambda each: len(each) % 2 == 0),
    keep_in=st.integers(1, 30),
)
@settings(max_examples=60)
def test_no_cent_is_lost_or_made_by_any_cut(cents: int, places: list[int], keep_in: int) -> None:
    edges = sorted(places)
    donor = a_piece(width=101, cost=Money(cents, "EUR"))
    made = cut_out(donor, *map(strip, edges[::2], edges[1::2]), keep_mm=keep_in * IN)
    before, after = cents_of(donor, made)
    assert before == after
    assert balanced(donor, made)


def test_a_cut_whose_costs_do_not_add_up_is_told() -> None:
    donor = a_piece(width=100, cost=Money(10_000, "EUR"))
    made = cut_out(donor, strip(20, 40))
    assert made.cut.cost
    wrong = replace(made.cut, cost=replace(made.cut.cost, taken=Money(1_999, "EUR")))
    (fault,) = balance_faults(replay(entries_of(donor, replace(made, cut=wrong))), received_with(donor, made))
    assert str(fault) == "entry 2: 0.01 EUR of what R-1 had cost is with nothing that came of it"


@given(whole=st.integers(0, 10**9), areas=st.lists(st.floats(0, 1e9), min_size=1, max_size=8))
def test_shares_add_up_to_the_whole_and_are_a_minor_unit_off_at_most(whole: int, areas: list[float]) -> None:
    shares = shared_out(Money(whole, "JPY"), areas)
    assert sum(share.minor for share in shares) == whole
    total = sum(map(Fraction, areas))
    if total:
        assert all(abs(share.minor - whole * Fraction(area) / total) < 1 for share, area in zip(shares, areas, strict=True))


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
