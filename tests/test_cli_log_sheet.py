"""`remnants log` of spreadsheets and of answers at the dock."""

import io
import json

import pytest

from tests.commands import Remnants

RACKS = "Tag,Style,Width (cm),Length,Rack\na,Velder,96.5,200,Bay 3\n,Velder,120,200,Bay 4\n"


def test_columns_are_shown_before_they_are_used(remnants: Remnants) -> None:
    done = remnants("log", remnants.file("racks.csv", RACKS), "--unit", "cm")
    assert (done.code, done.out) == (0, "logged 2 pieces: a, R-0001\n")
    assert "column 'Width (cm)': width, in cm" in done.err
    assert "column 'Rack': place" in done.err


UNSURE = "may tell the place, which is not sure: say --column 'Rak=place' if it does, --column 'Rak=' to leave it out"


class Typed(io.StringIO):
    """What somebody types at a terminal."""

    def isatty(self) -> bool:
        return True


def test_a_heading_that_is_not_sure_is_never_guessed(remnants: Remnants) -> None:
    unsure = remnants.file("racks.csv", RACKS.replace("Rack", "Rak"))
    for words in ((), ("--yes",)):
        assert remnants.refused("log", unsure, *words, code=2).splitlines()[-1] == f"remnants: column 'Rak': {UNSURE}"
    assert "Bay 3" in remnants.ok("log", unsure, "--column", "Rak=place") + remnants.ok("show", "a")


