"""The page of what is on the way: sent on a piece's page, taken in, called back or not there by one tap each."""

import re

import pytest

from remnants.actions import open_catalogue
from remnants.actions.branches import put_branch, put_van
from remnants.model.branches import Van
from tests.stock_values import SIGNED
from tests.web.conftest import Browser, Clock, House


@pytest.fixture
def branches(house: House) -> House:
    """A shop with two branches and a van; all that is in stock lies at South."""
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_branch(catalogue, "South", new=True, signed=SIGNED)
        put_branch(catalogue, "North", new=True, signed=SIGNED)
        put_van(catalogue, Van("Van 3", "Wim", "North"), signed=SIGNED)
    return house


def form_of(browser: Browser, page: str, tag: str, what: str) -> dict[str, str]:
    """The hidden fields of that form on a page, as a browser sends them."""
    (form,) = re.findall(rf'<form method="post" action="/pieces/{tag}/{what}".*?</form>', browser.get(page).text, re.DOTALL)
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form))


def sent(browser: Browser, tag: str, goal: str = "North", **more: str) -> None:
    """The piece is sent from its own page."""
    form = form_of(browser, f"/pieces/{tag}", tag, "send") | {"to": goal, "expected": "2026-03-03"} | more
    assert browser.post(f"/pieces/{tag}/send", data=form).status_code == 303


def test_a_shop_without_branches_has_no_such_way(house: House) -> None:
    wim = house.browser("Wim")
    for page in ("/", "/pieces/R-0001", "/racks"):
        assert not re.search(r"branch|on the way|on-the-way", wim.get(page).text, re.IGNORECASE)
    assert "Nothing is on the way" in wim.get("/on-the-way").text


def test_what_is_sent_is_on_the_way_until_one_tap_takes_it_in(branches: House) -> None:
    maud, wim = branches.browser("Maud"), branches.browser("Wim")
    sent(maud, "R-0001")
    page = wim.get("/on-the-way").text
    assert 'href="/on-the-way" aria-current="page"' in page
    assert "To North" in page and "Expected 3 Mar 2026, from South, sent by Maud on 2 Mar 2026" in page
    assert "1</span> piece between branches and vans, none late" in page
    assert "on the way from South to North, sent by Maud on 2 Mar 2026, expected 3 Mar 2026" in wim.get("/pieces/R-0001").text
    answer = wim.post("/pieces/R-0001/take-in", data=form_of(wim, "/on-the-way", "R-0001", "take-in"))
    assert answer.status_code == 303
    page = wim.get(answer.location).text
    assert "is at North." in page and "Take that back" in page and "Nothing is on the way" in page
    assert "Take that back" not in maud.get(answer.location).text, "it is Wim's to take back"
    wim.post("/pieces/R-0001/undo", data=form_of(wim, answer.location, "R-0001", "undo"))
    assert "To North" in wim.get("/on-the-way").text


def test_what_is_late_is_told_first_and_called_back_or_not_there_by_a_tap(branches: House, clock: Clock) -> None:
    wim = branches.browser("Wim")
    with open_catalogue(branches.settings.catalogue, write=True) as catalogue:
        put_van(catalogue, Van("A van", "Wim", "North"), signed=SIGNED)
    sent(wim, "R-0002", "A van", expected="2026-03-09")
    sent(wim, "R-0001")
    clock.wait(days=2)
    wim = branches.browser("Wim")
    page = wim.get("/on-the-way").text
    assert "1</span> late" in page and "Late: expected 3 Mar 2026" in page
    assert page.index("R-0001") < page.index("R-0002")
    assert page.index("To North") < page.index("To A van"), "where something is late stands first, whatever it is called"
    back = wim.post("/pieces/R-0001/call-back", data=form_of(wim, "/on-the-way", "R-0001", "call-back"))
    assert "is at Bay 3." in wim.get(back.location).text
    lost = wim.post("/pieces/R-0002/not-there", data=form_of(wim, "/on-the-way", "R-0002", "not-there"))
    assert "is missing." in wim.get(lost.location).text


def test_what_is_on_the_way_is_found_and_told_and_not_planned_with(branches: House) -> None:
    wim = branches.browser("Wim")
    sent(wim, "R-0001")
    page = wim.get("/find?words=velder+loop").text
    assert page.index("On the way, not to be cut until it is taken in") < page.index("R-0001")
    assert "On the way from South to North, sent by Wim on 2 Mar 2026, expected 3 Mar 2026" in page
    asked = "/patch/answer?style=Velder+Loop&shape=rectangle&width=20&length=20&pile=0&job=Elm&edge_0=free"
    answer = wim.get(asked).text
    assert "R-0001 matches, and is on the way from South to North" in answer
    assert "/pieces/R-0001" in wim.get("/find?words=R-0001").location, "its tag still goes straight to it"


def test_two_taps_do_it_once_and_who_comes_late_is_told(branches: House) -> None:
    maud, wim = branches.browser("Maud"), branches.browser("Wim")
    sent(maud, "R-0001", "Van 3")
    taken, called = form_of(wim, "/on-the-way", "R-0001", "take-in"), form_of(maud, "/on-the-way", "R-0001", "call-back")
    for _ in range(2):
        assert wim.post("/pieces/R-0001/take-in", data=taken).status_code == 303
    late = maud.post("/pieces/R-0001/call-back", data=called)
    assert late.status_code == 409 and "R-0001 was taken in by Wim" in late.text
    assert "Van 3" in wim.get("/pieces/R-0001").text


def test_what_is_wrong_is_told_and_changes_nothing(branches: House) -> None:
    wim = branches.browser("Wim")
    form = form_of(wim, "/pieces/R-0001", "R-0001", "send")
    for wrong in ({"to": "East"}, {"to": "North", "expected": "soon"}, {"to": "North", "expected": "2026-03-01"}):
        assert wim.post("/pieces/R-0001/send", data=form | wrong).status_code == 422
    assert wim.post("/pieces/R-0001/send", data=form | {"to": "North", "seen": "x"}).status_code == 422
    assert wim.post("/pieces/R-0001/take-in", data={}).status_code == 409
    assert 'action="/pieces/L-0001/send"' not in wim.get("/pieces/L-0001").text, "what is laid can't be sent"
    sent(wim, "R-0001")
    wrong_place = wim.post("/pieces/R-0001/take-in", data={"place": "Van 3 roof"})
    assert wrong_place.status_code == 422 and "is a place of Van 3; this was sent to North" in wrong_place.text
    assert wim.post("/pieces/R-0001/take-in", data={"place": "Bay 7"}).status_code == 303
    assert "North Bay 7" in wim.get("/pieces/R-0001").text


def test_who_may_only_look_sees_it_and_taps_nothing(branches: House) -> None:
    sent(branches.browser("Wim"), "R-0001")
    lou = branches.browser("Lou")
    page = lou.get("/on-the-way").text
    assert "R-0001" in page and "Take in" not in page
    assert lou.post("/pieces/R-0001/take-in", data={}).status_code == 403
