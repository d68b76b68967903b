"""`remnants find`: pieces by words as remembered."""

import json

import pytest

from tests.commands import Remnants


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
