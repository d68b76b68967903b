"""What programs can do, as JSON: the file formats in and out, one shape for every refusal (RFC 9457)."""

from datetime import date
from enum import StrEnum
from typing import Any

from flask import Blueprint, jsonify, request
from werkzeug.exceptions import UnsupportedMediaType
from werkzeug.wrappers import Response

from remnants.actions.ask_in_words import understood
from remnants.actions.booking import answered
from remnants.actions.find_pieces import find_pieces
from remnants.actions.fit_job import Fitted
from remnants.actions.job_names import Which, jobs_called, number_text, row_of
from remnants.actions.keep_job import KeptJob, cut_job, find_job, hold_job, release_job
from remnants.actions.log_pieces import known_styles, log_pieces
from remnants.actions.propose_job import Proposed
from remnants.actions.shop_rules import held_until, own_rules
from remnants.actions.show_piece import history_of, show_piece
from remnants.actions.told_to import life_told, may_know_customers, piece_told, shown_told
from remnants.days import day_words
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock, answer_json, job_json, read_stock, stock_json
from remnants.exchange.proposals import proposals_json
from remnants.limits import KEY_CHARACTERS, NAME_CHARACTERS, PIECES_FOUND
from remnants.model import Job, Role, Scope
from remnants.report.life import life_facts
from remnants.report.proposal_text import ask_next
from remnants.units import Unit
from remnants_web.access import anyone, asking, needs, signature
from remnants_web.api_description import description
from remnants_web.ask import answer_to
from remnants_web.choices import chosen
from remnants_web.gate import damage_sent, job_sent
from remnants_web.questions import OutlinesAsked, PlanAsked
from remnants_web.sent_texts import within
from remnants_web.shop import catalogue, settings

__all__ = ["area"]

area = Blueprint("api", __name__, url_prefix="/api")


class YesNo(StrEnum):
    """Whether something is so."""

    YES = "yes"
    NO = "no"


@area.get("/openapi.json")
@anyone
def described() -> Response:
    """The description of all this (OpenAPI 3.1); holds no data."""
    return jsonify(description(settings().shop))


@area.post("/fit")
@needs(Role.LOOK, scope=Scope.FIT)
def fit() -> Response:
    """A job in, its answer out. Changes nothing."""
    read: list[Fault] = []
    job = job_sent(_body(), own_rules(catalogue()), note=read.append)
    fitted: Fitted = answer_to(PlanAsked(settings().catalogue, job, settings().now().date(), ways=True))
    return jsonify(answer_json(fitted.plan, fitted.ways, bargains=fitted.bargains, notes=(*map(str, read), *fitted.notes)))


@area.get("/ask")
@needs(Role.LOOK, scope=Scope.FIT)
def ask() -> Response:
    """What a question in one line says, as the keys of a job file and of pieces, and what must still be told. Changes nothing."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    sentence = understood(catalogue(), request.args.get("words", ""), unit)
    heard = [{"words": each.words, "of": each.where, "key": each.key, "meaning": each.told} for each in sentence.heard]
    told = {"heard": heard, "unread": list(sentence.unread), "ask": list(sentence.ask)}
    return jsonify({"job": dict(sentence.job), "pieces": [dict(piece) for piece in sentence.pieces], **told})


@area.post("/propose")
@needs(Role.LOOK, scope=Scope.FIT)
def propose() -> Response:
    """A job with damage in, outlines out, each with the job and the answer that follow. Changes nothing."""
    read: list[Fault] = []
    body = _body()
    asked = damage_sent(body, own_rules(catalogue()), note=read.append)
    question = OutlinesAsked(settings().catalogue, body, asked, settings().now().date())
    found: tuple[Proposed, ...] = answer_to(question)
    told = proposals_json([each.proposal for each in found], ask=ask_next(asked))
    notes = list(dict.fromkeys((*map(str, read), *(note for each in found for note in each.fitted.notes))))
    return jsonify(told | ({"notes": notes} if notes else {}))


@area.get("/pieces")
@needs(Role.LOOK, scope=Scope.LOOK)
def find() -> Response:
    """Pieces like the words, the likeliest first, as a stock file."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    found = find_pieces(catalogue(), request.args.get("words", ""), most=_most())
    told = tuple(piece_told(asking().role, piece) for piece in found.pieces)
    return jsonify(stock_json(Stock(found.styles, told, unit), seen_by=asking().role))


@area.post("/pieces")
@needs(Role.WORK, scope=Scope.LOG)
def log() -> tuple[Response, int]:
    """Logs the pieces of a stock file: all of them, or none."""
    opened = catalogue()
    stock = read_stock(_body(), known=known_styles(opened))
    if stock.branches or stock.sent:
        raise BadInput(
            [Fault("branches", "branches, vans and what is on the way are told at the shop's own machine: leave them out")]
        )
    tags = log_pieces(opened, stock, signed=signature(), key=_key())
    return jsonify({"tags": list(tags)}), 201


