"""What carpet cost the shop and who supplied it is told to managers, and to nobody else on any page or paper."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from remnants.actions import open_catalogue
from remnants.actions.booking import standing_of
from remnants.actions.change_piece import correct_piece
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_job, hold_job
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_job
from remnants.model.money import Money
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import House
from tests.web.crawl import crawl
from tests.web.test_customer_page import link
from tests.web.test_told_to import ADDRESSES, JOB, told

COST, AGAIN, SUPPLIER = "77777.77", "77778.88", "Zwielwort"
MARKS = (COST, "77,777.77", AGAIN, "77,778.88", SUPPLIER)
OURS = (
    *ADDRESSES,
    *(f"/pieces/{tag}" for tag in ("R-91", "R-92", "O-0001")),
    "/api/pieces?words=R-9",
    "/api/pieces/R-92/history",
)
OURS += ("/racks/Bay 9", "/tags.pdf?tag=R-91", "/find?words=Zwielwort", "/jobs/J-0001", "/jobs/J-0002/customer.pdf")


@pytest.fixture
def bought(house: House) -> House:
    """Pieces with a marked cost and supplier: logged, corrected, held for a job with a customer's link, cut with an offcut."""
    today = house.settings.now().date()
    with open_catalogue(house.settings.catalogue, write=True, now=house.settings.now) as catalogue:
        paid: dict[str, Any] = {"cost": Money(7777777, "EUR"), "supplier": f"{SUPPLIER} Mill", "lot": "QQ-1", "place": "Bay 9"}
        log_pieces(catalogue, a_stock(a_piece("R-91", 90, 60, **paid), a_piece("R-92", 90, 60, **paid)), signed=SIGNED)
        before = standing_of(catalogue, "R-92")
        dearer = replace(before.piece, cost=Money(7777888, "EUR"), supplier=f"{SUPPLIER} and Sons")
        correct_piece(catalogue, dearer, expected=before.version, signed=SIGNED)
        for name, tag in (("Fern Row 2", "R-91"), ("Elm End 5", "R-92")):
            fitted = fit_job(catalogue, read_job(JOB | {"job": name, "use": [tag]}), today=today)
            hold_job(catalogue, fitted, until=today + timedelta(days=30), signed=SIGNED)
            if name == "Elm End 5":
                cut_job(catalogue, name, signed=SIGNED)
    return house


@pytest.mark.parametrize("name", ["Lou", "Wim"])
def test_no_page_or_answer_tells_what_was_paid_or_who_supplied_it(bought: House, name: str) -> None:
    browser = bought.browser(name)
    found = {path: told(browser.get(path)) for path in OURS if ".pdf" not in path}
    found |= {path: told(answer) for path, answer in crawl(browser)}
    found["POST /api/fit"] = told(browser.post("/api/fit", json=JOB | {"job": "Elm End 6", "use": ["R-91"]}))
    asked = {path for path in found if SUPPLIER in path}
    assert not [(path, mark) for path, text in found.items() for mark in MARKS if mark in text and path not in asked]
    assert not [path for path in asked if "R-91" in found[path] or "R-92" in found[path]], "nothing is found by its supplier"
    assert "R-91" in found["/pieces/R-91"] and "R-92" in found["/api/pieces/R-92/history"]


def test_managers_see_both_and_their_papers_for_others_tell_neither(bought: House) -> None:
    maud = bought.browser("Maud")
    page = maud.get("/pieces/R-91").text
    assert "77,777.77 EUR" in page and f"{SUPPLIER} Mill" in page
    papers = [path for path in OURS if ".pdf" in path and "Fern Row 2" not in path and "/order/" not in path]
    papers += [path for path in OURS if path.startswith(("/order/quote.pdf", "/order/ticket.pdf"))]
    assert len(papers) > 6
    assert not [(path, mark) for path in papers for mark in MARKS if mark in told(maud.get(path))]


def test_a_customers_page_tells_neither(bought: House) -> None:
    text = told(bought.browser().get(link(bought)))
    assert "Fern Row 2" in text and not [mark for mark in MARKS if mark in text]
