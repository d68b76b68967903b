"""`remnants age`: what may not be worth its shelf."""

from datetime import timedelta

import pytest

from remnants.cli import age, options
from tests.commands import Remnants
from tests.jobs import hold


def later(monkeypatch: pytest.MonkeyPatch, days: int) -> None:
    now = options.now()
    monkeypatch.setattr(age, "now", lambda: now + timedelta(days=days))


def test_small_pieces_are_listed_with_area_and_worth(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "100", "--length", "100")
    remnants.log("--tag", "R-2", "--width", "10", "--length", "60")  # under 12 in
    told = remnants.ok("age")
    assert "R-2" in told
    assert "R-1" not in told
    assert "too small" in told
    assert "4.2 ft²" in told  # 10 x 60 / 144
    assert "1 pieces, 4.2 ft², worth 0.4 ft²" in told  # 0.387 m² x 0.387 / (0.387 + 4) = 0.0342 m² = 0.37 ft²


def test_what_is_lent_takes_no_shelf(remnants: Remnants) -> None:
    for tag in ("R-1", "R-2"):
        remnants.log("--tag", tag, "--width", "10", "--length", "60")
    remnants.ok("customer", "F-7", "--name", "Ida Invented")
    remnants.ok("lend", "R-2", "--to", "F-7")
    told = remnants.ok("age")
    assert "R-1" in told and "R-2" not in told and "1 pieces" in told


def test_old_pieces_and_those_nobody_asked_for_are_listed(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    remnants.log("--tag", "R-1")
    remnants.log("--tag", "T-1", "--style", "Fell Twist")
    hold(remnants, "Alder Court 7", "--until", "2021-01-01")
    assert remnants.ok("age") == "every piece is worth its shelf\n"
    later(monkeypatch, 100)
    told = remnants.ok("age")
    assert "T-1" in told
    assert "never asked for" in told
    assert "R-1" not in told
    later(monkeypatch, 366)
    assert "R-1" in remnants.ok("age")
    assert "R-1" not in remnants.ok("age", "--days", "400")


def test_what_is_held_laid_or_kept_is_not_listed(remnants: Remnants) -> None:
    for tag, kind in (("L-1", "laid"), ("K-1", "kept")):
        remnants.log("--tag", tag, "--kind", kind, "--width", "5", "--length", "5")
    remnants.log("--tag", "R-1", "--width", "14", "--length", "32")
    hold(remnants, "Alder Court 7")
    assert remnants.ok("age") == "every piece is worth its shelf\n"


def test_a_long_list_is_told_with_how_many_more_there_are(remnants: Remnants) -> None:
    for number, width in enumerate(("10", "5", "9"), 1):
        remnants.log("--tag", f"R-{number}", "--width", width, "--length", "60")
    told = remnants.ok("age", "--most", "2")
    assert told.index("R-2") < told.index("R-3") and "R-1" not in told, "the least worth"
    assert "3 pieces, 10.0 ft², worth" in told, "all of them: (10 + 5 + 9) x 60 / 144"
    assert told.endswith("the 2 least worth are listed; --most 3 lists them all\n")
    assert "are listed" not in remnants.ok("age", "--most", "3")
