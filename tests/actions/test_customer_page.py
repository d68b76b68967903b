"""The customer's link and what is signed by it: once, by the open link alone, as it was read; erased with the customer."""

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as tried
from hypothesis import strategies as st

from remnants.actions import Catalogue, doors, open_catalogue
from remnants.actions.customer_page import NOTHING, Signing, agreed_of, end_link, make_link, page_by, sign
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.door_book import page_of
from remnants.actions.fit_job import fit_job
from remnants.actions.job_names import Which
from remnants.actions.keep_job import cut_job, find_job, hold_job, release_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.shop_rules import change_rules
from remnants.errors import BadInput, NotAllowed, NotFound
from remnants.exchange import read_job
from remnants.limits import DRAWN_CHARACTERS, DRAWN_LINES, DRAWN_POINTS
from remnants.model import Person, Role
from remnants.model.agreement import Strokes
from remnants.model.customer import Customer
from remnants.model.drawn_name import read_strokes, strokes_text
from remnants.report.signature import signature_svg
from remnants.store import people
from remnants.units import Unit
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

NOW = SIGNED.at
JOB = "J-0001"
DRAWN = "[[10,40,60,90,120,20],[200,100]]"


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    """A job of customer F-9 that is held, its patch joined from nothing but one remnant."""
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        log_pieces(opened, a_stock(a_piece("R-1"), a_piece("R-2"), styles=(a_style(repeat=None),)), signed=SIGNED)
        put_customer(opened, Customer("F-9", "Orla Testcase", "0100 555 01", "9 Pinmaker Yard"), signed=SIGNED)
        hold(opened)
        yield opened


def hold(catalogue: Catalogue, width: float = 20, **told: Any) -> None:
    patch = {"name": "hall", "width": width, "length": 20, "pile": 0, "edges": "seam"}
    job = read_job(
        {"unit": "in", "job": "Alder Court 7, hall", "customer": "F-9", "style": "Velder Loop", "patches": [patch]} | told
    )
    fitted = fit_job(catalogue, job, today=NOW.date())
    hold_job(catalogue, fitted, until=date(2031, 6, 1), signed=SIGNED, which=Which(JOB) if width != 20 else Which())


def link(catalogue: Catalogue, by: str = "Wim") -> str:
    return make_link(catalogue, JOB, by=by, now=NOW)[0]


def signing(catalogue: Catalogue, secret: str, **told: Any) -> Signing:
    known: dict[str, Any] = {
        "name": "O. Testcase",
        "strokes": DRAWN,
        "ticked": False,
        "read": page_by(catalogue, secret, now=NOW).digest,
    }
    return Signing(**(known | told))


def nothing(catalogue: Catalogue, secret: str, now: Any = NOW) -> None:
    with pytest.raises(NotFound) as refused:
        page_by(catalogue, secret, now=now)
    assert str(refused.value) == NOTHING


