"""The customer's own page behind its link: nobody signs in, and nothing of the shop's or of others stands there."""

import json
import re
from datetime import date
from typing import Any

import pytest

from remnants.actions import open_catalogue
from remnants.actions.customer_page import page_by
from remnants.actions.fit_job import fit_job
from remnants.actions.job_names import Which
from remnants.actions.keep_job import hold_job
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_job
from remnants.limits import STRANGER_BYTES
from remnants.model import Kind
from remnants.model.money import money_of
from tests.reading import found
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.web.conftest import Clock, House

MARK = "Quillmark"
"""Stands in every private field of another customer's piece, and in what is for the shop alone."""

TAGS = ("K-71", "L-71", "R-71", "R-72")
"""Of another customer, kept and laid; ours that lies with them; ours."""


def held(house: House, *, width: float = 40, use: tuple[str, ...] = ("K-71",), anew: bool = False) -> None:
    """A job of our customer's that is held, made from carpet of another's where `use` says so."""
    private: dict[str, Any] = {"place": f"{MARK} Row 12, {MARK} attic", "room": f"{MARK} den", "customer": f"{MARK}-9"}
    others = (
        a_piece("K-71", 50, 50, kind=Kind.KEPT, **private),
        a_piece("L-71", 50, 50, kind=Kind.LAID, hidden=True, **private),
        a_piece("R-71", 50, 50, **private | {"place": f"{MARK} loft"}),
        a_piece("R-72", 50, 50, place=f"{MARK} bay", supplier=f"{MARK} mill", cost=money_of("41.50 EUR")),
    )
    patch = {"name": "hall", "width": width, "length": 40, "pile": 0, "edges": ["seam", "wall", "seam", "seam"], "note": MARK}
    asked = {"unit": "in", "job": "Alder Court 7, hall", "style": "Velder Loop", "may_use": ["other customers", "other houses"]}
    with open_catalogue(house.settings.catalogue, write=True, now=house.settings.now) as catalogue:
        if not anew:
            log_pieces(catalogue, a_stock(*others, styles=(a_style(repeat=None),)), signed=SIGNED)
        job = read_job(json.dumps(asked | {"use": use, "avoid": [tag for tag in TAGS if tag not in use], "patches": [patch]}))
        fitted = fit_job(catalogue, job, today=date(2026, 3, 2))
        assert {part.piece for answer in fitted.plan.patches for part in answer.parts} == set(use)
        which = Which("J-0001") if anew else Which()
        hold_job(catalogue, fitted, until=date(2026, 6, 1), signed=SIGNED, which=which)


def link(house: House, name: str = "Wim") -> str:
    page = house.browser(name).post("/jobs/J-0001/customer-link")
    assert page.status_code == 200 and "data-copy" in page.text and "<svg" in page.text
    return found(r'href="(/for/[\w-]{43})"', page.text)


def digest(text: str) -> str:
    return found(r'name="read" value="([0-9a-f]{64})"', text)


@pytest.mark.parametrize("tag", TAGS)
def test_no_word_of_another_customer_or_of_the_shops_places_stands_there(house: House, tag: str) -> None:
    held(house, use=(tag,))
    path, customer = link(house), house.browser()
    before = customer.get(path).text
    signed = customer.post(path, data={"name": "O. Testcase", "ticked": "yes", "read": digest(before)})
    assert signed.status_code == 303
    for text in (before, customer.get(path).text):
        assert MARK.casefold() not in text.casefold()
        assert not re.search("41.50|EUR|Bay 3|/jobs|/pieces|Maud|Wim|Ana", text), "no price, place, way in or person"
        assert [other for other in TAGS if other in text] == ([tag] if tag == "R-72" else [])
        assert re.findall(r"https?://(?!www\.w3\.org/)\S+", text) == [], "nothing is read from elsewhere"
        assert "How it will lie" in text and "seamed to your carpet along 3 of its 4 edges" in text and "24 hours" in text


