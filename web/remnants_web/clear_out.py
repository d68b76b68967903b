"""What to clear out: pieces that tie up money or room, each with what one may do about it beside it."""

from dataclasses import dataclass

from flask import Blueprint, render_template, request
from werkzeug.wrappers import Response

from remnants.actions.clear_out import keep_piece, offer_piece, to_clear_out
from remnants.actions.show_piece import show_piece
from remnants.errors import NotFound
from remnants.limits import TEXT_CHARACTERS
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.changes import after_change, version_seen
from remnants_web.choices import digits
from remnants_web.clear_together import days_told
from remnants_web.sent_texts import sent_key, sent_why, within
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("clear_out", __name__, url_prefix="/clear-out")

DID = ("discarded", "offered", "no longer offered", "moved", "kept off this list")
"""What is done to many at once, in the words that the page says."""

MOST = 60
"""Lines that one looks through on a page."""
USUAL_DAYS = 90
"""For how long a piece is kept, unless one says otherwise (common practice, no source)."""


@area.get("")
@needs(Role.WORK)
def show() -> str:
    """The list, what stands for the least carpet of full value first."""
    found = to_clear_out(catalogue(), now=settings().now(), most=MOST)
    return render_template("clear_out.html", found=found, most=MOST, usual_days=USUAL_DAYS, did=_did())


@dataclass(frozen=True, slots=True)
class Did:
    """What was just done to how many pieces at once, and the tag and entry by which it is taken back while that `stands`."""

    what: str
    pieces: int
    tag: str
    entry: int
    stands: bool


def _did() -> Did | None:
    """As the address says, where its entry is there."""
    pieces, entry, tag = (request.args.get(name, "") for name in ("pieces", "entry", "tag"))
    counted, number = digits(pieces), digits(entry)
    if not counted or number is None:
        return None
    try:
        version = show_piece(catalogue(), tag).standing.version
    except NotFound:
        return None
    did = request.args.get("did", "")
    return Did(did if did in DID else "changed", counted, tag, number, version == number) if version >= number else None


@area.post("/<path:tag>/keep")
@needs(Role.WORK)
def keep(tag: str) -> Response:
    """Keeps a piece off the list for some days, for a reason."""
    days, signed = days_told(), signature(sent_why())
    return after_change(tag, lambda: keep_piece(catalogue(), tag, days=days, seen=version_seen(), signed=signed, key=sent_key()))


@area.post("/<path:tag>/offer")
@needs(Role.WORK)
def offer(tag: str) -> Response:
    """Says for which sum a piece is offered."""
    price, signed = within(request.form.get("price", ""), "price", TEXT_CHARACTERS), signature(sent_why())
    return after_change(tag, lambda: offer_piece(catalogue(), tag, price, seen=version_seen(), signed=signed, key=sent_key()))
