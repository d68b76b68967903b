"""What to clear out, many at once: small pieces of one style and colour are discarded, offered, moved or kept together."""

from collections.abc import Callable, Mapping

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.clear_out import MOST_DAYS
from remnants.actions.clear_together import discard_alike, keep_alike, move_alike, offer_alike
from remnants.errors import BadInput, Fault, NotAllowed, StockChanged
from remnants.limits import TEXT_CHARACTERS
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.choices import digits
from remnants_web.own_branch import branch_told
from remnants_web.problems import STATUS, wants_json
from remnants_web.sent_texts import sent_key, sent_place, sent_why, within
from remnants_web.shop import catalogue

__all__ = ["area", "days_told"]

area = Blueprint("clear_together", __name__, url_prefix="/clear-alike")


@area.post("/discard")
@needs(Role.WORK)
def discard() -> Response:
    """Takes the pieces out of stock for good."""
    signed = signature(sent_why())
    return _done("discarded", lambda seen: discard_alike(catalogue(), seen, signed=signed, key=sent_key()))


@area.post("/offer")
@needs(Role.WORK)
def offer() -> Response:
    """Says for which sum each of them is offered."""
    price, signed = within(request.form.get("price", ""), "price", TEXT_CHARACTERS), signature(sent_why())
    what = "offered" if price else "no longer offered"
    return _done(what, lambda seen: offer_alike(catalogue(), seen, price, signed=signed, key=sent_key()))


@area.post("/move")
@needs(Role.WORK)
def move() -> Response:
    """Says where they lie now."""
    place, own = sent_place(), branch_told()
    return _done("moved", lambda seen: move_alike(catalogue(), seen, place, own=own, signed=signature(), key=sent_key()))


@area.post("/keep")
@needs(Role.WORK)
def keep() -> Response:
    """Keeps them off the list for some days, for a reason."""
    days, signed = days_told(), signature(sent_why())
    return _done("kept off this list", lambda seen: keep_alike(catalogue(), seen, days=days, signed=signed, key=sent_key()))


def days_told() -> int:
    """The days that the form says. Raises BadInput."""
    days = digits(request.form.get("days", ""))
    if days is None:
        raise BadInput([Fault("days", f"say for how many days: a whole number, 1 to {MOST_DAYS}")])
    return days


def _done(what: str, do: Callable[[Mapping[str, int]], int]) -> Response:
    """The list again, which says what was done to how many and how it is taken back."""
    seen = _seen()
    try:
        first = do(seen)
    except StockChanged as error:
        if wants_json():
            raise
        page = render_template("clear_out_changed.html", told=str(error))
        return make_response(page, STATUS[NotAllowed])
    return redirect(url_for("clear_out.show", did=what, tag=next(iter(seen)), entry=first, pieces=len(seen)), 303)


def _seen() -> dict[str, int]:
    """The tags that the form names, each with the version that its page showed: `R-91=12`. Raises BadInput."""
    seen = {}
    for text in request.form.getlist("of"):
        tag, _, version = text.rpartition("=")
        number = digits(version)
        if not tag or number is None:
            raise BadInput([Fault("of", f"{text[:40]!r} names no piece; open the page again and send it from there")])
        seen[tag] = number
    return seen
