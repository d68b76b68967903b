"""Whose carpet is cut, and which floor is lifted, where a master repairer would not hesitate; as in `test_choice.py`.

Common practice, no source, unless a case says otherwise.
"""

from typing import Any

import pytest

from remnants.model import Kind
from tests.judgement.shop import ask, patch, piece

CLOSET: dict[str, Any] = {"kind": Kind.LAID, "place": "Alder Court 7, closet"}
STUDY_CLOSET: dict[str, Any] = {"kind": Kind.LAID, "place": "Alder Court 7, study closet"}
THEIRS: dict[str, Any] = {"kind": Kind.KEPT, "place": "Fennel Row 12, attic", "customer": "C-9"}


def test_the_place_of_a_kept_piece_decides_before_its_customer() -> None:
    """Who moved house may have left carpet in the old one: it belongs where it lies."""
    answer = ask(piece("K-1", kind=Kind.KEPT, place="Fennel Row 12, attic", customer="C-1"), customer="C-1")
    assert answer.verdict == "none"


def test_a_kept_piece_whose_place_names_no_house_is_its_customers() -> None:
    """The customer decides only where the place names no house."""
    own = piece("K-1", 34, 44, kind=Kind.KEPT, place="attic", customer="C-1")
    assert ask(own, piece("R-1", 140, 300), customer="C-1").chosen == {"K-1"}
    assert ask(own, piece("R-1", 140, 300), customer="C-2").chosen == {"R-1"}


def test_a_kept_piece_that_nobody_is_named_for_is_taken_for_this_houses_and_that_is_said() -> None:
    """Nothing says otherwise; the technician will see at the door."""
    answer = ask(piece("K-1", 34, 44, kind=Kind.KEPT, place="attic"), piece("R-1", 140, 300))
    assert answer.chosen == {"K-1"}
    assert any(note.startswith("K-1: taken for this house's") for note in answer.fitted.notes)


def test_a_house_is_the_same_in_capitals_and_with_a_blank_too_many() -> None:
    """An address is written by many hands."""
    assert ask(piece("K-1", kind=Kind.KEPT, place="ALDER  COURT 7, attic")).chosen == {"K-1"}


@pytest.mark.parametrize(
    ("place", "hidden", "offered"),
    [
        ("under the wardrobe", None, True),
        ("coat cupboard", None, True),
        ("landing", None, False),
        ("landing", True, True),
        ("closet", False, False),
    ],
)
def test_a_floor_is_lifted_only_where_nobody_sees_it(place: str, hidden: bool | None, *, offered: bool) -> None:
    """A closet, or under something; what somebody said of it comes before the word of its place."""
    floor = piece("L-1", kind=Kind.LAID, place=f"Alder Court 7, {place}", hidden=hidden)
    assert (ask(floor).chosen == {"L-1"}) is offered


def test_one_closet_is_lifted_before_two() -> None:
    """Each floor that is lifted has to be made good."""
    one = [piece("L-1", 20, 44, **CLOSET), piece("L-2", 20, 44, **CLOSET)]
    assert ask(piece("A-1", 20, 44, **STUDY_CLOSET), *one).chosen == {"L-1", "L-2"}


def test_half_from_the_shelf_and_half_from_a_closet_is_better_than_both_from_closets() -> None:
    """The second closet stays closed."""
    answer = ask(piece("L-1", 20, 44, **CLOSET), piece("L-2", 20, 44, **STUDY_CLOSET), piece("R-1", 20, 44))
    assert "R-1" in answer.chosen and len(answer.chosen) == 2


def test_two_own_closets_are_lifted_before_another_customer_is_called() -> None:
    """Trouble of the highest tier counts first: a call to somebody else costs more than any closet here."""
    halves = [piece("L-1", 20, 44, **CLOSET), piece("L-2", 20, 44, **STUDY_CLOSET)]
    assert ask(piece("K-1", 20, 44, **THEIRS), *halves, may_use="other customers").chosen == {"L-1", "L-2"}


def test_this_houses_closet_comes_before_another_customers_attic_that_looks_alike() -> None:
    """Nobody has to be asked for it."""
    assert ask(piece("A-1", **THEIRS), piece("L-1", **CLOSET), may_use="other customers").chosen == {"L-1"}


