"""Moving, discarding and taking back on a piece's page: the page's forms carry what they showed."""

import re

from tests.web.conftest import Browser, House


def form_of(browser: Browser, tag: str, what: str) -> dict[str, str]:
    """The hidden fields of that form on the piece's page, as a browser sends them."""
    page = browser.get(f"/pieces/{tag}").text
    (form,) = re.findall(rf'<form method="post" action="/pieces/{tag}/{what}".*?</form>', page, re.DOTALL)
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form))


def test_a_page_takes_back_what_it_shows_and_not_what_a_colleague_did_since(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    wim.post("/pieces/R-0001/move", data=form_of(wim, "R-0001", "move") | {"place": "Bay 5"})
    shown = form_of(wim, "R-0001", "undo")
    maud.post("/pieces/R-0001/discard", data=form_of(maud, "R-0001", "discard"))
    late = wim.post("/pieces/R-0001/undo", data=shown)
    assert late.status_code == 409
    assert "R-0001 was discarded by Maud" in late.text and 'href="/pieces/R-0001"' in late.text
    assert "discarded (by Maud" in wim.get("/pieces/R-0001").text
    assert wim.post("/pieces/R-0001/undo", data=form_of(wim, "R-0001", "undo")).status_code == 303
    assert "in stock" in wim.get("/pieces/R-0001").text


def test_a_move_that_waited_is_refused_in_words_where_a_colleague_moved_the_piece(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    waited = form_of(wim, "R-0001", "move") | {"place": "Bay 5"}
    maud.post("/pieces/R-0001/move", data=form_of(maud, "R-0001", "move") | {"place": "Bay 9"})
    answer = wim.post("/pieces/R-0001/move", data=waited, headers={"Accept": "application/json, text/html;q=0.5"})
    assert answer.status_code == 409 and "R-0001 was moved by Maud" in answer.get_json()["detail"]
    assert "Bay 9" in wim.get("/pieces/R-0001").text


def test_a_form_without_the_number_works_as_before_and_nonsense_in_it_is_refused(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/pieces/R-0001/move", data={"place": "Bay 5"}).status_code == 303
    for nonsense in ("x", "-1", "9" * 30, "1.5"):
        assert wim.post("/pieces/R-0001/move", data={"place": "Bay 6", "seen": nonsense}).status_code == 422
    assert "Bay 5" in wim.get("/pieces/R-0001").text
