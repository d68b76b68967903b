"""The form for logging a piece: what is told more rarely, and faults in the words and figures of who typed them."""

import re

import pytest

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import show_piece
from remnants.exchange import read_stock
from remnants.model import Piece
from remnants.model.money import Money
from tests.stock_values import SIGNED
from tests.web.conftest import House

FORM = {
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "lot": "4471-B",
    "shape": "rectangle",
    "width": "40",
    "length": "60",
    "pile": "0",
}


def logged(house: House, tag: str) -> Piece:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return show_piece(catalogue, tag).piece


def text_of(page: str) -> str:
    """The page's words, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).replace("&#39;", "'").replace("&#34;", '"').split())


def test_what_is_told_more_rarely_is_asked_kept_and_shown(house: House) -> None:
    more = {"fibre": "wool", "roll_number": "77-B", "received_on": "2026-02-03", "cost": "80 EUR", "hidden": "yes"}
    sent = house.browser("Maud").post("/log", data=FORM | more | {"new_tag": "R-0900", "kind": "laid", "room": "hall"})
    assert sent.status_code == 303
    piece = logged(house, "R-0900")
    assert (piece.fibre, piece.roll_number, piece.room, piece.hidden) == ("wool", "77-B", "hall", True)
    assert piece.cost == Money(8000, "EUR")
    shown = text_of(house.browser("Maud").get("/pieces/R-0900").text)
    for line in ("Fibre wool", "Roll number 77-B", "Received on 3 Feb 2026", "Cost 80.00 EUR", "Hidden yes"):
        assert line in shown


def test_a_pieces_page_tells_what_is_known_of_its_style(house: House) -> None:
    told = {"name": "Velder Loop", "construction": "loop", "mass": 2400, "pile_height": "6 mm", "backing": "2 mm"}
    told |= {"backing_material": "felt", "repeat": {"across": 12, "along": 18, "drop": 0.5}, "row": 0.25}
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock({"unit": "in", "styles": [told], "pieces": []}), signed=SIGNED)
    shown = text_of(house.browser("Lou").get("/pieces/R-0001").text)
    for line in ("Pattern 1' across × 1' 6\" along, drop 0.5", 'Row 1/4"', 'Thickness 5/16"', "Mass 2400 g/m²", "Backing felt"):
        assert line in shown, shown


@pytest.mark.parametrize("path", ["/log", "/patch", "/order", "/pieces/O-0007"])
def test_each_thing_is_asked_once_on_a_form(house: House, path: str) -> None:
    """A second field of one name sends two answers, and a draft keeps the emptier."""
    for form in re.findall(r"<form.*?</form>", house.browser("Maud").get(path).text, re.DOTALL):
        fields = re.findall(r'<(?:input|select|textarea)(?![^>]*type="(?:radio|hidden|checkbox)")[^>]*?name="([^"]+)"', form)
        assert len(fields) == len(set(fields)), path


def test_a_cost_is_asked_of_managers_shown_to_them_and_taken_from_nobody_else(house: House) -> None:
    assert 'name="cost"' in house.browser("Maud").get("/log").text
    assert 'name="cost"' not in house.browser("Wim").get("/log").text
    house.browser("Maud").post("/log", data=FORM | {"new_tag": "R-0900", "cost": "80 EUR"})
    assert "80.00 EUR" not in house.browser("Wim").get("/pieces/R-0900").text
    refused = house.browser("Wim").post("/log", data=FORM | {"new_tag": "R-0901", "cost": "80 EUR"})
    assert refused.status_code == 422
    assert "this is told by people who may manage; leave it empty" in refused.text


def test_what_is_wrong_in_a_rare_field_is_told_there_and_the_fields_stand_open(house: House) -> None:
    page = house.browser("Maud").post("/log", data=FORM | {"cost": "80"}).text
    assert "Cost : '80' is no sum: write the figure and its currency" in text_of(page)
    assert re.search(r"<details class=\"work\" open>\s*<summary>More about it", page)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"width": "-4"}, "Across : '-4' is no size"),
        ({"width": "-4", "length": "-3 cm"}, "Up : '-3 cm' is no size"),
        ({"shape": "round", "across": "-4"}, "Across the circle : '-4' is no size"),
        ({"shape": "ell", "ell_width": "-4", "ell_length": "9"}, "Across, whole : '-4' is no size"),
        ({"shape": "corners", "corners": "0,0\n4,4\n4,0\n0,4"}, "Corners, one a line : "),
        ({"width": ""}, "Across : give a length"),
        ({"worn": "awful"}, "Wear : 'awful' is no wear"),
    ],
)
def test_a_size_that_is_none_is_told_as_it_was_typed_under_the_fields_own_name(
    house: House, typed: dict[str, str], told: str
) -> None:
    answer = house.browser("Wim").post("/log", data=FORM | typed)
    assert answer.status_code == 422
    assert told in text_of(answer.text)
    assert "mm'" not in answer.text.replace("&#39;", "'"), "nobody typed millimetres"
