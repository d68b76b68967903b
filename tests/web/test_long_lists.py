"""Long lists on the pages: leaf by leaf, with how many there are, each line on one leaf only."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.model import Piece
from remnants_web import count, leaves, tags
from remnants_web.leaves import leaf_of
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import Browser, House


def put(house: House, *places: str) -> None:
    """A piece at each place, R-101 and on."""
    made = [replace(a_piece(f"R-{number}"), place=place) for number, place in enumerate(places, 101)]
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, a_stock(*made), signed=SIGNED)


def leaf_by_leaf(browser: Browser, address: str, line: str) -> list[str]:
    """What of each leaf matches the `line`, from the first leaf on as its buttons lead."""
    found: list[str] = []
    while address:
        page = browser.get(address).text
        found += dict.fromkeys(re.findall(line, page))
        after = re.search(r'rel="next" href="([^"]+)"', page)
        address = after[1].replace("&amp;", "&") if after else ""
    return found


def test_a_long_rack_is_shown_leaf_by_leaf_each_piece_once(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    put(house, *["Bay 9"] * 7)
    lou, line = house.browser("Lou"), r'<span class="tag">(R-\d+)'
    whole = leaf_by_leaf(lou, "/racks/Bay 9", line)
    assert "Pieces 1 to" not in lou.get("/racks/Bay 9").text, "a short list stands whole"
    monkeypatch.setattr(leaves, "PIECES_A_LEAF", 3)
    first = lou.get("/racks/Bay 9").text
    assert "7 pieces, all to one scale" in first and "Pieces 1 to 3 of 7." in first
    assert leaf_by_leaf(lou, "/racks/Bay 9", line) == whole == [f"R-{number}" for number in range(101, 108)]
    assert "Pieces 7 to 7 of 7." in lou.get("/racks/Bay 9?leaf=40").text, "one behind the last is the last"
    assert "Pieces 1 to 3 of 7." in lou.get("/racks/Bay 9?leaf=-1").text


def test_many_places_are_listed_leaf_by_leaf_and_found_by_their_words(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    put(house, *(f"Shelf {number}" for number in range(1, 8)), "van")
    wim, line = house.browser("Wim"), r'href="/(?:racks|count)/([^"?]+)"'
    whole = {address: leaf_by_leaf(wim, address, line) for address in ("/racks", "/racks?words=shelf", "/count")}
    monkeypatch.setattr(leaves, "PLACES_A_LEAF", 4)
    for address, places in whole.items():
        assert leaf_by_leaf(wim, address, line) == places
        assert f"Places 1 to 4 of {len(places)}." in wim.get(address).text
    assert len(whole["/racks?words=shelf"]) == 7
    assert "In store 9 places" in " ".join(re.sub("<[^>]+>", " ", wim.get("/racks").text).split()), "of all leaves"


def test_a_place_too_full_to_be_ticked_says_so_and_loses_nothing_that_was_scanned(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(house, *["Bay 9"] * 7)
    monkeypatch.setattr(count, "MOST_LISTED", 2)
    monkeypatch.setattr(count, "MOST_TOLD", 2)
    wim = house.browser("Wim")
    page = wim.get("/count/Bay 9").text
    assert "Should lie here: 7" in page and "The first 2 by their tags are listed to be ticked." in page
    assert page.count('type="checkbox"') == 2
    seen = {"place": "Bay 9", "seen R-101": "R-101", "typed": "R-106\nR-107"}
    told = wim.post("/count", data=seen).text
    assert "Bay 9: 3 of 7 seen" in told and "Not seen: 4" in told and "The first 2 by their tags are listed, of 4." in told
    assert wim.post("/count", data={"place": "Bay 9", "typed": "Q-1\nQ-2\nQ-3"}).text.count("Log it") == 2


def test_tags_of_a_full_place_are_printed_leaf_by_leaf_each_once(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    put(house, *["Bay 9"] * 7)
    printed: list[str] = []

    def print_them(pieces: list[Piece], *_: object, **__: object) -> bytes:
        printed.extend(piece.tag for piece in pieces)
        return b"%PDF-"

    monkeypatch.setattr(tags, "labels_pdf", print_them)
    monkeypatch.setattr(leaves, "PIECES_A_LEAF", 3)
    wim = house.browser("Wim")
    page = wim.get("/racks/Bay 9?leaf=2").text
    assert "Print the tags of these pieces" in page and 'name="leaf" value="2"' in page
    answers = [wim.get(f"/tags.pdf?place=Bay 9&leaf={number}") for number in (1, 2, 3)]
    assert [answer.status_code for answer in answers] == [200] * 3
    assert printed == [f"R-{number}" for number in range(101, 108)]
    monkeypatch.setattr(tags, "TAGS_PRINTED", 6)
    refused = wim.get("/tags.pdf?place=Bay 9")
    assert refused.status_code == 422 and "7 tags, and at most 6 are printed at once" in refused.text
    assert wim.get("/tags.pdf?place=Nowhere&leaf=2").status_code == 404
    assert len(printed) == 7


@given(lines=st.integers(0, 60), most=st.integers(1, 9), asked=st.text(max_size=3))
def test_the_leaves_of_a_list_hold_each_line_once(lines: int, most: int, asked: str) -> None:
    listed = list(range(lines))
    first = leaf_of(lines, "", most=most)
    leaves = [leaf_of(lines, str(number), most=most) for number in range(1, first.leaves + 1)]
    assert [line for leaf in leaves for line in leaf.of(listed)] == listed
    assert all([*leaf.of(listed)] == listed[leaf.first - 1 : leaf.last] for leaf in leaves if lines)
    assert leaf_of(lines, asked, most=most) in leaves, "whatever an address asks for"