def test_a_heading_that_is_not_sure_is_asked_about(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    unsure = RACKS.replace("Rack", "Rak")
    monkeypatch.setattr("sys.stdin", Typed("y\n"))
    asked = remnants.ok("log", remnants.file("racks.csv", unsure))
    assert asked.startswith("Does the column 'Rak' (such as 'Bay 3') tell the place? [y/N] logged 2 pieces")
    assert "Bay 3" in remnants.ok("show", "a")
    monkeypatch.setattr("sys.stdin", Typed("n\n"))
    remnants.ok("log", remnants.file("more.csv", unsure.replace("a,Velder", "b,Velder")))
    assert "Bay 3" not in remnants.ok("show", "b")


ROLLS = "Tag,Style,Roll Width,Length\na,Velder,12,40\nb,Velder,4 m,40\n"


def test_a_bare_figure_under_roll_width_is_asked_for_its_unit(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    """12 is the width of a roll in feet, in a shop that measures all else in inches."""
    rolls = remnants.file("rolls.csv", ROLLS)
    unsure = remnants.refused("log", rolls, "--yes", code=2)
    assert "column 'Roll Width': may tell the width, which is not sure: say --column 'Roll Width=width (ft)' if it" in unsure
    told = remnants.refused("log", rolls, "--yes", "--column", "Roll Width=width", code=2)
    assert "column 'Roll Width': '12' may be feet or another unit: say --column 'Roll Width=width (ft)', or another" in told
    monkeypatch.setattr("sys.stdin", Typed("y\nells\n\n"))
    asked = remnants("log", rolls)
    assert "In which unit are the figures under 'Roll Width', such as 12? [ft]" in asked.out
    assert "'ells' is none of mm, cm, m, in, ft" in asked.err
    assert "144 in × 40 in" in remnants.ok("show", "a", "--unit", "in")
    assert "157 1/2 in × 40 in" in remnants.ok("show", "b", "--unit", "in")
    remnants.ok(
        "log", remnants.file("more.csv", ROLLS.replace("a,", "c,").replace("b,", "d,")), "--column", "Roll Width=width (ft)"
    )
    assert "144 in × 40 in" in remnants.ok("show", "c", "--unit", "in")


def test_a_quantity_gives_as_many_pieces_with_tags_of_their_own(remnants: Remnants) -> None:
    remnants.log("--tag", "A-1-3")
    text = "Tag,Qty,Style,W,L\nA-1,4,Velder,4,5\n,2,Velder,6,7\nB-1,,Velder,8,9\na-1-2,1,Velder,8,9\n"
    done = remnants("log", remnants.file("racks.csv", text))
    assert done.out == "logged 8 pieces: A-1, A-1-4, A-1-5, A-1-6, R-0001, R-0002, B-1, a-1-2\n"
    assert 'note: row 2, column "Qty": 4 pieces, with tags of their own: A-1, A-1-4, A-1-5 to A-1-6\n' in done.err
    assert 'note: row 3, column "Qty": 2 pieces, with tags of their own: R-0001, R-0002\n' in done.err
    assert "4 in × 5 in" in remnants.ok("show", "A-1-6")


@pytest.mark.parametrize("quantity", ["0", "-1", "2.5", "three", "501", "1e2", "99999999999999999999", "²"])
def test_a_quantity_that_is_none_is_refused(remnants: Remnants, quantity: str) -> None:
    sheet = remnants.file("racks.csv", f"Tag,Style,W,L,pcs\nA-1,Velder,4,5,{quantity}\n")
    told = remnants.refused("log", sheet, code=2)
    assert "is no quantity: give a whole number from 1 to 500" in told and 'row 2, column "pcs"' in told


def test_a_row_of_several_pieces_is_set_aside_whole(remnants: Remnants) -> None:
    remnants.log("--tag", "A-1")
    sheet = remnants.file("racks.csv", "Tag,Qty,Style,W,L\nA-1,3,Velder,4,5\nB-1,2,Velder,6,7\n")
    assert remnants("log", sheet, "--skip-bad").out == "logged 2 pieces: B-1, B-1-2\n"


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
    assert "worn: 9 is out of range" in done.err
    assert "--worn" not in done.err
    one, two = remnants.ok("show", "R-0001"), remnants.ok("show", "R-0002")
    assert "40 in × 60 in" in one
    assert "clearly worn" in one
    assert all(text in two for text in ("Velder", "Oat", "4471", "Bay 1", "20 in × 30 in", "90°"))


def test_what_was_logged_stays_when_answers_end(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("Velder\n\n\n40\n60\n\n\n\nVelder\nOat\n"))
    assert remnants.ok("log", "--ask") == "logged 1 piece: R-0001\n"


SPELLED = "Tag,Style,Width,Length\na,velder  LOOP,4,5\nb,Velder lop,4,5\nc,Velder lop,6,7\nd,Fell Twist,4,5\n"


def style_of(remnants: Remnants, tag: str) -> str:
    return str(json.loads(remnants.ok("show", tag, "--json"))["pieces"][0]["style"])


def test_a_style_that_is_written_otherwise_is_asked_about(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once for each spelling; letter case and blanks alone make no other style."""
    remnants.log()
    monkeypatch.setattr("sys.stdin", Typed("y\n"))
    done = remnants("log", remnants.file("racks.csv", SPELLED))
    assert done.out == "No style is called 'Velder lop'; is 'Velder Loop' meant? [y/N] logged 4 pieces: a, b, c, d\n"
    assert "note: styles: 'velder  LOOP' is written 'Velder Loop' here, and taken for it\n" in done.err
    assert [style_of(remnants, tag) for tag in "abcd"] == ["Velder Loop", "Velder Loop", "Velder Loop", "Fell Twist"]


def test_under_yes_only_letter_case_and_blanks_are_folded(remnants: Remnants) -> None:
    remnants.log()
    done = remnants("log", remnants.file("racks.csv", SPELLED), "--yes")
    told = "'Velder lop' is kept as it is written; if 'Velder Loop' is meant, write that"
    assert f"note: styles: {told}\n" in done.err
    assert [style_of(remnants, tag) for tag in "abc"] == ["Velder Loop", "Velder lop", "Velder lop"]


def test_a_style_told_by_an_option_is_folded_too(remnants: Remnants, monkeypatch: pytest.MonkeyPatch) -> None:
    remnants.log()
    remnants.log("--style", "VELDER loop", "--tag", "b")
    monkeypatch.setattr("sys.stdin", Typed("y\n"))
    remnants.log("--style", "Velder lop", "--tag", "c")
    assert [style_of(remnants, tag) for tag in "bc"] == ["Velder Loop", "Velder Loop"]
