"""The dock by plain forms, as a scanner without scripts works it: each scan is answered, booked once, and can be taken back."""

import re

import pytest
from werkzeug.test import TestResponse

from remnants.actions import open_catalogue
from remnants.actions.customers import put_customer
from remnants.actions.show_piece import history_of, show_piece
from remnants.errors import NotFound
from remnants.ledger import Act, Stage
from remnants.limits import ALIKE_PIECES
from remnants.model import Piece
from remnants.model.customer import Customer
from remnants.store import pieces
from tests.stock_values import SIGNED
from tests.web.conftest import Browser, Clock, House
from tests.web.crawl import read_page

TOLD = {"style": "Harrow Twist", "colour": "Slate", "lot": "771", "width": "36", "length": "50", "pile": "90", "place": "Bay 8"}


def piece_of(house: House, tag: str) -> Piece:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return show_piece(catalogue, tag).piece


def acts_of(house: House, tag: str) -> list[Act]:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return [entry.act for entry in history_of(catalogue, tag).entries]


def scan(browser: Browser, where: str, text: str, **more: str) -> TestResponse:
    """What a scanner does on the page: it types into the field and presses Enter, and goes where it is led."""
    page = read_page(where, browser.get(where).text)
    form = next(form for form in page.forms if "scan" in form.fields and form.method == "post")
    fields = {name: value for name, value in form.fields.items() if name != "alike"}
    return browser.post(form.action, data=fields | {"scan": text} | more, follow_redirects=True)


def take_back(browser: Browser, answer: TestResponse) -> TestResponse:
    """Presses the first way to take something back that the page has."""
    page = read_page(answer.request.full_path, answer.text)
    form = next(form for form in page.forms if "undo" in form.action)
    return browser.post(form.action, data=form.fields, follow_redirects=True)


def line_of(answer: TestResponse) -> str:
    """The one large line of the answer."""
    found = re.search(r'id="dock-answer".*?<p class="big">(.*?)</p>', answer.text, re.DOTALL)
    return re.sub(r"<[^>]+>", "", found[1]) if found else ""


def test_a_rack_then_its_pieces_each_answered_and_taken_back_on_the_spot(house: House) -> None:
    wim = house.browser("Wim")
    at = scan(wim, "/dock/move", "bay 1").request.full_path
    assert at.endswith("place=Bay+1"), "the rack as the books write it"
    answer = scan(wim, at, "r-0001")
    assert line_of(answer) == "R-0001 moved to Bay 1" and piece_of(house, "R-0001").place == "Bay 1"
    assert 'name="place" value="Bay 1"' in answer.text, "the next scan goes there too"
    again = scan(wim, at, "R-0001")
    assert "lies at Bay 1 already" in line_of(again) and acts_of(house, "R-0001") == [Act.RECEIVED, Act.MOVED]
    back = take_back(wim, answer)
    assert piece_of(house, "R-0001").place == "Bay 3" and back.request.full_path.endswith("place=Bay+1")
    assert "the last thing is taken back" in back.text


def test_a_piece_before_its_rack_a_misread_code_and_nothing_are_told_and_move_nothing(house: House) -> None:
    wim = house.browser("Wim")
    assert line_of(scan(wim, "/dock/move", "R-0001")) == "Scan the rack first. R-0001 was not moved."
    assert line_of(scan(wim, "/dock/move?place=Bay 1", "  ")) == "Nothing was scanned."
    answer = scan(wim, "/dock/move?place=Bay 1", "R-001")
    assert answer.status_code == 422 and "No piece and no place is called &#39;R-001&#39;" in answer.text
    assert "R-0001" in line_of(answer) and "Scan the rack again" in line_of(answer)
    assert 'name="place" value=""' in answer.text, "it may have been a rack: nothing goes to the one before without a word"
    assert "Go on at Bay 1" in answer.text and "R-001 is a new rack" in answer.text
    assert acts_of(house, "R-0001") == [Act.RECEIVED]


