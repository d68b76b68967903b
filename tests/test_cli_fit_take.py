"""A no at the terminal tells what would make it a yes, and `--take` goes on from there."""

import json
from pathlib import Path

import pytest

from tests.commands import Remnants
from tests.jobs import a_hall

LOG = ("log", "--style", "Velder Loop", "--lot", "4471-B", "--pile", "up")


@pytest.fixture
def short(remnants: Remnants) -> Path:
    """A job of 30 by 40 in, an inch at each seam, and a piece of 30 by 60."""
    remnants.ok(*LOG, "--tag", "R-0188", "--width", "30 in", "--length", "60 in")
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0}
    job = {"unit": "in", "job": "Fen Row 4", "style": "Velder Loop", "max_parts": 1, "patches": [patch]}
    return remnants.file("short.json", job)


SHAVE = "Shave the patch 2 in on its right side (seam), and R-0188 makes it whole."


def test_a_no_tells_the_least_change_that_helps_and_what_does_not(remnants: Remnants, short: Path) -> None:
    told = remnants.ok("fit", short)
    assert f"1: {SHAVE}" in told
    assert "Tried and of no help: smaller allowances," in told


def test_the_answer_file_has_each_change_with_its_own_answer(remnants: Remnants, short: Path) -> None:
    answer = json.loads(remnants.ok("fit", short, "--json"))
    (first, *_) = answer["bargains"]
    assert first["change"] == {"kind": "shave", "patch": "hall", "by": 2, "edge": 1, "finish": "seam"}
    assert (first["sentence"], first["verdict"], first["answer"]["verdict"]) == (SHAVE, "whole", "whole")
    assert "smaller allowances" in answer["no_help"]


def test_taking_one_goes_on_from_it(remnants: Remnants, short: Path) -> None:
    told = remnants.ok("fit", short, "--take", "1")
    assert told.startswith("Fen Row 4: YES, in one piece")
    assert "30 in × 42 in" in told
    assert "What would make it a yes" not in told


def test_it_is_held_and_cut_as_changed_and_the_ledger_says_why(remnants: Remnants, short: Path) -> None:
    assert "R-0188" in remnants.ok("hold", short, "--take", "1")
    assert "Shave the patch 2 in on its right side" in remnants.ok("history", "R-0188")
    remnants.ok("cut", "J-0001", "--yes")
    assert "all is well" in remnants.ok("verify")


@pytest.mark.parametrize("verb", ["fit", "hold", "cut"])
def test_one_that_is_not_there_is_refused(remnants: Remnants, short: Path, verb: str) -> None:
    told = remnants.refused(verb, short, "--take", "9", code=2)
    assert "--take: one change is told: give 1" in told


def test_where_nothing_is_to_be_changed_it_says_so(remnants: Remnants, short: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0200", "--width", "60 in", "--length", "60 in")
    assert "--take: no change is told that would help: leave --take out" in remnants.refused("fit", short, "--take", "1", code=2)


def test_the_seam_is_moved_and_the_ledger_says_so(remnants: Remnants) -> None:
    """30 in from pieces of 18 and 16: the seam stands at 16 and can go 2 in either way, an inch being added at each seam."""
    for tag, width in (("R-1", "18 in"), ("R-2", "18 in")):
        remnants.ok(*LOG, "--tag", tag, "--width", width, "--length", "42 in")
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0}
    job = remnants.file("hall.json", {"unit": "in", "job": "Fen Row 4", "style": "Velder Loop", "patches": [patch]})
    (seam,) = json.loads(remnants.ok("fit", job, "--json"))["patches"][0]["seams"]
    (moved,) = json.loads(remnants.ok("fit", job, "--json", "--shift-seam=-1/2 in"))["patches"][0]["seams"]
    assert moved["line"][0][0] == pytest.approx(seam["line"][0][0] - 0.5, abs=0.001)
    assert "patches[0].seam_shift: the seam of hall can't be moved by 9 in" in remnants.refused(
        "fit", job, "--shift-seam", "9in", code=2
    )
    remnants.ok("hold", job, "--shift-seam", "1/2in")
    assert "seam of hall moved 1/2 in" in remnants.ok("history", "R-1")


