"""What one does with a piece at the racks: move it, discard it, take the last thing back."""

from flask import Blueprint, redirect, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.change_piece import discard_piece, move_piece
from remnants.actions.undo import undo_last
from remnants.model import Role
from remnants_web.access import needs, signature
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("changes", __name__, url_prefix="/pieces")


@area.post("/<path:tag>/move")
@needs(Role.WORK)
def move(tag: str) -> Response:
    """Says where a piece lies now."""
    form = request.form
    moved = move_piece(catalogue(), tag, form.get("place", ""), room=form.get("room", ""), signed=signature(), key=_key())
    return redirect(url_for("pieces.show", tag=moved), 303)


@area.post("/<path:tag>/discard")
@needs(Role.WORK)
def discard(tag: str) -> Response:
    """Takes a piece out of stock for good."""
    standing = discard_piece(catalogue(), tag, signed=signature(request.form.get("why", "").strip()[:200]), key=_key())
    return redirect(url_for("pieces.show", tag=standing.piece.tag), 303)


@area.post("/<path:tag>/undo")
@needs(Role.WORK)
def undo(tag: str) -> Response:
    """Takes back what last happened to a piece, by a new entry."""
    undo_last(catalogue(), tag, signed=signature(), key=_key())
    return redirect(url_for("pieces.show", tag=tag), 303)


def _key() -> str:
    return request.form.get("key", "").strip()[:100]