def test_what_was_read_is_kept_to_the_letter_with_who_and_when(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    page = page_by(catalogue, secret, now=NOW)
    assert page.agreed is None and page.view and "seamed to your carpet all round" in page.text and "____" not in page.text
    later = NOW + timedelta(hours=2)
    sign(catalogue, secret, signing(catalogue, secret), now=later)
    (agreed,) = agreed_of(catalogue, JOB)
    assert (agreed.name, agreed.at, agreed.read) == ("O. Testcase", later, page.text)
    assert agreed.digest == hashlib.sha256(page.text.encode()).hexdigest()
    assert agreed.strokes == (((10, 40), (60, 90), (120, 20)), ((200, 100),))
    assert page_by(catalogue, secret, now=later).agreed == agreed
    assert verify(catalogue).faults == ()


def test_it_is_signed_once_also_by_a_newer_link_to_the_same_plan(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    told = signing(catalogue, secret)
    sign(catalogue, secret, told, now=NOW)
    with pytest.raises(NotAllowed, match="signed already"):
        sign(catalogue, secret, told, now=NOW)
    newer = link(catalogue)
    with pytest.raises(NotAllowed, match="signed already"):
        sign(catalogue, newer, told, now=NOW)
    cut_job(catalogue, JOB, signed=SIGNED)
    page = page_by(catalogue, newer, now=NOW)
    assert page.agreed and not page.other_plan, "a cut changes no plan"
    assert len(agreed_of(catalogue, JOB)) == 1


def test_another_plan_is_not_what_was_agreed_to_and_a_new_link_asks_anew(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    read_before = signing(catalogue, secret)
    sign(catalogue, secret, read_before, now=NOW)
    hold(catalogue, width=22)
    assert page_by(catalogue, secret, now=NOW).other_plan
    newer = link(catalogue)
    assert page_by(catalogue, newer, now=NOW).agreed is None
    with pytest.raises(NotAllowed, match="was changed while you read it"):
        sign(catalogue, newer, read_before, now=NOW)
    sign(catalogue, newer, signing(catalogue, newer), now=NOW)
    first, second = reversed(agreed_of(catalogue, JOB))
    assert first.plan != second.plan and first.read != second.read


def test_a_link_opens_until_it_ends_is_ended_or_followed_by_another(catalogue: Catalogue) -> None:
    first = link(catalogue)
    page_by(catalogue, first, now=NOW + timedelta(days=14) - timedelta(seconds=1))
    nothing(catalogue, first, NOW + timedelta(days=14))
    second = link(catalogue)
    nothing(catalogue, first)
    nothing(catalogue, second[:-1])
    nothing(catalogue, "")
    end_link(catalogue, JOB, by="Wim")
    nothing(catalogue, second)
    with pytest.raises(NotAllowed):
        end_link(catalogue, JOB, by="Wim")
    change_rules(catalogue, {"link_days": "2"}, unit=Unit.IN, signed=SIGNED)
    third = link(catalogue)
    nothing(catalogue, third, NOW + timedelta(days=2))
    release_job(catalogue, JOB, signed=SIGNED)
    nothing(catalogue, third)
    with pytest.raises(NotAllowed, match="was let go"):
        link(catalogue)


def test_a_link_ends_with_everything_of_whoever_made_it(catalogue: Catalogue) -> None:
    ours, theirs = Person("Wim", Role.WORK), Person("Maud", Role.MANAGE)
    secret = link(catalogue, by="Wim")
    doors.end_everything(catalogue, theirs, by=theirs)
    page_by(catalogue, secret, now=NOW)
    doors.end_everything(catalogue, ours, by=theirs)
    nothing(catalogue, secret)
    secret = link(catalogue)
    with catalogue.atomic():
        people.end_all(catalogue)
    nothing(catalogue, secret)


def test_the_door_book_tells_of_links_without_secrets_or_names(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret), now=NOW)
    end_link(catalogue, JOB, by="Wim")
    told = [(line.who, line.what) for line in page_of(catalogue.path).lines]
    assert told == [
        ("Wim", "ended, to the customer's page of J-0001"),
        ("", "used: the customer agreed to the plan of J-0001"),
        ("Wim", "made, to the customer's page of J-0001, until 17 May 2031"),
    ]
    assert secret not in repr(list(catalogue.query("SELECT * FROM customer_link")))


@pytest.mark.parametrize("whose", ["customer", "house", "signed"])
def test_who_is_forgotten_is_forgotten_on_the_glass_too(catalogue: Catalogue, whose: str) -> None:
    """Whether the job names them, or lies at their address, or they signed under their name alone."""
    if whose != "customer":
        hold(catalogue, width=22, customer="", house="9 Pinmaker Yard" if whose == "house" else "")
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret, name="Orla Testcase" if whose == "signed" else "O. T."), now=NOW)
    newer = link(catalogue)
    assert forget_customer(catalogue, "F-9", signed=SIGNED).agreements == 1
    nothing(catalogue, newer)
    (agreed,) = agreed_of(catalogue, JOB)
    assert (agreed.name, agreed.strokes, agreed.read, agreed.digest, agreed.erased) == ("", (), "", "", True)
    stored = b"".join(path.read_bytes() for path in catalogue.path.parent.glob("stock.db*"))
    assert b"O. T." not in stored and b"[10,40,60,90" not in stored
    assert verify(catalogue).faults == ()


def test_forgetting_another_customer_leaves_an_agreement(catalogue: Catalogue) -> None:
    """One is called like nothing here, the other like the room."""
    for customer in (
        Customer("F-7", "Bram Nobody", "0100 555 03", "Kiln Row 2"),
        Customer("F-8", "Hall", "0100 555 02", "Pin Row 8"),
    ):
        put_customer(catalogue, customer, signed=SIGNED)
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret), now=NOW)
    assert forget_customer(catalogue, "F-7", signed=SIGNED).agreements == 0
    assert forget_customer(catalogue, "F-8", signed=SIGNED).agreements == 0
    assert page_by(catalogue, secret, now=NOW).agreed


