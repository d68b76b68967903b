"""Holding and cutting from a page: signed, once, refused when stock changed; two people at one donor."""

import re

import pytest

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of
from tests.web.conftest import House
from tests.web.test_patch import ASKED


def shown(house: House, name: str = "Wim", **changes: str):
    """A browser, and the hidden fields of the first answer on its page."""
    browser = house.browser(name)
    page = browser.get("/patch/answer", query_string=ASKED | changes)
    form = page.text.partition('action="/jobs/hold"')[2].partition("</form>")[0]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return browser, {name: text.replace("&#34;", '"') for name, text in fields.items()}


def test_an_answer_is_held_shown_printed_and_cut_in_the_persons_name(house: House) -> None:
    wim, fields = shown(house)
    held = wim.post("/jobs/hold", data=fields)
    assert (held.status_code, held.location) == (303, "/jobs/Alder%20Court%207")
    page = wim.get(held.location).text
    assert "Held" in page and 'role="img"' in page
    for what in ("sheet", "customer", "tags"):
        printed = wim.get(f"{held.location}/{what}.pdf")
        assert printed.status_code == 200 and printed.data.startswith(b"%PDF-")
    assert wim.get(f"{held.location}/other.pdf").status_code == 404
    assert wim.post(f"{held.location}/cut", data={"key": "k1"}).status_code == 303
    assert "Cut" in wim.get(held.location).text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        entries = history_of(catalogue, "O-0007").entries
    assert [(entry.act.value, entry.signed.who) for entry in entries[-2:]] == [("held", "Wim"), ("cut", "Wim")]
    assert "Wim" in wim.get("/pieces/O-0007").text


def test_a_cut_sent_twice_is_one_cut(house: House) -> None:
    wim, fields = shown(house)
    first = wim.post("/jobs/cut", data=fields)
    assert first.status_code == 303
    again = wim.post("/jobs/cut", data=fields)
    assert again.status_code in (303, 409)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert [entry.act.value for entry in history_of(catalogue, "O-0007").entries].count("cut") == 1


def test_of_two_people_at_one_donor_one_wins_and_the_other_sees_why(house: House) -> None:
    wim, his = shown(house)
    maud, hers = shown(house, "Maud", job="Fern Row 2")
    assert wim.post("/jobs/cut", data=his).status_code == 303
    lost = maud.post("/jobs/cut", data=hers)
    assert lost.status_code == 409 and "the stock changed" in lost.text


def test_what_is_held_for_one_job_is_passed_over_for_another(house: House) -> None:
    wim, fields = shown(house)
    wim.post("/jobs/hold", data=fields)
    page = wim.get("/patch/answer", query_string=ASKED | {"job": "Fern Row 2"}).text
    assert "held for Alder Court 7" in page


def test_a_hold_can_be_let_go(house: House) -> None:
    wim, fields = shown(house)
    where = wim.post("/jobs/hold", data=fields).location
    assert wim.post(f"{where}/release", data={"key": "k2"}).status_code == 303
    assert "Released" in wim.get(where).text
    assert wim.post(f"{where}/release", data={"key": "k3"}).status_code == 409


def test_a_job_without_a_name_is_not_held(house: House) -> None:
    wim, fields = shown(house, job="")
    told = wim.post("/jobs/hold", data=fields)
    assert told.status_code == 422 and "give the job a name" in told.text


@pytest.mark.parametrize("changes", [{"digest": "0" * 32}, {"job_file": "{"}, {"job_file": ""}, {"job_file": "x" * 70_000}])
def test_a_tampered_booking_books_nothing(house: House, changes: dict[str, str]) -> None:
    wim, fields = shown(house)
    assert wim.post("/jobs/cut", data=fields | changes).status_code in (409, 422)
    assert "in stock" in wim.get("/pieces/O-0007").text


def test_a_piece_is_moved_taken_back_and_discarded(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/pieces/R-0002/move", data={"place": "Bay 12", "key": "m"}).status_code == 303
    assert "Bay 12" in wim.get("/pieces/R-0002").text
    assert "R-0002" in wim.get("/racks/Bay 12").text
    assert wim.post("/pieces/R-0002/undo", data={"key": "u"}).status_code == 303
    assert "Nothing lies here" in wim.get("/racks/Bay 12").text
    assert wim.post("/pieces/R-0002/move", data={"place": " "}).status_code == 422
    assert wim.post("/pieces/R-0002/discard", data={"why": "moth", "key": "d"}).status_code == 303
    page = wim.get("/pieces/R-0002").text
    assert "discarded" in page and "moth" in page
    assert wim.post("/pieces/R-0002/move", data={"place": "Bay 1"}).status_code == 409


def test_racks_show_what_lies_where_and_how_much_of_each_style(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.get("/racks").text
    assert "Bay 1" in page and "Velder Loop" in page
    rack = lou.get("/racks/Bay 3").text
    assert "<svg" in rack and "R-0001" in rack and "R-0002" in rack


ORDER = {"order": "Elm End 4", "roll_width": "12 ft", "name_0": "lounge", "width_0": "14 ft", "length_0": "16 ft"}


def test_rooms_are_ordered_side_by_side_with_pictures_and_a_table(house: House) -> None:
    lou = house.browser("Lou")
    page = lou.get("/order", query_string=ORDER | {"style": "Velder Loop"})
    assert page.status_code == 200 and "of roll" in page.text and "<svg" in page.text
    sheet = lou.get("/order/order.csv", query_string=ORDER)
    assert sheet.mimetype == "text/csv" and "lounge" in sheet.text


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"width_0": "zz"}, "width_0"),
        ({"width_3": "3 ft", "length_3": "", "name_3": "hall"}, "length_3"),
        ({"roll_width": "0"}, "roll_width"),
        ({"amount": "x", "currency": "EUR"}, "amount"),
    ],
)
def test_what_cant_be_read_of_an_order_is_told_at_its_field(house: House, changes: dict[str, str], field: str) -> None:
    page = house.browser("Lou").get("/order", query_string=ORDER | changes)
    assert page.status_code == 422 and f'href="#{field}"' in page.text
    assert house.browser("Lou").get("/order/order.csv", query_string=ORDER | changes).status_code == 422