def test_a_piece_held_for_another_job_is_asked_for_without_a_name_and_waits_until_it_is_released(remnants: Remnants) -> None:
    remnants.ok(*LOG, "--tag", "R-0188", "--width", "60 in", "--length", "60 in")
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0}
    job = {"unit": "in", "style": "Velder Loop", "max_parts": 1, "patches": [patch]}
    remnants.ok("hold", remnants.file("theirs.json", {**job, "job": "Quill Lane 9"}), "--until", "2099-01-01")
    ours = remnants.file("ours.json", {**job, "job": "Fen Row 4"})
    told = remnants.ok("fit", ours)
    asked = "Ask for R-0188 back, which is held for another job until 1 Jan 2099, and R-0188 makes it whole."
    assert asked in " ".join(told.split())
    assert "Quill" not in told
    assert json.loads(remnants.ok("fit", ours, "--json"))["bargains"][0]["change"] == {"kind": "held", "piece": "R-0188"}
    assert "YES, in one piece" in remnants.ok("fit", ours, "--take", "1")
    assert "held for Quill Lane 9" in remnants.refused("hold", ours, "--take", "1", code=1)


def test_roll_is_told_with_its_length_and_can_be_drawn_but_not_held_before_it_is_here(remnants: Remnants, short: Path) -> None:
    """40 in and an inch at either end."""
    remnants.ok("style", "Velder Loop", "--roll-width", "144 in")
    short.write_text(short.read_text().replace('"width": 30', '"width": 60').replace('"length": 40', '"length": 80'))
    told = " ".join(remnants.ok("fit", short).split())
    assert "Order 82 in of roll, 144 in wide, and the new roll makes it whole. It must be bought" in told
    (roll,) = (each for each in json.loads(remnants.ok("fit", short, "--json"))["bargains"] if each["change"]["kind"] == "roll")
    assert roll["change"]["by"] == 82
    assert "YES, in one piece" in remnants.ok("fit", short, "--take", "1")
    assert "not in the catalogue yet: new roll. Log it once it is here" in remnants.refused("hold", short, "--take", "1", code=1)


def test_a_yes_that_shows_tells_what_would_show_less(remnants: Remnants) -> None:
    for tag, width, lot in (("R-0188", "30 in", "4471-B"), ("R-0200", "60 in", "9999-Z")):
        remnants.ok(*LOG, "--tag", tag, "--width", width, "--length", "60 in", "--lot", lot)
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0, "worn": 0}
    job = {"unit": "in", "job": "Fen Row 4", "style": "Velder Loop", "lot": "4471-B", "max_parts": 1, "patches": [patch]}
    told = remnants.ok("fit", remnants.file("shows.json", job))
    assert told.startswith("Fen Row 4: YES, in one piece")
    assert "What would show less" in told
    assert "Shave the patch 2 in on its right side (seam), and R-0188 makes it whole. What then no longer shows:" in " ".join(
        told.split()
    )


def test_roll_helps_also_where_nothing_of_the_carpet_is_left(remnants: Remnants) -> None:
    """Its colour stands on no piece any more; roll was said to be of no help then, and with a scrap it was the answer."""
    remnants.ok("style", "Velder Loop", "--construction", "loop", "--roll-width", "12ft")
    remnants.log("--tag", "R-1", "--style", "Harrow Twist", "--colour", "Slate")
    hall = json.loads(a_hall(remnants, "Alder Court 7").read_text()) | {"colour": "Oatmeal", "lot": "7"}
    job = remnants.file("job.json", hall)
    told = " ".join(remnants.ok("fit", job).split())
    assert "1: Order 32 in of roll, 144 in wide, and the new roll makes it whole." in told
    assert "roll ordered" not in told
    assert "YES, in one piece" in remnants.ok("fit", job, "--take", "1")
