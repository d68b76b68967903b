"""`remnants find`: pieces by words as remembered."""

import json
from io import StringIO

import pytest
from rich.console import Console

from remnants.ledger import Stage, Standing
from remnants.report.pieces import standing_table
from remnants.units import Unit
from tests.commands import Remnants
from tests.stock_values import SIGNED, a_piece


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    for tag, style, colour in (("A-1", "Velder Loop", "Oatmeal"), ("A-2", "Velder Loop", "Slate"), ("B-1", "Fell Twist", "Moss")):
        remnants.log("--tag", tag, "--style", style, "--colour", colour)
    return remnants


@pytest.mark.parametrize(
    ("words", "tags"),
    [("velder loop oatmeal", ["A-1"]), ("veldr lop", ["A-1", "A-2"]), ("fell", ["B-1"]), ("twst mos", ["B-1"]), ("b-1", ["B-1"])],
)
def test_slips_and_shortened_words_are_forgiven(remnants: Remnants, words: str, tags: list[str]) -> None:
    found = json.loads(remnants.ok("find", *words.split(), "--json"))
    assert [piece["tag"] for piece in found["pieces"]][: len(tags)] == tags


def test_what_nothing_is_like_is_told(remnants: Remnants) -> None:
    assert remnants.ok("find", "xyzzy") == "nothing in the catalogue is like 'xyzzy'\n"


def test_more_than_asked_for_is_told(remnants: Remnants) -> None:
    assert "and 1 more" in remnants.ok("find", "velder", "--most", "1")
    assert "at least 1" in remnants.refused("find", "velder", "--most", "0", code=2)


def test_each_find_says_why(remnants: Remnants) -> None:
    told = " ".join(remnants.ok("find", "veldr", "loop", "oatmeal").split())
    assert "style: 1 letter differs; colour: same" in told


def test_what_all_finds_share_is_said_once(remnants: Remnants) -> None:
    told = remnants.ok("find", "veldr", "loop")
    assert told.startswith("all of them: style: 1 letter differs\n")
    assert told.count("differs") == 1


def test_a_find_can_be_read_at_eighty_columns() -> None:
    """No cell is cut off: each word of each piece is there whole."""
    standing = Standing(a_piece("R-0142", place="Alder Court 7, under the stairs"), Stage.STOCKED, 1, SIGNED, SIGNED.at)
    page = StringIO()
    why = ["style: 2 letters differ; colour: 1 letter differs"]
    Console(width=80, file=page).print(standing_table([standing], Unit.IN, why=why))
    shown = page.getvalue().split()
    words = "R-0142 Velder Oatmeal, 4471-B 40 60 in remnant, Alder Court stairs, new letters differ; colour: differs"
    assert set(words.split()) <= set(shown)


def test_why_a_piece_scores_as_it_does(remnants: Remnants) -> None:
    told = remnants.ok("find", "--why", "A-2", "veldr", "loop", "oatmeal")
    assert "A-2 (Velder Loop, Slate) for 'veldr loop oatmeal'" in told
    assert "style: 1 letter differs; not on it: oatmeal" in told
    assert "100 of 100, place 1" in remnants.ok("find", "--why", "B-1", "b-1")
    assert "there is no piece 'Z-9'" in remnants.refused("find", "--why", "Z-9", "velder", code=1)


def test_a_tag_misread_is_found_and_comes_first(remnants: Remnants) -> None:
    remnants.log("--tag", "R-0142", "--style", "Marsh Loop")
    found = json.loads(remnants.ok("find", "velder", "r-O142", "--json"))
    assert [piece["tag"] for piece in found["pieces"]][:1] == ["R-0142"]


def test_a_colour_word_finds_near_shades(remnants: Remnants) -> None:
    remnants.log("--tag", "C-1", "--style", "Marsh Loop", "--colour", "Nine", "--lab", "57.5,29.5,9.9")
    told = " ".join(remnants.ok("find", "dusty", "rose", "--json").split())
    assert '"C-1"' in told
    assert "shade near 'dusty rose'" in remnants.ok("find", "--why", "C-1", "dusty", "rose")


@pytest.mark.parametrize("words", ["'; DROP TABLE piece; --", '" OR 1=1', "style:*", "NEAR(a b)", "%"])
def test_words_of_a_query_language_are_only_words(remnants: Remnants, words: str) -> None:
    assert "nothing in the catalogue is like" in remnants.ok("find", words)


def test_a_flood_of_words_is_refused(remnants: Remnants) -> None:
    assert "10,000 characters" in remnants.refused("find", "x" * 10_000, code=2)
    assert "say what to look for" in remnants.refused("find", " ", code=2)


def test_what_is_logged_later_is_found_at_once(remnants: Remnants) -> None:
    """The finder is kept while nothing changes, and only then."""
    assert "nothing in the catalogue" in remnants.ok("find", "quarrow")
    remnants.log("--tag", "Q-1", "--style", "Quarrow Loop")
    assert "Q-1" in remnants.ok("find", "quarrow")


def test_what_is_discarded_is_found_no_more_and_again_when_that_is_undone(remnants: Remnants) -> None:
    remnants.log("--tag", "Q-1", "--style", "Quarrow Loop")
    assert "Q-1" in remnants.ok("find", "quarrow")
    remnants.ok("discard", "Q-1")
    assert "Q-1" not in remnants.ok("find", "quarrow")
    remnants.log("--tag", "Q-2", "--style", "Marsh Loop")
    assert "Q-1" not in remnants.ok("find", "quarrow", "marsh")
    assert "Q-1 (Quarrow Loop" in remnants.ok("find", "--why", "Q-1", "quarrow")
    remnants.ok("undo", "Q-1")
    assert "Q-1" in remnants.ok("find", "quarrow")
