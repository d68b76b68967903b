"""`remnants move`: where a piece lies now."""

from tests.commands import Remnants


def test_a_moved_piece_is_found_at_its_new_place(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--place", "Bay 1")
    assert remnants.ok("move", "r-1", "Bay 4") == "R-1 is at Bay 4 now\n"
    assert "Bay 4" in remnants.ok("find", "velder")
    assert "moved to Bay 4" in remnants.ok("history", "R-1")


def test_it_is_not_moved_to_nowhere_nor_to_an_unknown_customer(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "where the piece lies" in remnants.refused("move", "R-1", " ", code=2)
    assert "no customer has the reference 'F-1'" in remnants.refused("move", "R-1", "attic", "--customer", "F-1", code=1)