def test_an_agreement_is_neither_changed_nor_taken_out(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret), now=NOW)
    for sql in ("UPDATE agreement SET name = 'X'", "UPDATE agreement SET read = 'X'", "DELETE FROM agreement"):
        with pytest.raises(Exception, match="agreement"):
            catalogue.execute(sql)


def test_an_agreement_whose_text_was_changed_behind_the_program_is_found(catalogue: Catalogue) -> None:
    """Its guard stops whoever writes by a program; a file can be written past it, and then the digest tells."""
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret), now=NOW)
    assert not verify(catalogue).faults
    guard = next(catalogue.query("SELECT sql FROM sqlite_master WHERE name = 'agreements_stand'"))["sql"]
    for column, text, told in (
        ("read", "I owe nothing", "its text is not the one that was read before it was signed"),
        ("strokes", "[[601,2]]", "its drawn name can't be read"),
    ):
        was = next(catalogue.query(f"SELECT {column} AS was FROM agreement"))["was"]
        catalogue.execute("DROP TRIGGER agreements_stand")
        catalogue.execute(f"UPDATE agreement SET {column} = ?", [text])
        catalogue.execute(guard)
        assert [(fault.where, told in fault.what) for fault in verify(catalogue).faults] == [("agreement 1", True)]
        catalogue.execute("DROP TRIGGER agreements_stand")
        catalogue.execute(f"UPDATE agreement SET {column} = ?", [was])
        catalogue.execute(guard)
    assert forget_customer(catalogue, "F-9", signed=SIGNED).agreements == 1
    assert not verify(catalogue).faults, "what was erased has no text to go with"


@pytest.mark.parametrize(
    ("told", "where"),
    [
        ({"strokes": ""}, "ticked"),
        ({"name": "  "}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"name": "O.\u202eT"}, "name"),
        ({"strokes": "[[1,2,3]]"}, "strokes"),
        ({"strokes": "[[601,2]]"}, "strokes"),
        ({"strokes": "[[-1,2]]"}, "strokes"),
        ({"strokes": "[[1.5,2]]"}, "strokes"),
        ({"strokes": "[[true,2]]"}, "strokes"),
        ({"strokes": '[["<svg>",2]]'}, "strokes"),
        ({"strokes": "[[]]"}, "strokes"),
        ({"strokes": "{"}, "strokes"),
        ({"strokes": "[" * 9_000}, "strokes"),
        ({"strokes": " " + "1" * DRAWN_CHARACTERS}, "strokes"),
        ({"strokes": str([[1, 2]] * (DRAWN_LINES + 1))}, "strokes"),
        ({"strokes": str([[1, 2] * (DRAWN_POINTS + 1)]).replace(" ", "")}, "strokes"),
    ],
)
def test_what_is_no_name_or_no_drawing_is_refused_at_its_field(catalogue: Catalogue, told: dict[str, str], where: str) -> None:
    secret = link(catalogue)
    with pytest.raises(BadInput) as refused:
        sign(catalogue, secret, signing(catalogue, secret, **told), now=NOW)
    assert [fault.where for fault in refused.value.faults] == [where]
    assert agreed_of(catalogue, JOB) == ()


def test_a_tick_does_where_nothing_was_drawn(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    sign(catalogue, secret, signing(catalogue, secret, strokes="", ticked=True), now=NOW)
    assert agreed_of(catalogue, JOB)[0].strokes == ()


POINTS = st.tuples(st.integers(0, 600), st.integers(0, 200))


@tried(max_examples=share(120), deadline=None)
@given(st.lists(st.lists(POINTS, min_size=1, max_size=12).map(tuple), max_size=8).map(tuple))
def test_a_drawn_name_is_read_as_it_was_written_and_drawn_of_numbers_alone(
    strokes: Strokes,
) -> None:
    assert read_strokes(strokes_text(strokes)) == strokes
    path = signature_svg(strokes).partition(' d="')[2].partition('"')[0]
    assert set(path) <= set("ML 0123456789")


def test_a_plan_that_no_longer_holds_shows_nothing_of_it_and_is_not_signed(catalogue: Catalogue) -> None:
    secret = link(catalogue)
    told = signing(catalogue, secret)
    row = find_job(catalogue, JOB)
    catalogue.execute("UPDATE piece SET stage = 'discarded' WHERE tag = ?", [next(iter(row.versions))])
    page = page_by(catalogue, secret, now=NOW)
    assert (page.text, page.view) == ("", None)
    for read in (told.read, page.digest):
        with pytest.raises(NotAllowed, match="was changed"):
            sign(catalogue, secret, replace(told, read=read), now=NOW)