def test_it_is_signed_once_and_shown_as_signed_also_on_the_job(house: House) -> None:
    held(house)
    path, customer = link(house), house.browser()
    page = customer.get(path).text
    fields = {"name": "<b>O. Testcase", "strokes": "[[10,40,60,90]]", "read": digest(page)}
    assert customer.post(path, data=fields).status_code == 303
    again = customer.post(path, data=fields | {"name": "Somebody else"})
    assert again.status_code == 409 and "Somebody else" not in again.text
    shown = customer.get(path).text
    assert "&lt;b&gt;O. Testcase" in shown and 'd="M10 40L60 90"' in shown and "I agree</button>" not in shown
    job = house.browser("Wim").get("/jobs/J-0001").text
    assert "&lt;b&gt;O. Testcase" in job and 'd="M10 40L60 90"' in job and "The customer agreed" in job
    lou = house.browser("Lou").get("/jobs/J-0001").text
    assert "The customer agreed" in lou and "O. Testcase" not in lou and "M10 40" not in lou, "who may look is told no customer"
    held(house, width=42, anew=True)
    assert "Agreed to another plan" in house.browser("Wim").get("/jobs/J-0001").text
    assert "has changed its plan since" in customer.get(path).text


def test_what_opens_nothing_is_told_in_the_same_words(house: House, clock: Clock) -> None:
    held(house)
    customer = house.browser()
    first = link(house)
    second = link(house)
    told = {customer.get(path).text for path in (first, "/for/x", f"/for/{'A' * 43}", f"/for/{'9' * 5000}")}
    clock.wait(days=15)
    told.add(customer.get(second).text)
    third = link(house)
    assert house.browser("Wim").post("/jobs/J-0001/customer-link/end").status_code == 303
    for method in ("GET", "POST"):
        answer = customer.open(third, method=method)
        assert answer.status_code == 404
        told.add(answer.text)
    assert len(told) == 1
    assert "Nothing here" in told.pop()
    assert "customer&#39;s link that opens nothing" in house.browser("Maud").get("/door-book").text


def test_it_is_kept_by_nobody_and_found_by_no_search(house: House) -> None:
    held(house)
    for path in (link(house), "/for/x"):
        answer = house.browser().get(path)
        assert (answer.headers["Cache-Control"], answer.headers["Referrer-Policy"]) == ("no-store", "same-origin")
        assert answer.headers["X-Robots-Tag"].startswith("noindex")


def test_what_is_wrong_is_told_at_its_field_and_nothing_is_signed(house: House) -> None:
    held(house)
    path, customer = link(house), house.browser()
    read = digest(customer.get(path).text)
    for data, told in (
        ({"name": "O. Testcase"}, "tick the box to sign by your typed name"),
        ({"name": "O. Testcase", "strokes": "[[9999,1]]"}, "can&#39;t be read"),
        ({"name": "O. Testcase", "strokes": str([[1, 1]] * 90)}, "at most 80 lines"),
        ({"name": "", "ticked": "yes"}, "type your name"),
    ):
        answer = customer.post(path, data=data | {"read": read})
        assert answer.status_code == 422 and told in answer.text, data
        assert 'value="O. Testcase"' in answer.text or not data["name"]
    stale = customer.post(path, data={"name": "O. Testcase", "ticked": "yes", "read": "0" * 64})
    assert stale.status_code == 409 and "Read it again" in stale.text
    with open_catalogue(house.settings.catalogue, write=False) as catalogue:
        assert page_by(catalogue, path.rpartition("/")[2], now=house.settings.now()).agreed is None


def test_all_that_a_customer_may_send_is_what_a_stranger_may(house: House) -> None:
    """The largest drawing that is taken, with each sign of it written as three, is less than a stranger's request."""
    held(house)
    customer, path = house.browser(), link(house)
    drawn = json.dumps([[600, 200] * 1_500], separators=(",", ":"))
    assert 3 * len(drawn) < STRANGER_BYTES
    data = {"name": "O. Testcase", "strokes": drawn, "read": digest(customer.get(path).text)}
    assert customer.post(path, data=data).status_code == 303
