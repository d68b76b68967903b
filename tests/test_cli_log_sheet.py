"""`remnants log` of spreadsheets and of answers at the dock."""

import io

import pytest

from tests.commands import Remnants

RACKS = "Tag,Style,Width (cm),Length,Rack\na,Velder,96.5,200,Bay 3\n,Velder,120,200,Bay 4\n"


def test_columns_are_shown_before_they_are_used(remnants: Remnants) -> None:
    done = remnants("log", remnants.file("racks.csv", RACKS), "--unit", "cm")
    assert (done.code, done.out) == (0, "logged 2 pieces: a, R-0001\n")
    assert "column 'Width (cm)': width, in cm" in done.err
    assert "column 'Rack': place" in done.err


def test_a_guess_is_not_used_without_a_yes(remnants: Remnants) -> None:
    guess = remnants.file("racks.csv", RACKS.replace("Rack", "Rak"))
    assert "Are these columns right?" in remnants.refused("log", guess, code=2)
    remnants.ok("log", guess, "--yes")


def test_columns_can_be_told(remnants: Remnants) -> None:
    odd = remnants.file("racks.csv", "Was,Quelle,Width,Length\nVelder,R 7,40,60\n")
    assert "no column tells the style" in remnants.refused("log", odd, code=2)
    remnants.ok("log", odd, "--column", "Was=style", "--column", "Quelle=tag")
    assert "40 in × 60 in" in remnants.ok("show", "R 7")


def test_nothing_is_stored_unless_all_is_good_or_the_bad_are_skipped(remnants: Remnants) -> None:
    remnants.log("--tag", "a")
    sheet = remnants.file("racks.csv", RACKS + "c,Velder,x,1,\nd,Velder,9,9,\n")
    told = remnants.refused("log", sheet, code=2)
    assert "row 4, column \"Width (cm)\": 'x'" in told
    assert "row 2: the catalogue has a piece 'a' already" in told
    remnants.refused("show", "d", code=1)
    done = remnants("log", sheet, "--skip-bad")
    assert done.out == "logged 2 pieces: R-0001, d\n"
    beside = remnants.folder / "racks.bad.csv"
    assert str(beside) in done.err
    assert [line.split(",")[0] for line in beside.read_text().splitlines()] == ["Tag", "a", "c"]


def test_a_flood_of_bad_rows_is_told_in_short(remnants: Remnants) -> None:
    told = remnants.refused("log", remnants.file("r.csv", "style,width,length\n" + "V,x,1\n" * 80), code=2)
    assert told.count("row ") == 50
    assert "\nremnants: 80 faults; nothing was changed\n" in told
    assert told.endswith("\n  and 30 more\n")


def test_pieces_are_logged_by_answers_and_a_wrong_one_is_asked_again(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    first = ["Velder", "Oat", "4471", "40", "wide", "5 ft", "", "9", "Bay 1"]
    answers = [*first, "clearly worn", *["", "", "", "20", "30", "90", "1", ""], "."]
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(answers) + "\n"))
    done = remnants("log", "--ask")
    assert (done.code, done.out) == (0, "logged 2 pieces: R-0001, R-0002\n")
    assert "'wide' is no length" in done.err
    assert "--worn: 9 is out of range" in done.err
    one, two = remnants.ok("show", "R-0001"), remnants.ok("show", "R-0002")
    assert "40 in × 60 in" in one
    assert "clearly worn" in one
    assert all(text in two for text in ("Velder", "Oat", "4471", "Bay 1", "20 in × 30 in", "90°"))


def test_what_was_logged_stays_when_answers_end(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("Velder\n\n\n40\n60\n\n\n\nVelder\nOat\n"))
    assert remnants.ok("log", "--ask") == "logged 1 piece: R-0001\n"
