"""`remnants correct`: a piece told anew, and what it was told before kept."""

import json

from tests.commands import Remnants
from tests.jobs import hold


def test_only_what_is_given_changes_and_the_ledger_keeps_what_was(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--lot", "4471", "--motif", "4,7", "--cutout", "3,3", "9,3", "9,9", "--pile", "90")
    before = json.loads(remnants.ok("show", "R-1", "--json"))["pieces"][0]
    assert remnants.ok("correct", "r-1", "--lot", "4471-B", "--worn", "2") == "R-1 is corrected\n"
    after = json.loads(remnants.ok("show", "R-1", "--json"))["pieces"][0]
    assert after == before | {"lot": "4471-B", "worn": 2}
    assert "corrected" in remnants.ok("history", "R-1")
    remnants.ok("undo", "R-1")
    assert json.loads(remnants.ok("show", "R-1", "--json"))["pieces"][0] == before


def test_one_side_may_be_measured_again_or_the_whole_outline(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("correct", "R-1", "--width", "38 1/2")
    assert "38 1/2 in × 60 in" in remnants.ok("show", "R-1")
    remnants.ok("correct", "R-1", "--outline", "0,0", "9,0", "0,9")
    assert "9 in × 9 in, 3 corners" in remnants.ok("show", "R-1")
    assert "--length" in remnants.refused("correct", "R-1", "--width", "4", code=2)


def test_bad_values_are_told_by_option_and_change_nothing(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    assert "--width: 'x' is no length" in remnants.refused("correct", "R-1", "--width", "x", code=2)
    assert "say what is to be told anew" in remnants.refused("correct", "R-1", code=2)
    assert "no style is called 'Nobody'" in remnants("correct", "R-1", "--style", "Nobody").err
    assert "corrected" not in remnants.ok("history", "R-1")


def test_a_plan_made_before_a_correction_is_not_cut(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    remnants.ok("correct", "R-1", "--width", "39", "--by", "Cy")
    assert "R-1 was corrected by Cy" in remnants.refused("cut", "Alder Court 7", code=1)


def test_the_history_tells_what_a_correction_changed(remnants: Remnants) -> None:
    remnants.log("--tag", "R-9", "--width", "40", "--length", "66", "--lot", "4471")
    remnants.ok("correct", "R-9", "--width", "39", "--lot", "4471-B", "--supplier", "Invented Mill")
    told = " ".join(remnants.ok("history", "R-9").split())
    assert "corrected 39 in × 66 in (was 40 in × 66 in), lot 4471-B (was 4471)," in told
    assert "supplier Invented Mill" in told


def test_a_piece_that_is_measured_again_is_no_longer_marked_as_measured_from_a_photograph(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--photo-bar", "3/16", "--photo-digest", "ab12")
    remnants.ok("correct", "R-1", "--place", "Bay 4")
    assert json.loads(remnants.ok("show", "R-1", "--json"))["pieces"][0]["photo_digest"] == "ab12"
    remnants.ok("correct", "R-1", "--width", "39 1/2")
    told = json.loads(remnants.ok("show", "R-1", "--json"))["pieces"][0]
    assert not told.keys() & {"photo_bar", "photo_digest"}