@area.get("/pieces/<path:tag>")
@needs(Role.LOOK, scope=Scope.LOOK)
def show(tag: str) -> Response:
    """One piece, as a stock file that holds it alone."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    shown = shown_told(asking().role, show_piece(catalogue(), tag))
    return jsonify(stock_json(Stock((shown.style,), (shown.piece,), unit), seen_by=asking().role))


@area.get("/pieces/<path:tag>/history")
@needs(Role.LOOK, scope=Scope.LOOK)
def history(tag: str) -> Response:
    """All that happened to a piece, oldest first, what it was cut from, and what was cut from it."""
    unit = chosen(Unit, request.args.get("unit"), "unit", default=Unit.MM)
    role = asking().role
    life = life_told(role, history_of(catalogue(), tag))
    return jsonify(life_facts(life.standing, life.entries, unit, parents=life.parents, offcuts=life.offcuts, seen_by=role))


@area.post("/jobs")
@needs(Role.WORK, scope=Scope.BOOK)
def hold() -> tuple[Response, int]:
    """Fits a job and keeps the pieces that its answer is cut from. A key that was answered holds nothing again."""
    opened = catalogue()
    job = job_sent(_body(), own_rules(opened))
    until = _until()
    if answered(opened, _key()):
        return jsonify(_job_facts(_asked_before(job))), 201
    number = within(request.args.get("job", ""), "job", NAME_CHARACTERS)
    which = Which(number, again=chosen(YesNo, request.args.get("again"), "again", default=YesNo.NO) is YesNo.YES)
    own = row_of(opened, number).name if number else "" if which.again else None
    fitted: Fitted = answer_to(PlanAsked(settings().catalogue, job, settings().now().date(), own=own))
    held = hold_job(opened, fitted, until=until, signed=signature(), key=_key(), which=which)
    return jsonify(_job_facts(find_job(opened, held.number))), 201


@area.get("/jobs/<path:name>")
@needs(Role.LOOK, scope=Scope.LOOK)
def job(name: str) -> Response:
    """How far a job is, and its answer."""
    return jsonify(_job_facts(find_job(catalogue(), name)))


@area.post("/jobs/<path:name>/cut")
@needs(Role.WORK, scope=Scope.BOOK)
def cut(name: str) -> Response:
    """Books the plan that is held for a job as cut."""
    booked = cut_job(catalogue(), name, signed=signature(), key=_key())
    return jsonify(vars(booked))


@area.post("/jobs/<path:name>/release")
@needs(Role.WORK, scope=Scope.BOOK)
def release(name: str) -> Response:
    """Lets go of what is held for a job."""
    return jsonify({"tags": list(release_job(catalogue(), name, signed=signature(), key=_key()))})


def _asked_before(job: Job) -> KeptJob:
    """What the request with this key made of the job. Raises BadInput where it was about something else."""
    asked = job_json(job)
    same = (find_job(catalogue(), number_text(row.number)) for row in reversed(jobs_called(catalogue(), job.name)))
    kept = next((each for each in same if each.job.name == job.name and job_json(each.job) == asked), None)
    if kept is None:
        raise BadInput([Fault("key", f"the key {_key()!r} was used for another request; take a new one")])
    return kept


def _job_facts(kept: KeptJob) -> dict[str, Any]:
    until = kept.hold_until.isoformat() if kept.hold_until else None
    return {
        "number": kept.number,
        "job": kept.job.name,
        "stage": kept.stage.value,
        "until": until,
        "who": kept.who,
        "why": kept.why if may_know_customers(asking().role) else "",
        "answer": answer_json(kept.plan),
    }


def _until() -> date:
    today = settings().now().date()
    text = request.args.get("until")
    if text is None:
        return held_until(catalogue(), today)
    try:
        until = date.fromisoformat(text)
    except ValueError:
        raise BadInput([Fault("until", f"{text[:20]!r} is no date: write it like 2031-05-03")]) from None
    if until < today:
        raise BadInput([Fault("until", f"{day_words(until)} has gone by: give a day from {day_words(today)} on")])
    return until


def _key() -> str:
    """The key under which a request is done once. Raises BadInput for one so long that it would have to be cut short."""
    return within(request.headers.get("Idempotency-Key", ""), "Idempotency-Key", KEY_CHARACTERS)


def _body() -> str:
    if request.mimetype != "application/json":
        raise UnsupportedMediaType("send JSON, and say so: Content-Type: application/json")
    try:
        return request.get_data().decode("utf-8")
    except UnicodeDecodeError:
        raise BadInput("the request is not UTF-8 text; send JSON in UTF-8") from None


def _most() -> int:
    text = request.args.get("most", "20")
    if not (text.isascii() and text.isdigit() and len(text) < 5 and 1 <= int(text) <= PIECES_FOUND):
        raise BadInput([Fault("most", f"{text[:20]!r} is no count: give a whole number from 1 to {PIECES_FOUND}")])
    return int(text)
