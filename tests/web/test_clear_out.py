"""What to clear out: why each piece is listed, and what one does about it is one entry with its undo on the spot."""

import re
from datetime import date

import pytest
from werkzeug.test import TestResponse

from remnants.actions import open_catalogue
from remnants.actions.booking import standing_of
from remnants.actions.log_pieces import log_pieces
from remnants.ledger import Stage, Standing
from remnants.model.money import Money
from remnants.store import ledger
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import Browser, House


@pytest.fixture
def small(house: House) -> House:
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, a_stock(a_piece("R-91", 5, 60, cost=Money(950, "EUR"))), signed=SIGNED)
    return house


def stands(house: House) -> Standing:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        return standing_of(catalogue, "R-91")


def does(house: House, browser: Browser, what: str, **told: str) -> TestResponse:
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        before = len(ledger.entries_of(catalogue, "R-91"))
    answer = browser.post(what, data=told | {"seen": str(stands(house).version), "key": f"{what} {told}"})
    assert answer.status_code == 303, answer.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert len(ledger.entries_of(catalogue, "R-91")) == before + 1
    return browser.get(answer.headers["Location"])


def undone(house: House, browser: Browser) -> None:
    browser.post("/pieces/R-91/undo", data={"seen": str(stands(house).version)})


def test_a_small_piece_is_listed_with_why_and_its_cost_for_managers_alone(small: House) -> None:
    for name, costs in (("Maud", True), ("Wim", False)):
        page = small.browser(name).get("/clear-out").text
        assert "R-91" in page and "too small" in page and ("9.50 EUR" in page) is costs
        assert 'href="/clear-out"' in small.browser(name).get("/stock").text
        assert len(re.findall(r'id="([^"]+)"', page)) == len(set(re.findall(r'id="([^"]+)"', page)))
    assert small.browser("Lou").get("/clear-out").status_code == 403


def test_each_action_is_one_entry_that_is_taken_back_on_the_spot(small: House) -> None:
    wim = small.browser("Wim")
    shown = does(small, wim, "/clear-out/R-91/keep", days="90", why="thresholds are cut from it")
    assert stands(small).piece.keep_until == date(2026, 5, 31)  # 90 days from 2026-03-02
    assert "thresholds are cut from it" in shown.text and "Take that back" in shown.text
    page = wim.get("/clear-out").text
    assert "R-91" not in page and "1 in store is kept off this list" in page
    undone(small, wim)
    assert stands(small).piece.keep_until is None and "R-91" in wim.get("/clear-out").text
    shown = does(small, wim, "/clear-out/R-91/offer", price="40 eur")
    assert stands(small).piece.offered_at == Money(4000, "EUR") and "40.00 EUR" in shown.text
    assert "offered at" in wim.get("/clear-out").text and stands(small).piece.cost == Money(950, "EUR")
    undone(small, wim)
    assert stands(small).piece.offered_at is None
    does(small, wim, "/pieces/R-91/discard", why="too narrow for anything")
    assert stands(small).stage is Stage.DISCARDED and "R-91" not in wim.get("/clear-out").text
    undone(small, wim)
    assert "R-91" in wim.get("/clear-out").text


def test_it_comes_up_again_after_its_day(small: House, clock: object) -> None:
    wim = small.browser("Wim")
    does(small, wim, "/clear-out/R-91/keep", days="2", why="a job is coming")
    clock.wait(days=1)  # type: ignore[attr-defined]
    assert "R-91" not in wim.get("/clear-out").text
    clock.wait(days=1)  # type: ignore[attr-defined]
    assert "R-91" in wim.get("/clear-out").text


@pytest.mark.parametrize(
    ("what", "told", "said"),
    [
        ("keep", {"days": "0", "why": "so"}, "give 1 to 730"),
        ("keep", {"days": "many", "why": "so"}, "say for how many days"),
        ("keep", {"days": "9", "why": " "}, "say why it is kept"),
        ("offer", {"price": "cheap"}, "is no sum"),
        ("keep", {"days": "9", "why": "so", "seen": "1"}, "since you looked at it"),
    ],
)
def test_what_is_no_answer_is_refused_and_changes_nothing(small: House, what: str, told: dict[str, str], said: str) -> None:
    wim = small.browser("Wim")
    if "seen" in told:
        does(small, wim, "/clear-out/R-91/offer", price="40 EUR")
        told = told | {"seen": str(stands(small).version - 1)}
    before = stands(small)
    answer = wim.post(f"/clear-out/R-91/{what}", data=told)
    assert answer.status_code >= 400 and said in answer.text
    assert stands(small) == before
