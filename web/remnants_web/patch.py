"""The patch flow: say what carpet, draw what is missing, get the answer, hold or cut."""

import json
from dataclasses import dataclass
from functools import partial
from urllib.parse import urlencode

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.customers import kept_pieces
from remnants.actions.field_paces import note_paces
from remnants.actions.shop_rules import own_rules, rules_in_force
from remnants.actions.show_piece import show_piece
from remnants.actions.told_to import may_know_customers
from remnants.errors import BadInput, NotFound
from remnants.limits import NAME_CHARACTERS, TEXT_CHARACTERS
from remnants.model import Finish, Job, Piece, Role, WhyNot
from remnants.model.patch_attributes import PATCH_MORE
from remnants_web.access import asking, needs
from remnants_web.ask import answer_to
from remnants_web.beside import beside_of, house_of, pieces_beside, pieces_told
from remnants_web.jobs import Answer, asked_before, job_asked, read_form_job, tags_in, with_patch, without_patch
from remnants_web.laid import laid_house, log_laid, told_laid
from remnants_web.problems import STATUS
from remnants_web.questions import AnswerAsked, WhyNotAsked
from remnants_web.shapes import BEARINGS, MOST_EDGES, SIZES, ShapeKind, Typed
from remnants_web.shop import catalogue, settings
from remnants_web.shown import keep_shown
from remnants_web.words import reader_unit

__all__ = ["area", "asked_again"]

area = Blueprint("patch", __name__, url_prefix="/patch")

FINISH_WORDS = (
    (Finish.SEAM, "seam: joins carpet"),
    (Finish.WALL, "wall: tack strip and tuck"),
    (Finish.TRANSITION, "transition: other floor"),
    (Finish.FREE, "free: nothing added"),
)


@area.get("")
@needs(Role.LOOK)
def ask() -> Response:
    """The form. `?tag=` takes the carpet from a piece."""
    form = Typed(request.args.to_dict())
    found = _taken(form)
    return make_response(_form(form, found=found), STATUS[NotFound] if found.nothing else 200)


@area.post("")
@needs(Role.LOOK)
def ask_now() -> Response:
    """Reads the form, logs the laid piece that it tells of in a house, and goes on to the answer; or says what can't be read.

    Where no house is told, the laid piece counts for that answer alone.

    A tag, or words for where a piece is kept, fill in the carpet first; where no size is typed yet, the form comes back for it.
    """
    form = Typed({field: text for field, text in request.form.items() if text.strip()})
    note_paces(catalogue(), form.pop("pace", ""), request.form.keys())
    found = _taken(form)
    if found.nothing or found.kept or (found.piece and not any(form[field] for field in SIZES)):
        return make_response(_form(form, found=found), STATUS[NotFound] if found.nothing else 200)
    if form["drop"]:
        return _asking(without_patch(form))
    try:
        read_form_job(job_asked(form))
        if form.pop("add", ""):
            return _asking(with_patch(form))
        if form["laid_width"] or form["laid_length"]:
            told = {"laid": log_laid(form).tag} if laid_house(form) else {"beside": told_laid(form)}
            form = Typed({field: text for field, text in form.items() if not field.startswith("laid_")} | told)
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    form.pop("key", None)
    return redirect(f"{url_for('patch.answer')}?{urlencode(form)}", 303)


def _asking(form: Typed) -> Response:
    """Back to the form, for the next patch of the same job."""
    form.pop("key", None)
    return redirect(f"{url_for('patch.ask')}?{urlencode(form)}", 303)