def test_what_may_not_be_moved_is_told_in_the_answer(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/pieces/R-0002/discard")
    answer = scan(wim, "/dock/move?place=Bay 1", "R-0002")
    assert answer.status_code == 409 and "R-0002 is discarded" in line_of(answer) and "not moved" in line_of(answer)
    assert 'name="place" value="Bay 1"' in answer.text


def test_the_same_scan_sent_twice_is_booked_once(house: House) -> None:
    wim = house.browser("Wim")
    form = {"place": "Bay 1", "scan": "R-0001", "key": "scan-1"}
    assert [wim.post("/dock/move", data=form).status_code for _ in range(2)] == [303, 303]
    assert acts_of(house, "R-0001") == [Act.RECEIVED, Act.MOVED]


def test_a_size_is_corrected_as_it_was_shown_and_taken_back(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.get("/dock/size?scan=http://shop.test/pieces/R-0001")
    assert "4&#39; × 5&#39; 6&#34;</span> by the book" in page.text
    form = next(form for form in read_page("/", page.text).forms if "width" in form.fields)
    answer = wim.post("/dock/size", data=form.fields | {"width": "47", "length": "64 1/2"}, follow_redirects=True)
    assert line_of(answer).startswith("R-0001 corrected to")
    assert piece_of(house, "R-0001").outline.bounds == pytest.approx((0.0, 0.0, 47 * 25.4, 64.5 * 25.4))
    stale = wim.post("/dock/size", data=form.fields | {"key": "other", "width": "9", "length": "9"})
    assert stale.status_code == 422 and "meanwhile" in line_of(stale) and 'value="9"' in stale.text, "what was typed stays"
    take_back(wim, answer)
    assert piece_of(house, "R-0001").outline.bounds == pytest.approx((0.0, 0.0, 48 * 25.4, 66 * 25.4))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Bay 3", "Bay 3 is a place, not a piece. Nothing was changed."),
        ("X-9", "No piece and no place is called"),
        ("O-0007", "O-0007 is no plain rectangle."),
    ],
)
def test_what_has_no_size_to_correct_is_told(house: House, text: str, told: str) -> None:
    answer = house.browser("Wim").get("/dock/size", query_string={"scan": text})
    assert answer.status_code == 422 and line_of(answer).startswith(told)


@pytest.mark.parametrize("typed", [{"width": "zz"}, {"width": ""}, {"width": "0"}, {"seen": ""}, {"scan": "X-9"}])
def test_a_size_that_is_none_changes_nothing(house: House, typed: dict[str, str]) -> None:
    form = {"scan": "R-0001", "seen": "1", "width": "40", "length": "50"} | typed
    answer = house.browser("Wim").post("/dock/size", data=form)
    assert answer.status_code == 422 and "Nothing was changed" in line_of(answer)
    assert acts_of(house, "R-0001") == [Act.RECEIVED]


def test_new_tags_are_received_one_after_another_as_the_carpet_was_told_once(house: House) -> None:
    wim = house.browser("Wim")
    first = scan(wim, "/dock/receive", "T-100", **TOLD)
    assert line_of(first).startswith("T-100 received as")
    moved_on = scan(wim, first.request.full_path, "Bay 1")
    second = scan(wim, moved_on.request.full_path, "T-101")
    assert piece_of(house, "T-100").place == "Bay 8"
    assert piece_of(house, "T-101").place == "Bay 1", "a rack that is scanned is where the next ones lie"
    assert piece_of(house, "T-101").pile_deg == 90
    again = scan(wim, second.request.full_path, "t-101")
    assert again.status_code == 422 and "already" in line_of(again) and "Nothing was received" in line_of(again)
    take_back(wim, second)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert show_piece(catalogue, "T-101").standing.stage is Stage.WITHDRAWN


def test_an_empty_rack_is_never_taken_for_a_new_tag(house: House) -> None:
    """Once the last piece was moved away the books know of no such rack any more."""
    wim = house.browser("Wim")
    answer = scan(wim, "/dock/receive", "Bay 9", **TOLD)
    assert answer.status_code == 422 and "has a blank, as racks have" in line_of(answer)
    told = scan(wim, "/dock/receive", "rack:Bay-9", **TOLD)
    assert 'name="place" type="text" value="Bay-9"' in told.text, "as the code of a rack's label says it"
    assert scan(wim, "/dock/move", "RACK:bay 3").request.full_path.endswith("place=Bay+3")


