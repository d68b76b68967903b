"""Logging what comes back to the dock, in seconds."""

from urllib.parse import urlencode

from flask import Blueprint, jsonify, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.flat_photos import flat_of
from remnants.actions.own_branch import usual_place
from remnants.actions.places import unmistaken
from remnants.actions.show_piece import show_piece
from remnants.errors import BadInput, NotFound
from remnants.model import Kind, Role
from remnants.model.attributes import PLAIN, Asked
from remnants.model.piece import WORN_WORDS
from remnants_web.access import asking, needs
from remnants_web.choices import digits
from remnants_web.laid import log_piece
from remnants_web.own_branch import here_now
from remnants_web.pattern_taken import taken_words
from remnants_web.photos import sent_photo
from remnants_web.problems import STATUS, Problem, wants_json
from remnants_web.shapes import BEARINGS, ShapeKind, Typed
from remnants_web.shop import catalogue, settings
from remnants_web.style_meant import NEW_STYLE, styles_meant
from remnants_web.tags import PAPER_WORDS, usual_paper
from remnants_web.traced import scaled_as_logged

__all__ = ["area", "logged_again"]

area = Blueprint("log", __name__, url_prefix="/log")

KIND_WORDS = (
    (Kind.REMNANT, "remnant: came back, or a roll's end"),
    (Kind.OFFCUT, "offcut: left from a cut"),
    (Kind.KEPT, "kept: lies with a customer"),
    (Kind.LAID, "laid: still on a floor"),
)
WEAR_WORDS = tuple(enumerate(WORN_WORDS))
_SHARED = tuple(attribute.name for attribute in PLAIN if attribute.shared)
WITH_PHOTO = "photo"
"""What a device says of a piece that waits there with a photograph."""


@area.get("")
@needs(Role.WORK)
def ask() -> str:
    """The form. After a piece was logged, what two pieces of one job share is filled in already; else the last one's place.

    For a piece that waited on a device for signal (`waited`) it is asked anew which style is meant, under the key that it has.
    """
    form = Typed(request.args.to_dict())
    form["place"] = unmistaken(catalogue(), form["place"], own=here_now().name)
    usual = "" if form["place"] else usual_place(catalogue(), asking().name, here_now().name)
    waited = form.pop("waited", "")
    meant = styles_meant(form) if waited else ()
    return _form(form, logged=form.pop("logged", ""), usual=usual, meant=meant, lost=waited == WITH_PHOTO)


@area.post("")
@needs(Role.WORK)
def log() -> Response:
    """Logs the piece, and is ready for the next. A style that nobody has and that looks misspelt is asked about first."""
    form = Typed(request.form.to_dict())
    photo = sent_photo()
    meant = styles_meant(form)
    flat = _flat_asked(form) if not photo else b""
    if meant and wants_json():
        return _question(form, meant)
    if meant:
        return make_response(_form(form, meant=meant, lost=bool(photo)), STATUS[BadInput])
    try:
        piece = log_piece(form, photo or flat)
    except BadInput as error:
        return make_response(_form(form, error, lost=bool(photo)), STATUS[BadInput])
    shared = {key: form[key] for key in _SHARED if form.get(key)}
    shared |= {"place": piece.place} if piece.place else {}
    logged = {"logged": piece.tag, "seen": str(show_piece(catalogue(), piece.tag).standing.version)}
    return redirect(f"{url_for('log.ask')}?{urlencode(logged | shared)}", 303)


def _flat_asked(form: Typed) -> bytes:
    """The flattened photograph that its outline was set in, where it is asked to be kept with the piece and still there."""
    number = digits(form["flat"]) if form["keep_flat"] else None
    if number is None:
        return b""
    flat, _ = flat_of(catalogue(), number, asking().name, now=settings().now())
    return scaled_as_logged(flat, form) or flat.flat.jpeg


def logged_again(form: Typed, photo: bool) -> str:
    """The form as it was sent when its maker's session was over; `photo` says that a photograph was chosen, which is not kept."""
    return _form(form, meant=styles_meant(form), lost=photo)


def _question(form: Typed, meant: tuple[str, ...]) -> Response:
    """The question for a piece that waited on a device for signal: it goes on waiting there, with the choices, until answered."""
    told = f"no style is called “{form['style']}”; did you mean {' or '.join(meant)}?"
    choices = [*((name, name) for name in meant), (NEW_STYLE, f"New style: {form['style']}")]
    asked = [{"name": "style_is", "value": value, "word": word} for value, word in choices]
    answer = jsonify(Problem(STATUS[BadInput], "Which style is meant?", told).as_json() | {"choices": asked})
    answer.mimetype, answer.status_code = "application/problem+json", STATUS[BadInput]
    return answer


def _form(
    form: Typed,
    error: BadInput | None = None,
    *,
    logged: str = "",
    usual: str = "",
    meant: tuple[str, ...] = (),
    lost: bool = False,
) -> str:
    wrong = {fault.where for fault in error.faults} if error else set()
    try:
        done = show_piece(catalogue(), logged).piece if logged else None
    except NotFound:
        done = None
    more = [a for a in PLAIN if a.asked is Asked.MORE and asking().role.covers(a.seen_by)]
    return render_template(
        "log.html",
        form=form,
        more=more,
        more_told=any(form[attribute.name] or attribute.name in wrong for attribute in more),
        faults=error.faults if error else (),
        done=done,
        seen=digits(form["seen"]),
        usual=usual,
        meant=meant,
        new_style=NEW_STYLE,
        lost=lost,
        taken=taken_words(form),
        key="" if "key" in wrong else form["key"],
        shapes=ShapeKind,
        bearings=BEARINGS,
        kinds=KIND_WORDS,
        wear=WEAR_WORDS,
        papers=PAPER_WORDS,
        paper=usual_paper(),
    )
