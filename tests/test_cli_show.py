"""`remnants show`: one piece, all that is known."""

import json

import pytest

from tests.commands import Remnants


@pytest.fixture
def remnants(remnants: Remnants) -> Remnants:
    remnants.log("--tag", "R-0142", "--lot", "4471-B", "--width", "40", "--length", "66", "--cutout", "3,3", "9,3", "9,9", "3,9")
    return remnants


def test_everything_known_is_shown_in_the_unit_asked_for(remnants: Remnants) -> None:
    shown = remnants.ok("show", "r-0142")
    assert "4471-B" in shown
    assert "40 in × 66 in, 1 cutout" in shown
    assert "18.1 ft²" in shown  # (40 x 66 - 6 x 6) / 144 = 18.08
    assert "1016 mm × 1676 mm" in remnants.ok("show", "R-0142", "--unit", "mm")


def test_json_is_a_stock_file_of_the_piece(remnants: Remnants) -> None:
    stock = json.loads(remnants.ok("show", "R-0142", "--json"))
    (piece,) = stock["pieces"]
    assert (stock["unit"], piece["tag"], piece["lot"]) == ("in", "R-0142", "4471-B")
    assert piece["outline"] == [[0, 0], [40, 0], [40, 66], [0, 66]]
    assert piece["cutouts"] == [[[3, 3], [9, 3], [9, 9], [3, 9]]]


def test_an_unknown_tag_is_refused_with_the_nearest_ones(remnants: Remnants) -> None:
    assert remnants.refused("show", "R-0124", code=1) == "remnants: no piece has the tag 'R-0124'; the nearest are R-0142\n"


def test_the_nearest_tags_are_found_whatever_the_letter_case(remnants: Remnants) -> None:
    remnants.log("--tag", "hall-blue")
    for typed in ("hal-blue", "HAL-BLUE"):
        assert remnants.refused("show", typed, code=1).endswith(f"no piece has the tag '{typed}'; the nearest are hall-blue\n")
