"""`remnants look-back`: what is seen of a repair beside what was foretold of it."""

import re

import pytest

from tests.commands import Remnants
from tests.jobs import a_hall, hold

STEP = "R-1 0.8 ± 0.3 (graded 0.9 ± 0.3)"


@pytest.fixture
def cut(remnants: Remnants) -> Remnants:
    """A job that is cut from one piece."""
    remnants.log("--tag", "R-1", "--lot", "8")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7"), "--yes", "--by", "Bo")
    return remnants


def test_what_was_foretold_is_listed_with_what_was_seen(cut: Remnants) -> None:
    first, nobody, *_ = cut.ok("look-back", "J-0001").splitlines()
    assert first.startswith("1. hall: Carpet of R-1 beside the floor:") and nobody == "   nobody told yet what is seen"
    told = cut.ok("look-back", "J-0001", "1", "Plain", "--by", "Wim")
    assert told.splitlines()[1].startswith("   by eye: plain, as foretold (Wim, ")
    cut.ok("look-back", "Alder Court 7", "1", "--step", STEP)
    assert "by photograph: hard to find, ΔE00 0.8 ± 0.3, as foretold" in cut.ok("look-back", "J-0001")
    assert "looked at" in cut.ok("history", "R-1")
    alone = cut.ok("look-back", "J-0001", "1", "--take-back").splitlines()
    assert len(alone) == 2 and "by photograph" in alone[1]
    assert cut.ok("look-back", "J-0001", "1", "--take-back", "photograph").splitlines()[1] == nobody


def test_several_words_need_no_quotes(cut: Remnants) -> None:
    assert "by eye: seen when looked for" in cut.ok("look-back", "J-0001", "2", "seen", "when", "looked", "for")


def test_what_is_no_look_is_refused(cut: Remnants) -> None:
    refused = cut.refused("look-back", "J-0001", "1", "nice", code=2)
    assert "is nothing that can be seen of it" in refused
    for word in re.findall("`(.+?)`", refused):
        assert "nobody told yet" not in cut.ok("look-back", "J-0001", "1", word), "what is offered is taken"
    cut.ok("look-back", "J-0001", "1", "--take-back")
    assert "give a number, and one of" in cut.refused("look-back", "J-0001", "1", code=2)
    assert "give a number, and one of" in cut.refused("look-back", "J-0001", "1", "seen", "--step", STEP, code=2)
    assert "40 is none of the things foretold" in cut.refused("look-back", "J-0001", "40", "seen", code=2)
    assert "nothing was told by eye" in cut.refused("look-back", "J-0001", "1", "--take-back", code=1)


def test_before_the_cut_there_is_nothing_to_look_at(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    hold(remnants, "Alder Court 7")
    assert "nothing to look at" in remnants.ok("look-back", "J-0001")
    assert "is not cut yet" in remnants.refused("look-back", "J-0001", "1", "seen", code=1)


def test_a_seam_between_two_parts_is_kept_as_one_inside_the_patch(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "30", "--length", "20", "--lot", "8")
    remnants.ok("cut", a_hall(remnants, "Alder Court 7", parts=2), "--yes", "--by", "Bo")
    (number,) = re.findall(r"(?m)^(\d+)\. hall: Seam inside the patch", remnants.ok("look-back", "J-0001"))
    remnants.ok("look-back", "J-0001", number, "plain")
    remnants.ok("look-back", "J-0001", str(int(number) - 1), "plain")
    told = remnants.ok("foretold")
    assert "Seams inside a patch, by eye: 1 looked at" in told and "Seams with the floor, by eye: 1 looked at" in told
