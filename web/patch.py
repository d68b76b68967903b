"""The patch flow: say what carpet, draw what is missing, get the answer, hold or cut."""

from urllib.parse import urlencode

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.show_piece import show_piece
from remnants.errors import BadInput, NotFound
from remnants.model import Finish, Role
from web.access import needs
from web.jobs import answers, job_text, read_form_job
from web.laid import log_laid
from web.problems import STATUS
from web.shapes import BEARINGS, MOST_EDGES, ShapeKind, Typed
from web.shop import catalogue, settings
from web.words import reader_unit

__all__ = ["area"]

area = Blueprint("patch", __name__, url_prefix="/patch")

FINISH_WORDS = (
    (Finish.SEAM, "seam: joins carpet"),
    (Finish.WALL, "wall: tack strip and tuck"),
    (Finish.TRANSITION, "transition: other floor"),
    (Finish.FREE, "free: nothing added"),
)


@area.get("")
@needs(Role.LOOK)
def ask() -> str:
    """The form. `?tag=` takes the carpet from a piece."""
    form = Typed(request.args.to_dict())
    tag = form.get("tag", "").strip()
    if tag:
        try:
            piece = show_piece(catalogue(), tag).piece
        except NotFound as error:
            return _form(form, error)
        form.update({"style": piece.style, "colour": piece.colour, "lot": piece.lot})
    return _form(form)


@area.post("")
@needs(Role.LOOK)
def ask_now() -> Response:
    """Reads the form, logs the laid piece that it tells of, and goes on to the answer; or says what can't be read."""
    form = Typed({field: text for field, text in request.form.items() if text.strip()})
    try:
        read_form_job(job_text(form))
        if form["laid_width"]:
            laid = log_laid(form)
            form = Typed({field: text for field, text in form.items() if not field.startswith("laid_")} | {"laid": laid.tag})
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    form.pop("key", None)
    return redirect(f"{url_for('patch.answer')}?{urlencode(form)}", 303)


@area.get("/answer")
@needs(Role.LOOK)
def answer() -> Response:
    """The answer to the question in the address: asking again asks today's stock. A device keeps it for times without signal."""
    form = Typed(request.args.to_dict())
    try:
        found = answers(catalogue(), job_text(form), reader_unit(), today=settings().now().date())
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    return make_response(render_template("answer.html", answers=found, form=form, laid=form["laid"], asked=urlencode(form)))


def _form(form: Typed, error: Exception | None = None) -> str:
    faults = error.faults if isinstance(error, BadInput) else ()
    return render_template(
        "patch.html",
        form=form,
        faults=faults,
        missing=str(error) if isinstance(error, NotFound) else "",
        shapes=ShapeKind,
        bearings=BEARINGS,
        finishes=FINISH_WORDS,
        edges=MOST_EDGES,
    )
