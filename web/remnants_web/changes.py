"""What one does with a piece at the racks: move it, discard it, take the last thing back, as its page showed it."""

from collections.abc import Callable
from functools import partial

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.show_piece import show_piece
from remnants.actions.undo import undo_last, undo_together
from remnants.errors import BadInput, Fault, NotAllowed, StockChanged
from remnants.model import Role
from remnants_web.access import local_path, needs, signature
from remnants_web.choices import digits
from remnants_web.own_branch import branch_told
from remnants_web.problems import STATUS, wants_json
from remnants_web.sent_texts import sent_key, sent_why
from remnants_web.shop import catalogue

__all__ = ["after_change", "area", "version_seen"]

area = Blueprint("changes", __name__, url_prefix="/pieces")


@area.post("/<path:tag>/move")
@needs(Role.WORK)
def move(tag: str) -> Response:
    """Says where a piece lies now."""
    place, room = request.form.get("place", ""), request.form.get("room", "")
    own = branch_told()
    do = partial(move_piece, catalogue(), tag, place, room=room, own=own, seen=version_seen(), signed=signature(), key=sent_key())
    return after_change(tag, do)


@area.post("/<path:tag>/discard")
@needs(Role.WORK)
def discard(tag: str) -> Response:
    """Takes a piece out of stock for good."""
    signed = signature(sent_why())
    return after_change(tag, lambda: discard_piece(catalogue(), tag, seen=version_seen(), signed=signed, key=sent_key()))


@area.post("/<path:tag>/undo")
@needs(Role.WORK)
def undo(tag: str) -> Response:
    """Takes back what last happened to a piece, by a new entry."""
    return after_change(
        tag, lambda: undo_last(catalogue(), tag, seen=version_seen(), signed=signature(), key=sent_key()), told=False
    )


@area.post("/<path:tag>/undo-together")
@needs(Role.WORK)
def undo_all(tag: str) -> Response:
    """Takes back what was done to a piece and to others in one go, by the number of that entry."""
    seen = version_seen()
    if seen is None:
        raise BadInput([Fault("seen", "open the page again and take it back from there")])
    return after_change(tag, lambda: undo_together(catalogue(), tag, seen=seen, signed=signature(), key=sent_key()), told=False)


def after_change(tag: str, change: Callable[[], object], *, told: bool = True) -> Response:
    """The piece's page after the change, `told` there with the way to take it back, or the page that the form goes back to.

    Where somebody was first, what they did and the way to look again.
    """
    try:
        change()
    except StockChanged as error:
        if wants_json():
            raise
        return make_response(render_template("piece_changed.html", told=str(error), tag=tag), STATUS[NotAllowed])
    if request.form.get("back"):
        return redirect(local_path(request.form["back"]), 303)
    did = show_piece(catalogue(), tag).standing.version if told else None
    return redirect(url_for("pieces.show", tag=tag, did=did), 303)


def version_seen() -> int | None:
    """The version of the piece that the form's page showed; None from a form without it. Raises BadInput."""
    text = request.form.get("seen", "")
    if text and digits(text) is None:
        raise BadInput(
            [Fault("seen", f"{text[:20]!r} is no number of an entry; open the piece's page again and send it from there")]
        )
    return digits(text)
