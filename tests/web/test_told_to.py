"""What is private of a piece, a job and a customer stands in no answer of any address for whoever may only look."""

import io
import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import cache

import pypdfium2
import pytest
from werkzeug.test import TestResponse

from remnants.actions import open_catalogue
from remnants.actions.change_piece import correct_piece, move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.customers import put_customer
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_job, hold_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import add_photo
from remnants.actions.show_piece import show_piece
from remnants.exchange import read_job
from remnants.ledger import Signed
from remnants.model import Kind, Role
from remnants.model.customer import Customer
from remnants_web.access import access_of
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import Browser, House
from tests.web.crawl import crawl
from tests.web.test_photos import a_photo

REFERENCE, REASON = "QUOIN-77", "thistlewood asked"
NEVER = ("Ymir Vane", "555-0191", "Plumbago Row")
JOB = {
    "unit": "in",
    "job": "Fern Row 2",
    "style": "Velder Loop",
    "colour": "Oatmeal",
    "lot": "QQ-1",
    "may_use": ["in view", "other customers", "other houses"],
    "patches": [{"name": "hall", "width": 20, "length": 14, "pile": 0}],
}
ADDRESSES = (
    *(f"/find?words={words}" for words in ("K-1", "velder", "QQ-1", "osier", "QUOIN")),
    *(f"/suggest?words={words}" for words in ("velder", "QUOIN")),
    *(f"/pieces/{tag}" for tag in ("K-1", "L-1", "K-2")),
    *(f"/patch?tag={words}" for words in ("K-1", "osier attic", "QUOIN-77")),
    "/patch/answer?style=Velder+Loop&colour=Oatmeal&lot=QQ-1&width=20&length=14&pile=0&job=Elm+End",
    "/patch/answer?style=Velder+Loop&width=20&length=14&pile=0&may_use=other+customers",
    "/propose/answer?style=Velder+Loop&colour=Oatmeal&lot=QQ-1&room_is=unknown&damage_width_1=9&damage_length_1=8&job=Elm+End"
    "&may_other_customers=1",
    *(f"/jobs/Fern Row 2{more}" for more in ("", "/sheet.pdf", "/customer.pdf", "/tags.pdf", "/job.csv")),
    *(f"/jobs/Elm End 5{more}" for more in ("", "/sheet.pdf", "/customer.pdf", "/tags.pdf", "/job.csv")),
    *(
        "/racks",
        "/racks/osier attic",
        "/racks/quern hall",
        "/on-the-way",
        "/jobs",
        "/stock",
        "/",
        "/photos/1.jpg",
        "/photos/1-small.jpg",
    ),
    *(f"/tags.pdf?tag={tag}" for tag in ("K-1", "L-1")),
    "/tags.pdf?place=osier attic",
    "/order?held=Fern+Row+2&order=x&roll_width=12+ft&width_1=3+ft&length_1=3+ft",
    *(
        f"/order/{paper}?held=Elm+End+5&roll_width=12+ft&width_1=3+ft&length_1=3+ft"
        for paper in ("order.csv", "order.pdf", "ticket.pdf", "quote.pdf", "supplier.pdf", "floors.pdf", "house.pdf")
    ),
    *(f"{address}?words={words}" for address in ("/patch/said", "/api/ask") for words in ("K-1", "QUOIN")),
    *(f"/api/pieces?words={words}" for words in ("K-1", "velder", "QQ-1", "QUOIN")),
    *(f"/api/pieces/{tag}{more}" for tag in ("K-1", "L-1", "K-2") for more in ("", "/history")),
    *("/api/jobs/Fern Row 2", "/api/jobs/Elm End 5"),
    *("/count/osier attic/seen.json?tag=K-1", "/measure/page.pdf", "/measure/trial", "/orders/1"),
)
"""Every address that could tell of it, asked beside those that links lead to."""