@area.get("/answer")
@needs(Role.LOOK)
def answer() -> Response:
    """The answer to the question in the address: asking again asks today's stock. A device keeps it for times without signal."""
    form = Typed(request.args.to_dict())
    try:
        asked = job_asked(form)
        job, file = read_form_job(asked), json.dumps(asked, default=str)
        beside = beside_of(form)
        pieces_beside(catalogue(), job, beside)
        today = settings().now().date()
        question = AnswerAsked(settings().catalogue, file, job, reader_unit(), asking().role, today, beside)
        found: tuple[Answer, ...] = answer_to(question, page=True)
        why_not = _why_not(job, form["why_not"].strip())
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    for each in found:
        if not each.waits:  # it may be cut like an answer shown before, which must not be booked at the donors as they stand now
            keep_shown(each.fitted, each.digest)
    days = rules_in_force(catalogue(), today=settings().now().date()).rules.hold_days
    shown = render_template(
        "answer.html",
        answers=found,
        form=form,
        laid=form["laid"],
        told_here=pieces_told(beside),
        house=house_of(job),
        asked=urlencode(form),
        hold_days=days,
        named={what: tags_in(form[what]) for what in ("use", "avoid")},
        with_tag=partial(_with_tag, form),
        why_not=why_not,
        with_why=partial(_with_why, form),
    )
    return make_response(shown)


def _why_not(job: Job, tag: str) -> str:
    """Why a piece isn't the choice, in words; "" where none is asked about."""
    if not tag:
        return ""
    try:
        told: WhyNot = answer_to(
            WhyNotAsked(settings().catalogue, job, tag[:NAME_CHARACTERS], settings().now().date()), page=True
        )
    except BadInput as error:
        return "; ".join(fault.what for fault in error.faults)
    return told.sentence.replace(f" (`--use {told.piece}`)", "")  # here it is one tap


def _with_why(form: Typed, tag: str) -> str:
    """The address of the same question that also asks why a piece isn't the choice."""
    return f"{url_for('patch.answer')}?{urlencode({**form, 'why_not': tag})}#why-not"


def _with_tag(form: Typed, what: str, tag: str) -> str:
    """The address of the same question with one more piece that it must use, or must avoid; once more takes it back."""
    known = tags_in(form[what])
    tags = [each for each in known if each != tag] if tag in known else [*known, tag]
    other = {"use": "avoid", "avoid": "use"}[what]
    rest = [each for each in tags_in(form[other]) if each != tag]
    changed = {key: text for key, text in form.items() if key not in (what, other, "laid", "why_not")}
    asked = changed | {key: ", ".join(named) for key, named in ((what, tags), (other, rest)) if named}
    return f"{url_for('patch.answer')}?{urlencode(asked)}"


def asked_again(form: Typed, _: bool) -> str:
    """The form as it was sent when its maker's session was over."""
    return _form(form)


@dataclass(frozen=True)
class _Found:
    """What the tag field came to: a piece, pieces kept where its words say, or nothing, told in words."""

    piece: Piece | None = None
    kept: tuple[Piece, ...] = ()
    nothing: str = ""


def _taken(form: Typed) -> _Found:
    """Takes the tag out of the form, and the carpet of its piece into it."""
    told = (form.pop("take", "") or form.pop("tag", "")).strip()[:TEXT_CHARACTERS]
    form.pop("tag", None)
    if not told:
        return _Found()
    try:
        piece = show_piece(catalogue(), told).piece
    except NotFound as error:
        kept = tuple(standing.piece for standing in kept_pieces(catalogue(), told) if _may_be_told(standing.piece, told))
        form["tag"] = told
        return _Found(kept=kept, nothing="" if kept else f"{error}; and nothing is kept or laid at a place like that")
    form.update({"style": piece.style, "colour": piece.colour, "lot": piece.lot})
    return _Found(piece)


def _may_be_told(piece: Piece, words: str) -> bool:
    """Which customer has a piece is only for those who work with them: others find it by its place alone."""
    place = f"{piece.place}, {piece.room}".casefold()
    return may_know_customers(asking().role) or words.casefold() in place


def _form(form: Typed, error: BadInput | None = None, *, found: _Found | None = None) -> str:
    return render_template(
        "patch.html",
        form=form,
        before=asked_before(form),
        faults=error.faults if error else (),
        found=found or _Found(),
        more=PATCH_MORE,
        shapes=ShapeKind,
        bearings=BEARINGS,
        finishes=FINISH_WORDS,
        edges=MOST_EDGES,
        noted=own_rules(catalogue()).note_pace,
    )
