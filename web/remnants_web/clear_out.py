"""What to clear out: pieces that tie up money or room, each with what one may do about it beside it."""

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response

from remnants.actions.clear_out import MOST_DAYS, keep_piece, offer_piece, to_clear_out
from remnants.errors import BadInput, Fault
from remnants.limits import TEXT_CHARACTERS
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.changes import after_change, version_seen
from remnants_web.choices import digits
from remnants_web.sent_texts import sent_key, sent_why, within
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("clear_out", __name__, url_prefix="/clear-out")

MOST = 60
"""Pieces that one looks through on a page."""
USUAL_DAYS = 90
"""For how long a piece is kept, unless one says otherwise (common practice, no source)."""


@area.get("")
@needs(Role.WORK)
def show() -> str:
    """The list, what stands for the least carpet of full value first."""
    found = to_clear_out(catalogue(), now=settings().now(), most=MOST)
    return render_template("clear_out.html", found=found, most=MOST, usual_days=USUAL_DAYS, longest=MOST_DAYS)


@area.post("/<path:tag>/keep")
@needs(Role.WORK)
def keep(tag: str) -> Response:
    """Keeps a piece off the list for some days, for a reason."""
    days, signed = digits(request.form.get("days", "")), signature(sent_why())
    if days is None:
        raise BadInput([Fault("days", f"say for how many days: a whole number, 1 to {MOST_DAYS}")])
    return after_change(tag, lambda: keep_piece(catalogue(), tag, days=days, seen=version_seen(), signed=signed, key=sent_key()))


@area.post("/<path:tag>/offer")
@needs(Role.WORK)
def offer(tag: str) -> Response:
    """Says for which sum a piece is offered."""
    price, signed = within(request.form.get("price", ""), "price", TEXT_CHARACTERS), signature(sent_why())
    return after_change(tag, lambda: offer_piece(catalogue(), tag, price, seen=version_seen(), signed=signed, key=sent_key()))
