"""`remnants discard`: out of stock for good."""

from tests.commands import Remnants
from tests.jobs import hold


def test_a_discarded_piece_is_no_longer_stock_but_stays_known(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("discard", "R-1", "--why", "water damage")
    assert "nothing in the catalogue" in remnants.ok("find", "velder")
    assert "water damage" in remnants.ok("history", "R-1")
    assert "can't be moved" in remnants.refused("move", "R-1", "Bay 2", code=1)
    remnants.ok("undo", "R-1")
    assert "R-1" in remnants.ok("find", "velder")


def test_what_is_held_is_not_discarded(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    assert "held for Alder Court 7" in remnants.refused("discard", "R-1", code=1)
