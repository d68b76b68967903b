"""What one does with a piece at the racks: move it, discard it, take the last thing back, as its page showed it."""

from collections.abc import Callable

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.undo import undo_last
from remnants.errors import BadInput, Fault, NotAllowed, StockChanged
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.problems import STATUS, wants_json
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("changes", __name__, url_prefix="/pieces")

_MOST_DIGITS = 15


@area.post("/<path:tag>/move")
@needs(Role.WORK)
def move(tag: str) -> Response:
    """Says where a piece lies now."""
    place, room = request.form.get("place", ""), request.form.get("room", "")
    return _done(tag, lambda: move_piece(catalogue(), tag, place, room=room, seen=_seen(), signed=signature(), key=_key()))


@area.post("/<path:tag>/discard")
@needs(Role.WORK)
def discard(tag: str) -> Response:
    """Takes a piece out of stock for good."""
    signed = signature(request.form.get("why", "").strip()[:200])
    return _done(tag, lambda: discard_piece(catalogue(), tag, seen=_seen(), signed=signed, key=_key()))


@area.post("/<path:tag>/undo")
@needs(Role.WORK)
def undo(tag: str) -> Response:
    """Takes back what last happened to a piece, by a new entry."""
    return _done(tag, lambda: undo_last(catalogue(), tag, seen=_seen(), signed=signature(), key=_key()))


def _done(tag: str, change: Callable[[], object]) -> Response:
    """The piece's page after the change; where somebody was first, what they did and the way to look again."""
    try:
        change()
    except StockChanged as error:
        if wants_json():
            raise
        return make_response(render_template("piece_changed.html", told=str(error), tag=tag), STATUS[NotAllowed])
    return redirect(url_for("pieces.show", tag=tag), 303)


def _seen() -> int | None:
    """The version of the piece that the form's page showed; None from a form without it. Raises BadInput."""
    text = request.form.get("seen", "")
    if text and not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS):
        raise BadInput(
            [Fault("seen", f"{text[:20]!r} is no number of an entry; open the piece's page again and send it from there")]
        )
    return int(text) if text else None


def _key() -> str:
    return request.form.get("key", "").strip()[:100]