def test_another_customers_attic_comes_before_another_houses_floor() -> None:
    """One is fetched after a call, the other is nailed down where people live."""
    floor = piece("A-1", kind=Kind.LAID, place="Fennel Row 12, closet")
    assert ask(floor, piece("K-1", **THEIRS), may_use=("other customers", "other houses")).chosen == {"K-1"}


def test_the_closet_comes_before_a_remnant_whose_lot_nobody_knows() -> None:
    """A floor is lifted where it looks better: the right lot is 0 to 1, an unknown one 0 to 3."""
    assert ask(piece("R-1", lot=""), piece("L-1", **CLOSET)).chosen == {"L-1"}


def test_the_closet_whole_comes_before_two_remnants_joined() -> None:
    """A seam that isn't there beats any, and looks come before trouble."""
    assert ask(piece("R-1", 20, 44), piece("R-2", 20, 44), piece("L-1", **CLOSET)).chosen == {"L-1"}


def test_two_patches_are_cut_from_one_closet_rather_than_from_two() -> None:
    """One floor to make good."""
    both = (patch(name="a", room="hall", parts=1), patch(name="b", room="stairs", parts=1))
    small = piece("A-1", 33, 43, **STUDY_CLOSET)
    assert ask(small, piece("L-1", 70, 60, **CLOSET), patches=both).chosen == {"L-1"}


def test_what_another_customer_keeps_is_offered_as_a_question_where_nothing_else_fills_the_patch() -> None:
    """A no that one telephone call would turn into a yes says so, and names nobody: a customer reads it."""
    (short,) = ask(piece("K-1", **THEIRS)).fitted.plan.short
    assert short.reason.endswith("A piece kept with another customer would do: ask them first.")
    assert "Fennel" not in short.reason and "C-9" not in short.reason


def test_a_house_of_two_lots_tells_nothing_of_the_rooms() -> None:
    """Only where all of a house's carpet has one lot is that taken for the room's."""
    attic = piece("K-1", 10, 10, kind=Kind.KEPT, place="Alder Court 7, attic", lot="L1")
    cellar = piece("K-2", 10, 10, kind=Kind.KEPT, place="Alder Court 7, cellar", lot="L2")
    answer = ask(attic, cellar, piece("R-1", 140, 300), piece("R-2", 33, 43, lot="L2"), patches=(patch(lot=""),))
    assert answer.chosen == {"R-2"} and answer.seen("shade") == [(0, 3)]


def test_carpet_of_this_house_is_told_as_this_houses_and_not_as_the_same_lot() -> None:
    """That the room has the closet's lot is likely and not known."""
    match = ask(piece("L-1", **CLOSET), patches=(patch(lot=""),)).fitted.plan.patches[0].match
    assert match is not None and "this house" in match.sentence and "same lot" not in match.sentence


def test_two_pieces_told_on_one_floor_are_pointed_at_where_both_are_cut() -> None:
    """A floor is one physical thing: who measured the closet twice would cut carpet that isn't there."""
    twice = [piece("L-1", 20, 44, **CLOSET), piece("L-2", 20, 44, **CLOSET)]
    (note,) = [note for note in ask(*twice).fitted.notes if "one floor" in note]
    assert note.startswith("L-1 and L-2 are told on one floor (Alder Court 7, closet)")


def test_a_hall_is_not_mended_with_the_carpet_of_the_living_room_to_spoil_that() -> None:
    """A floor in view that gave carpet is seen too: its own patch, of the wrong lot, shows as plainly as the hall's would."""
    living = piece("L-1", 100, 100, kind=Kind.LAID, place="Alder Court 7, living room")
    assert ask(living, piece("R-1", lot="L2"), may_use="in view").chosen == {"R-1"}


def test_a_floor_in_view_is_cut_where_its_own_place_can_be_made_good_and_nothing_else_will_do() -> None:
    """The remnant is too short for the hall, and long enough for nothing; the living room is the only carpet there is."""
    living = piece("L-1", 100, 100, kind=Kind.LAID, place="Alder Court 7, living room")
    assert ask(living, piece("R-1", 20, 20, lot="L2"), may_use="in view").chosen == {"L-1"}
