"""Why isn't this piece the choice, and what would make it so; and which floor to measure again."""

import json
from pathlib import Path

import pytest

from remnants.actions.measure_again import measure_again
from remnants.fitting import fit
from remnants.model import Kind, Piece, Plan
from tests.commands import Remnants
from tests.fitting.builders import a_job, a_patch, a_piece

LOG = ("log", "--style", "Velder Loop", "--lot", "4471-B", "--pile", "up")


@pytest.fixture
def hall(remnants: Remnants) -> Path:
    """A job of 30 by 40 in, an inch at each seam, and R-0142 that makes it."""
    remnants.ok(*LOG, "--tag", "R-0142", "--width", "60 in", "--length", "60 in")
    patch = {"name": "hall", "width": 30, "length": 40, "pile": 0, "worn": 0}
    job = {"unit": "in", "job": "Fen Row 4", "style": "Velder Loop", "lot": "4471-B", "max_parts": 1, "patches": [patch]}
    return remnants.file("hall.json", job)


def why(remnants: Remnants, job: Path, tag: str) -> str:
    """What is said of the piece, on one line."""
    told = remnants.ok("fit", job, "--why-not", tag)
    return " ".join(told.partition(f"Why not {tag}?\n")[2].split())


def test_of_one_too_narrow_the_least_is_told_that_makes_it_do(remnants: Remnants, hall: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0188", "--width", "30 in", "--length", "60 in")
    told = why(remnants, hall, "R-0188")
    assert told.startswith("R-0188: 2 in short across the pile. Shave the patch 2 in on its right side (seam)")
    assert "R-0188 makes it whole" in told


def test_the_choice_itself_and_one_that_was_discarded_are_told_so(remnants: Remnants, hall: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0200", "--width", "60 in", "--length", "60 in")
    remnants.ok("discard", "R-0200", "--why", "moths")
    assert why(remnants, hall, "R-0142") == "R-0142 is the choice already."
    assert why(remnants, hall, "R-0200") == "R-0200 is discarded: no change of the job helps."


def test_one_held_for_another_job_is_asked_back_and_nobody_is_named(remnants: Remnants, hall: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0200", "--width", "34 in", "--length", "44 in")
    theirs = json.loads(hall.read_text()) | {"job": "Quill Lane 9", "use": ["R-0200"]}
    remnants.ok("hold", remnants.file("theirs.json", theirs), "--until", "2099-01-01")
    told = why(remnants, hall, "R-0200")
    assert "Ask for it back, which is held for another job until 1 Jan 2099" in told
    assert "Quill" not in told


def test_another_lot_is_told_with_why_it_stays_second(remnants: Remnants, hall: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0300", "--width", "34 in", "--length", "44 in", "--lot", "9999-Z")
    told = why(remnants, hall, "R-0300")
    assert "Ask for it (`--use R-0300`), and R-0300 makes it whole. By itself it isn't taken: with R-0142 less is seen." in told


def test_another_style_says_that_nothing_helps(remnants: Remnants, hall: Path) -> None:
    remnants.ok("log", "--tag", "R-0400", "--style", "Aldern Twist", "--width", "60 in", "--length", "60 in")
    assert "another style ('Aldern Twist', asked 'Velder Loop'). Nothing that was tried makes it the choice." in why(
        remnants, hall, "R-0400"
    )


def test_the_answer_file_has_it_and_a_tag_that_is_not_there_is_refused(remnants: Remnants, hall: Path) -> None:
    remnants.ok(*LOG, "--tag", "R-0188", "--width", "30 in", "--length", "60 in")
    told = json.loads(remnants.ok("fit", hall, "--why-not", "R-0188", "--json"))["why_not"]
    assert told["piece"] == "R-0188"
    assert told["change"][0] == {"kind": "shave", "patch": "hall", "by": 2, "edge": 1, "finish": "seam"}
    assert told["answer"]["verdict"] == "whole"
    assert "no piece has the tag 'R-0189'; the nearest are R-0188" in remnants.refused("fit", hall, "--why-not", "R-0189", code=2)


def again(piece: Piece, width: float, length: float) -> list[str]:
    """What is said of measuring a closet again, for a patch."""

    def fits(job: object, one: Piece) -> Plan:
        return fit(asked, [[a_piece("L-1", outline=one.outline, kind=Kind.LAID)]])

    asked = a_job(a_patch(width, length), min_part=100)
    plan = fits(asked, piece)
    return [each.sentence for each in measure_again(asked, plan, ((piece,),), fits)]


def test_a_closet_that_gives_the_patch_only_with_a_cross_seam_is_to_be_measured_again() -> None:
    """500 by 800 from a closet of 1200 by 780: 20 mm more of length make it whole."""
    assert again(a_piece("L-1", 1200, 780, kind=Kind.LAID).piece, 500, 800) == [
        "If L-1 is 20 mm longer than you measured, no cross seam is needed: measure it again."
    ]


def test_a_closet_a_little_too_narrow_for_the_patch_is_to_be_measured_again() -> None:
    assert again(a_piece("L-1", 480, 780, kind=Kind.LAID).piece, 500, 700) == [
        "If L-1 is 20 mm wider than you measured, it makes hall: measure it again."
    ]


def test_a_closet_that_makes_it_whole_is_not() -> None:
    assert not again(a_piece("L-1", 600, 900, kind=Kind.LAID).piece, 500, 800)
