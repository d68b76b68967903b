"""`remnants rules`: what the shop works by, shown and changed."""

from datetime import timedelta

from remnants.cli import options
from remnants.days import day_words
from tests.commands import Remnants
from tests.jobs import hold


def plain(told: str) -> str:
    """A table without its columns."""
    return " ".join(told.split())


def test_they_are_shown_with_what_they_say(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    told = remnants.ok("rules")
    assert "hold_days 14 days" in plain(told)
    assert "keep_long 18 in" in plain(told)
    assert "A leftover is kept if it holds 12 in × 18 in. After 20 patches within a year (0 so far)" in told


def test_a_change_holds_from_then_on(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "22", "--length", "40")
    told = remnants.ok("rules", "hold_days=21", "keep_short=2 ft", "keep_long=2ft", "--by", "Maud")
    assert "hold_days 21 days" in plain(told)
    assert "Maud, " in told
    assert "too small" in remnants.ok("age")  # 22 x 40 in, where 24 x 24 in is kept
    assert f"until {day_words(options.now().date() + timedelta(days=21))}: R-1" in hold(remnants, "Alder Court 7")
    assert "hold_days 14 days" in plain(remnants.ok("rules", "hold_days=usual"))


def test_what_is_no_rule_and_no_figure_is_told_at_once_and_nothing_changes(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    told = remnants.refused("rules", "hold_days=0", "keep=12in", "old_days=100", code=2)
    assert "hold_days: '0' is out of bounds: give 1 day to 366 days" in told
    assert "keep: there is no such rule; the rules are hold_days, keep_short" in told
    assert "old_days 365 days" in plain(remnants.ok("rules"))
    assert "changes no rule: write it as NAME=FIGURE" in remnants.refused("rules", "hold_days", code=2)
    assert "given twice" in remnants.refused("rules", "hold_days=3", "hold_days=4", code=2)


def test_a_key_changes_once(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("rules", "hold_days=21", "--key", "k1")
    remnants.ok("rules", "hold_days=30")
    assert "hold_days 30 days" in plain(remnants.ok("rules", "hold_days=21", "--key", "k1"))


def test_a_job_that_tells_no_allowance_has_the_shops(remnants: Remnants) -> None:
    """30 in and 1/2 in at either seam are 31; the piece is 31 in wide. A job's own figures stay."""
    remnants.log("--tag", "R-1", "--width", "31", "--length", "60")
    job = {"unit": "in", "job": "Fen Row 4", "patches": [{"name": "hall", "width": 30, "length": 40, "pile": 0}]}
    ours, own = remnants.file("ours.json", job), remnants.file("own.json", job | {"allowance": {"seam": 1}, "job": "Fen Row 5"})
    assert remnants.ok("fit", ours).startswith("Fen Row 4: NO")
    remnants.ok("rules", "seam=1/2 in", "tape_error=1/8 in")
    told = remnants.ok("fit", ours)
    assert told.startswith("Fen Row 4: YES, in one piece")
    assert "31 in × 41 in" in told
    assert remnants.ok("fit", own).startswith("Fen Row 5: NO")
    assert "R-1" in remnants.ok("hold", ours)
    remnants.ok("rules", "seam=usual")
    remnants.ok("cut", "J-0001", "--yes")  # as it was planned
    assert "all is well" in remnants.ok("verify")


def test_a_style_has_sizes_of_its_own_and_gives_them_back(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "22", "--length", "40")
    told = remnants.ok("rules", "--style", "Velder Loop", "keep_short=1 m", "keep_long=1 m", "--by", "Maud")
    assert "Of Velder Loop one is kept if it holds 39 3/8 in × 39 3/8 in (Maud, " in told
    assert "too small" in remnants.ok("age")
    assert "Kept is what holds 12 in × 18 in; of Velder Loop 39 3/8 in × 39 3/8 in." in remnants.ok("worth")
    assert "all is well" in remnants.ok("verify")
    assert "Of Velder Loop" not in remnants.ok("rules", "--style", "Velder Loop", "keep_short=usual", "keep_long=usual")
    assert "say what it has of its own" in remnants.refused("rules", "--style", "Velder Loop", code=2)
