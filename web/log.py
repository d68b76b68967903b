"""Logging what comes back to the dock, in seconds."""

from urllib.parse import urlencode

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.show_piece import show_piece
from remnants.errors import BadInput, NotFound
from remnants.model import Kind, Role
from remnants.model.piece import WORN_WORDS
from web.access import needs
from web.laid import log_piece
from web.photos import sent_photo
from web.problems import STATUS
from web.shapes import BEARINGS, ShapeKind, Typed
from web.shop import catalogue
from web.tags import PAPER_WORDS

__all__ = ["area"]

area = Blueprint("log", __name__, url_prefix="/log")

KIND_WORDS = (
    (Kind.REMNANT, "remnant: came back, or a roll's end"),
    (Kind.OFFCUT, "offcut: left from a cut"),
    (Kind.KEPT, "kept: lies with a customer"),
    (Kind.LAID, "laid: still on a floor"),
)
WEAR_WORDS = tuple(enumerate(WORN_WORDS))


@area.get("")
@needs(Role.WORK)
def ask() -> str:
    """The form. After a piece was logged, what two pieces of one job share is filled in already."""
    form = Typed(request.args.to_dict())
    return _form(form, logged=form.pop("logged", ""))


@area.post("")
@needs(Role.WORK)
def log() -> Response:
    """Logs the piece, and is ready for the next."""
    form = Typed(request.form.to_dict())
    try:
        piece = log_piece(form, sent_photo())
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    shared = {key: form[key] for key in ("style", "colour", "lot", "place", "kind", "pile") if form.get(key)}
    return redirect(f"{url_for('log.ask')}?{urlencode({'logged': piece.tag} | shared)}", 303)


def _form(form: Typed, error: BadInput | None = None, logged: str = "") -> str:
    try:
        done = show_piece(catalogue(), logged).piece if logged else None
    except NotFound:
        done = None
    return render_template(
        "log.html",
        form=form,
        faults=error.faults if error else (),
        done=done,
        shapes=ShapeKind,
        bearings=BEARINGS,
        kinds=KIND_WORDS,
        wear=WEAR_WORDS,
        papers=PAPER_WORDS,
    )