def test_so_many_alike_come_in_as_one_booking_and_go_again_as_one(house: House) -> None:
    wim = house.browser("Wim")
    answer = scan(wim, "/dock/receive", "", alike="1", count="12", **TOLD)
    assert line_of(answer).startswith("R-0003 to R-0014, 12 pieces received as")
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        entries = [history_of(catalogue, f"R-{number:04d}").entries[0] for number in range(3, 15)]
    assert len({entry.booking for entry in entries}) == 1
    printed = re.search(r'href="(/tags.pdf\?together=[^"]+)"', answer.text)
    assert printed and wim.get(printed[1].replace("&amp;", "&")).mimetype == "application/pdf"
    take_back(wim, answer)
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert {show_piece(catalogue, f"R-{number:04d}").standing.stage for number in range(3, 15)} == {Stage.WITHDRAWN}


@pytest.mark.parametrize("count", ["", "0", "two", str(ALIKE_PIECES + 1)])
def test_no_such_number_of_pieces_is_received(house: House, count: str) -> None:
    answer = scan(house.browser("Wim"), "/dock/receive", "", alike="1", count=count, **TOLD)
    assert answer.status_code == 422 and f"from 1 to {ALIKE_PIECES}" in line_of(answer)
    assert 'value="Harrow Twist"' in answer.text


def test_a_misspelt_style_is_asked_about_and_what_lacks_is_told_with_the_scan_kept(house: House) -> None:
    wim = house.browser("Wim")
    asked = scan(wim, "/dock/receive", "T-1", **TOLD | {"style": "Harow Twist"})
    assert asked.status_code == 422 and "Which is meant?" in asked.text and 'name="scan" value="T-1"' in asked.text
    lacking = scan(wim, "/dock/receive", "T-1", **TOLD | {"pile": ""})
    assert lacking.status_code == 422 and 'name="scan" value="T-1"' in lacking.text and "way the pile lays" in lacking.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue, pytest.raises(NotFound):
        show_piece(catalogue, "T-1")


def test_the_dock_is_for_people_who_work_with_the_stock(house: House) -> None:
    lou = house.browser("Lou")
    for path in ("/dock", "/dock/move", "/dock/size", "/dock/receive"):
        assert lou.get(path).status_code == 403
    assert lou.post("/dock/move", data={"place": "Bay 1", "scan": "R-0001"}).status_code == 403
    assert 'href="/dock"' in house.browser("Wim").get("/").text