@pytest.fixture(scope="module")
def planted(modules_house: House) -> House:
    """Carpet with a customer: logged, lent and brought back, counted, corrected, photographed, held and cut there."""

    def signed(hours: int, why: str = "") -> Signed:
        return Signed("Wim", SIGNED.at + timedelta(hours=hours), why)

    house = modules_house
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        put_customer(catalogue, Customer(REFERENCE, NEVER[0], NEVER[1], NEVER[2]), signed=SIGNED)
        kept = a_piece("K-1", kind=Kind.KEPT, place="osier attic", room="quern study", customer=REFERENCE, lot="QQ-1")
        laid = a_piece("L-1", kind=Kind.LAID, place="quern hall", room="stair", customer=REFERENCE, lot="QQ-1")
        log_pieces(catalogue, a_stock(kept, laid), signed=signed(0, REASON))
        log_pieces(catalogue, a_stock(a_piece("K-2", place="Bay 3", lot="QQ-2")), signed=signed(0))
        move_piece(catalogue, "K-2", "osier attic", customer=REFERENCE, signed=signed(1, REASON))
        add_photo(catalogue, "K-2", a_photo(), signed=signed(2))
        book_count(catalogue, count_place(catalogue, "osier attic", ["K-1", "K-2"]), signed=signed(2, REASON))
        move_piece(catalogue, "K-2", "Bay 3", signed=signed(3))
        before = show_piece(catalogue, "K-1").standing
        correct_piece(catalogue, before.piece, expected=before.version, signed=signed(4, REASON))
        add_photo(catalogue, "K-1", a_photo(), signed=signed(5, REASON))
        today = house.settings.now().date()
        for name in ("Elm End 5", "Fern Row 2"):
            fitted = fit_job(catalogue, read_job(json.dumps(JOB | {"job": name})), today=today)
            assert any(part.piece in ("K-1", "L-1") for patch in fitted.plan.patches for part in patch.parts)
            hold_job(catalogue, fitted, until=today + timedelta(days=30), signed=signed(6))
            if name == "Elm End 5":
                cut_job(catalogue, name, signed=signed(7))
    return house


def answers(house: House, browser: Browser) -> Iterator[tuple[str, TestResponse]]:
    for path in ADDRESSES:
        yield path, browser.get(path)
    yield from crawl(browser)
    for words in (JOB | {"job": "Elm End 6"}, JOB | {"job": "Elm End 7", "may_use": []}):
        yield "POST /api/fit", browser.post("/api/fit", json=words)
    yield "POST /patch", browser.post("/patch", data={"tag": REFERENCE, "width": "20", "length": "14"})


def told(answer: TestResponse) -> str:
    if answer.mimetype == "application/pdf":
        with pypdfium2.PdfDocument(io.BytesIO(answer.data)) as paper:
            pages = [page.get_textpage().get_text_range() for page in paper]
            return " ".join("\n".join([*pages, str(paper.get_metadata_dict())]).split())
    return str(answer.data, "utf-8", "replace") + str(answer.headers)


Asked = Callable[[str], dict[str, str]]


@pytest.fixture(scope="module")
def asked(planted: House) -> Asked:
    """What every address told somebody, asked once: no test changes what was planted."""
    return cache(lambda name: {path: told(answer) for path, answer in answers(planted, planted.browser(name))})


def test_whoever_may_only_look_is_told_of_no_customer_and_no_reason_written_at_theirs(asked: Asked) -> None:
    found = asked("Lou")
    own = {path for path in found if REFERENCE in path or "QUOIN" in path or path == "POST /patch"}
    assert not [(path, word) for path, text in found.items() for word in (*NEVER, REASON) if word in text]
    assert not [path for path, text in found.items() if REFERENCE in text and path not in own]
    assert not [path for path in own if "K-1" in found[path] or "osier" in found[path]], "nobody is found by who they are"


def test_a_photograph_taken_at_a_customers_is_kept_back_after_the_piece_came_home(planted: House) -> None:
    lou, wim = planted.browser("Lou"), planted.browser("Wim")
    for number, tag in ((1, "K-2"), (2, "K-1")):
        assert f"/photos/{number}.jpg" not in lou.get(f"/pieces/{tag}").text
        assert {lou.get(f"/photos/{number}{small}.jpg").status_code for small in ("", "-small")} == {403}
        assert f"/photos/{number}.jpg" in wim.get(f"/pieces/{tag}").text
        assert wim.get(f"/photos/{number}.jpg").status_code == 200


def test_who_works_there_is_told_which_customer_and_nobody_is_told_more_on_any_page(asked: Asked) -> None:
    found = asked("Wim")
    assert REFERENCE in found["/pieces/K-1"] and REFERENCE in found["/api/pieces/K-1"]
    for path in ("/jobs/Fern Row 2", "/jobs/Fern Row 2/sheet.pdf"):
        assert f"kept with {REFERENCE}, who must be asked first" in " ".join(found[path].split()), path
    assert "asked first" not in found["/jobs/Fern Row 2/customer.pdf"]
    assert REASON in found["/pieces/K-1"] and REASON in found["/api/pieces/K-1/history"]
    assert not [(path, word) for path, text in found.items() for word in NEVER if word in text]


def test_every_address_that_one_may_look_at_is_asked(planted: House, asked: Asked) -> None:
    """A new address is looked at too, or this fails."""
    addresses = planted.app.url_map.bind("")
    met = {addresses.match(path.partition("?")[0])[0] for path in asked("Lou") if path.startswith("/")}
    views = planted.app.view_functions
    lookable = {
        rule.endpoint
        for rule in planted.app.url_map.iter_rules()
        if "GET" in (rule.methods or ()) and (access := access_of(views[rule.endpoint])) and access.role is Role.LOOK
    }
    own = {"unsent.show", "measure.show", "measure.picture", "previews.drawn", "previews.of_job"}
    assert lookable - met == own, "which show what one sent oneself"
