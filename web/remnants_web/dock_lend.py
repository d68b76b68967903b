"""Lending at the dock: to whom and until when is told once, then the pieces are scanned; and what is out, what is late first."""

from datetime import date, timedelta

from flask import make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.booking import answered
from remnants.actions.customers import every_customer
from remnants.actions.dock import Found, look_up
from remnants.actions.loans import USUAL_LOAN, is_lent_so, lend, take_back, what_is_lent
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotFound, RemnantsError
from remnants.limits import TEXT_CHARACTERS
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.dock import move_page, refused, scanned_to
from remnants_web.dock_receive import area
from remnants_web.dock_said import How, Said, done_last, refusal, said_of, scanned, unknown_words
from remnants_web.sent_texts import sent_key, sent_place, within
from remnants_web.shop import catalogue, settings

__all__ = ["area", "lend_page", "lend_scanned", "lent"]

MOST_LISTED = 100
"""Pieces that are lent which the page lists; of more it is told how many."""

MOST_OFFERED = 200
"""Customers that the field offers as one types."""


@area.get("/lend")
@needs(Role.WORK)
def lend_page() -> str:
    """To whom and until when, and the field for the next scan."""
    return _page(_customer(), request.args.get("until", ""))


@area.post("/lend")
@needs(Role.WORK)
def lend_scanned() -> Response:
    """Lends the scanned piece to the customer until the day."""
    until, scan = request.form.get("until", ""), look_up(catalogue(), scanned())
    try:
        customer, day = _customer(), _day(until)
        if not customer:
            raise BadInput([Fault("customer", "say first to which customer, by your own reference")])
        if scan.found in (Found.PLACE, Found.PLACES):
            raise BadInput([Fault("scan", f"{scan.text} is a place, not a piece")])
        if scan.standing is None:
            raise NotFound(unknown_words(scan).rstrip(".?") if scan.text else "nothing was scanned")
        if not answered(catalogue(), sent_key()) and is_lent_so(catalogue(), scan.text, customer, day):
            told = Said(f"{scan.text} is lent to {customer} until {day_words(day)} already. Nothing was written twice.", How.HEED)
            return make_response(_page(customer, until, told))
        lend(catalogue(), [scan.text], customer, until=day, signed=signature(), key=sent_key())
    except RemnantsError as error:
        return refused(
            _page(request.form.get("customer", "")[:TEXT_CHARACTERS], until, refusal(error, "Nothing was lent.")), error
        )
    return redirect(url_for("dock.lend_page", customer=customer, until=day.isoformat(), did=scan.text), 303)


@area.get("/back")
@needs(Role.WORK)
def back() -> str:
    """The rack to which pieces come back from customers, and the field for the next scan."""
    return move_page(sent_place(), door="dock.back")


@area.post("/back")
@needs(Role.WORK)
def back_scanned() -> Response:
    """Ends the loan of the scanned piece, which lies at the rack then; a scanned rack is where the next ones come back to."""
    return scanned_to("dock.back", _taken_back, "taken back")


def _taken_back(tag: str, place: str) -> Response:
    try:
        take_back(catalogue(), [tag], place, signed=signature(), key=sent_key())
    except RemnantsError as error:
        return refused(move_page(place, door="dock.back", said=refusal(error, "Nothing was written.")), error)
    return redirect(url_for("dock.back", place=place, did=tag), 303)


@area.get("/lent")
@needs(Role.WORK)
def lent() -> str:
    """What is out with customers, what is late first."""
    found = what_is_lent(catalogue(), most=MOST_LISTED)
    return render_template("dock_lent.html", found=found, today=catalogue().today())


def _customer() -> str:
    return within(request.values.get("customer", ""), "customer", TEXT_CHARACTERS)


def _day(text: str) -> date:
    """The day until which it is lent; the usual one where none is told. Raises BadInput."""
    if not text.strip():
        return settings().now().date() + USUAL_LOAN
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput([Fault("until", f"{text[:20]!r} is no day: write it like 2031-05-03")]) from None


def _page(customer: str, until: str, said: Said | None = None) -> str:
    lines = done_last()
    today = settings().now().date()
    return render_template(
        "dock_lend.html",
        customer=customer,
        until=until or (today + USUAL_LOAN).isoformat(),
        today=today.isoformat(),
        latest=(today + timedelta(days=731)).isoformat(),
        customers=[one.reference for one in every_customer(catalogue())[:MOST_OFFERED]],
        said=said or said_of(lines),
        done=lines,
        back=url_for("dock.lend_page", customer=customer or None, until=until or None),
    )