def test_a_scan_is_answered_without_loading_the_stock(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever lists all places, tags or pieces is out of reach: a known tag and a known rack need none of it."""
    wim = house.browser("Wim")
    for name in ("places", "all_tags", "every_standing", "on_hand", "labels"):
        monkeypatch.setattr(pieces, name, lambda *_, **__: pytest.fail("the stock was read"))
    assert line_of(scan(wim, "/dock/move?place=Bay 1", "R-0001")) == "R-0001 moved to Bay 1"
    assert scan(wim, "/dock/move", "Bay 3").status_code == 200


def test_nothing_is_taken_back_that_was_changed_since_or_is_no_receipt(house: House) -> None:
    wim = house.browser("Wim")
    answer = scan(wim, "/dock/receive", "", alike="1", count="2", **TOLD)
    form = next(form for form in read_page("/", answer.text).forms if "undo-received" in form.action)
    scan(wim, "/dock/move?place=Bay 1", "R-0004")
    assert wim.post(form.action, data=form.fields).status_code == 409
    assert acts_of(house, "R-0003") == [Act.RECEIVED]
    assert "Undo this" not in wim.get("/dock/receive?did=R-0003").text.split("R-0003 to R-0004")[-1].split("</li>")[0]
    moved = {"tag": "R-0004", "seen": str(int(form.fields["seen"]) + 2)}
    assert wim.post("/dock/undo-received", data=moved).status_code == 409
    assert wim.post("/dock/undo-received", data={"tag": "R-0004", "seen": ""}).status_code == 422


def lend(browser: Browser, text: str, **more: str) -> TestResponse:
    return scan(browser, "/dock/lend", text, **{"customer": "K-7", "until": "2026-03-20"} | more)


@pytest.fixture
def known(house: House) -> House:
    """The shop with a customer."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_customer(catalogue, Customer("K-7", "Invented Person"), signed=SIGNED)
    return house


def test_pieces_are_lent_by_scan_until_a_day_and_what_is_late_is_told_first(known: House, clock: Clock) -> None:
    wim = known.browser("Wim")
    answer = lend(wim, "r-0001")
    assert line_of(answer).startswith("R-0001 moved to On loan, customer K-7, lent until 20 Mar 2026")
    assert "already. Nothing was written twice" in line_of(lend(wim, "R-0001"))
    lend(wim, "R-0002", until="2026-03-10")
    out = wim.get("/dock/lent").text
    assert "2 pieces, none late" in out and out.index("R-0002") < out.index("R-0001")
    clock.wait(days=10)
    assert "2 pieces, 1 late" in known.browser("Wim").get("/dock/lent").text
    assert piece_of(known, "R-0001").customer == "K-7"
    scan(known.browser("Wim"), "/dock/move?place=Bay 3", "R-0001")
    assert piece_of(known, "R-0001").customer == "" and "R-0001" not in known.browser("Wim").get("/dock/lent").text


def test_taking_back_ends_the_loan_in_so_many_words_and_is_undone_on_the_spot(known: House) -> None:
    wim = known.browser("Wim")
    lend(wim, "R-0001")
    assert 'href="/dock/back"' in wim.get("/dock/lent").text
    asked = wim.post("/dock/back", data={"scan": "R-0001"})
    assert "Scan the rack first. R-0001 was not taken back." in asked.text and piece_of(known, "R-0001").customer == "K-7"
    assert wim.post("/dock/back", data={"scan": "Bay 3"}).location == "/dock/back?place=Bay+3"
    answer = scan(wim, "/dock/back?place=Bay 3", "R-0001")
    assert line_of(answer).startswith("R-0001 taken back from loan, to Bay 3") and "Undo this" in answer.text
    assert (piece_of(known, "R-0001").place, piece_of(known, "R-0001").customer) == ("Bay 3", "")
    again = scan(wim, "/dock/back?place=Bay 3", "R-0001")
    assert again.status_code == 409
    assert "R-0001 is not lent" in line_of(again) and "it lies at Bay 3. Nothing was written." in line_of(again)
    (undo,) = re.findall(r'<form method="post" action="(/pieces/R-0001/undo)">', answer.text)[:1]
    seen = re.findall(r'name="seen" value="(\d+)"', answer.text)[0]
    assert wim.post(undo, data={"seen": seen}).status_code == 303
    assert piece_of(known, "R-0001").customer == "K-7" and "R-0001" in wim.get("/dock/lent").text


@pytest.mark.parametrize(
    ("text", "more", "told"),
    [
        ("R-0001", {"customer": "K-9"}, "no customer has the reference"),
        ("R-0001", {"customer": ""}, "say first to which customer"),
        ("R-0001", {"until": "soon"}, "is no day"),
        ("R-0001", {"until": "2020-01-01"}, "1 Jan 2020 is no day until which it is lent"),
        ("Bay 3", {}, "Bay 3 is a place, not a piece"),
        ("X-404", {}, "No piece and no place is called"),
        ("", {}, "nothing was scanned"),
    ],
)
def test_what_cannot_be_lent_is_told_and_nothing_is_written(known: House, text: str, more: dict[str, str], told: str) -> None:
    answer = lend(known.browser("Wim"), text, **more)
    assert answer.status_code in (404, 422) and told in line_of(answer) and "Nothing was lent" in line_of(answer)
    assert acts_of(known, "R-0001") == [Act.RECEIVED]


def test_who_only_looks_learns_no_customer_from_what_is_lent(known: House) -> None:
    lend(known.browser("Wim"), "R-0001")
    lou = known.browser("Lou")
    assert lou.get("/dock/lent").status_code == lou.get("/dock/lend").status_code == 403
    page = lou.get("/pieces/R-0001").text
    assert "lent until 20 Mar 2026" in page and "K-7" not in page and "Invented Person" not in page
