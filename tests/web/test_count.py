"""Counting a place on the pages: compared first, booked after a look, once however often it is sent."""

import re

import pytest

from remnants.actions import open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.customers import put_customer
from remnants.actions.show_piece import history_of, show_piece
from remnants.ledger import Act, Stage
from remnants.model.customer import Customer
from remnants_web import count
from tests.stock_values import SIGNED
from tests.web.conftest import Browser, House

SEEN_ONE = {"place": "Bay 3", "seen R-0001": "R-0001", "typed": "o-0007\nX-9\n\nR-0001"}


def shown(browser: Browser, form: dict[str, str]) -> str:
    """What stands for the count that the page showed."""
    found = re.search(r'name="shown" value="(\w+)"', browser.post("/count", data=form).text)
    assert found
    return found[1]


def test_the_page_lists_what_should_lie_there(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.get("/count/Bay 3").text
    assert 'name="seen R-0001"' in page and 'name="seen R-0002"' in page and "O-0007" not in page
    assert wim.get("/count?place=Bay 3").location.endswith("/count/Bay%203")
    assert "Bay 1" in wim.get("/count").text


def test_comparing_tells_what_is_missing_misplaced_and_unknown_and_changes_nothing(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/count", data=SEEN_ONE).text
    assert "Bay 3: 1 of 2 seen" in page
    missing, misplaced, unknown = (
        page.index("Not seen: 1"),
        page.index("elsewhere by the book: 1"),
        page.index("No such piece in stock: 1"),
    )
    assert missing < page.index("R-0002") < misplaced < page.index("O-0007") < unknown < page.index("X-9")
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert len(history_of(catalogue, "R-0002").entries) == 1


def test_booking_thousands_is_said_to_take_some_seconds(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    wim = house.browser("Wim")
    assert "seconds" not in wim.post("/count", data=SEEN_ONE).text
    monkeypatch.setattr(count, "LONG", 3)
    assert "3 entries are booked, all or none: that takes some seconds." in wim.post("/count", data=SEEN_ONE).text


def test_a_booked_count_is_in_the_ledger_with_its_person_and_books_once(house: House) -> None:
    wim = house.browser("Wim")
    form = SEEN_ONE | {"key": "count-1", "shown": shown(wim, SEEN_ONE)}
    answers = [wim.post("/count/book", data=form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert "booked" in wim.get(answers[0].location).text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert show_piece(catalogue, "R-0002").standing.stage is Stage.MISSING
        assert show_piece(catalogue, "O-0007").piece.place == "Bay 3"
        entries = history_of(catalogue, "R-0001").entries
        assert [entry.act for entry in entries] == [Act.RECEIVED, Act.COUNTED]
        assert entries[-1].signed.who == "Wim"


def test_a_misspelt_place_and_none_are_refused_with_what_was_typed_kept(house: House) -> None:
    wim = house.browser("Wim")
    answer = wim.post("/count", data={"place": "Bya 3", "typed": "Q-1"})
    assert answer.status_code == 422 and "Bay 3" in answer.text and "Q-1" in answer.text
    assert wim.post("/count", data={"typed": "R-0001"}).status_code == 422


def test_more_than_can_be_counted_is_refused_whole_so_that_no_tag_that_was_seen_counts_as_missing(house: House) -> None:
    """It was cut off at so many characters, and what stood behind was told as not seen."""
    wim = house.browser("Wim")
    typed = "\n".join(["Q-1"] * 5001 + ["R-0001", "R-0002"])
    for path in ("/count", "/count/book"):
        answer = wim.post(path, data={"place": "Bay 3", "typed": typed})
        assert answer.status_code == 422 and "at most 20,000 are counted at once; nothing was counted" in answer.text
        assert answer.text.rstrip().count("R-0002") >= 2, "what was typed is still there"
    within = "\n".join(["Q-1"] * 4990 + ["R-0001", "R-0002"])
    assert "Bay 3: 2 of 2 seen" in wim.post("/count", data={"place": "Bay 3", "typed": within}).text


def test_who_only_looks_does_not_count(house: House) -> None:
    lou = house.browser("Lou")
    assert lou.get("/count").status_code == 403
    assert lou.post("/count/book", data=SEEN_ONE).status_code == 403
    assert "Count" not in lou.get("/racks/Bay 3").text


def test_what_comes_out_otherwise_than_it_was_shown_is_not_booked(house: House) -> None:
    wim = house.browser("Wim")
    form = SEEN_ONE | {"key": "count-2", "shown": shown(wim, SEEN_ONE)}
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        move_piece(catalogue, "R-0002", "Bay 5", signed=SIGNED)
    answer = wim.post("/count/book", data=form)
    assert answer.status_code == 409 and "nothing was booked" in answer.text
    assert wim.post("/count/book", data=SEEN_ONE).status_code == 409, "what was never shown is not booked either"
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [entry.act for entry in history_of(catalogue, "R-0001").entries] == [Act.RECEIVED]


def test_a_customers_piece_that_is_seen_in_a_bay_is_said_to_be_the_shops_once_booked(house: House) -> None:
    wim = house.browser("Wim")
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_customer(catalogue, Customer("K-7", "Invented Person"), signed=SIGNED)
        move_piece(catalogue, "O-0007", "their attic", customer="K-7", signed=SIGNED)
    page = wim.post("/count", data=SEEN_ONE).text
    assert "O-0007</span> is with customer K-7 by the book, with the shop once booked." in page
    wim.post("/count/book", data=SEEN_ONE | {"key": "count-3", "shown": shown(wim, SEEN_ONE)})
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        found = show_piece(catalogue, "O-0007").piece
    assert (found.place, found.customer) == ("Bay 3", "")


def test_a_place_is_known_however_it_is_typed(house: House) -> None:
    assert house.browser("Wim").get("/count?place=bay++3").location.endswith("/count/Bay%203")


def test_one_tag_is_told_while_it_is_in_hand(house: House) -> None:
    wim = house.browser("Wim")

    def told(tag: str) -> str:
        return str(wim.get("/count/Bay 3/seen.json", query_string={"tag": tag}).get_json()["told"])

    assert told("r-0001") == "here"
    assert told("http://shop.test/pieces/O-0007") == "by the book at Bay 1; booking moves it here"
    assert told("zz").startswith("no piece has this tag")
    wim.post("/pieces/R-0002/discard")
    assert told("R-0002").startswith("by the book discarded")


def test_a_code_with_the_address_of_a_piece_is_its_tag(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/count", data={"place": "Bay 3", "typed": "http://shop.test/pieces/R-0001?x=1"}).text
    assert "Bay 3: 1 of 2 seen" in page
    assert wim.get("/find?words=http://shop.test/pieces/o-0007").location.endswith("/pieces/O-0007")
