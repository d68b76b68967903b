"""`remnants undo`: the last entry taken back by a new one."""

from tests.commands import Remnants
from tests.jobs import a_hall, hold


def test_a_cut_is_taken_back_whole_and_may_be_made_again(remnants: Remnants) -> None:
    remnants.log(
        "--tag", "R-1", "--width", "40", "--length", "20", "--kind", "laid", "--room", "closet"
    )  # joined from two parts, pile across
    before = remnants.ok("show", "R-1", "--json")
    hold(remnants, "Alder Court 7", "--until", "2131-06-01")
    remnants.ok("cut", "Alder Court 7")
    assert "R-1" in remnants.ok("undo", "R-1")
    assert remnants.ok("show", "R-1", "--json") == before
    assert "held for Alder Court 7" in remnants.ok("show", "R-1")
    assert "cut: R-1" in remnants.ok("cut", "Alder Court 7")


def test_undo_goes_back_step_by_step_until_the_piece_was_never_there(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 1")
    remnants.ok("move", "R-1", "Bay 2")
    remnants.ok("undo", "R-1")
    assert "Bay 1" in remnants.ok("show", "R-1")
    remnants.ok("undo", "R-1")
    assert "withdrawn" in remnants.ok("show", "R-1")
    assert "nothing to take back" in remnants.refused("undo", "R-1", code=1)
    remnants.log("--tag", "R-1", "--place", "Bay 3")
    assert "Bay 3" in remnants.ok("find", "velder")


def test_a_cut_stays_while_something_happened_since(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "60", "--length", "90")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7"), "--yes")
    remnants.ok("move", "R-1", "Bay 2")
    remnants.ok("undo", "R-1")  # the move
    remnants.ok("cut", a_hall(remnants, "Fir Lane 2"), "--yes")
    remnants.ok("undo", "R-1")  # the second cut
    remnants.ok("undo", "R-1")  # the first
    assert "smaller" not in remnants.ok("show", "R-1")
    assert '"width": 60' in remnants.ok("show", "R-1", "--json")
