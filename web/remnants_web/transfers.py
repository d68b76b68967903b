"""What is on the way from branch to branch: one page of it, and each step of a way by one tap."""

from collections.abc import Callable
from datetime import date
from functools import partial
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.branches import branches_of
from remnants.actions.show_piece import Shown, show_piece
from remnants.actions.transfers import call_back, count_on_the_way, not_there, on_the_way, send, take_in, usual_day
from remnants.errors import BadInput, Fault, NotAllowed, StockChanged
from remnants.limits import NAME_CHARACTERS
from remnants.model import Kind, Piece, Role
from remnants_web.access import asking, needs, signature
from remnants_web.choices import digits
from remnants_web.leaves import leaf_of_pieces
from remnants_web.problems import STATUS, wants_json
from remnants_web.sent_texts import sent_key, sent_place
from remnants_web.shop import catalogue, settings

__all__ = ["area", "goals_from"]

area = Blueprint("transfers", __name__)


@area.get("/on-the-way")
@needs(Role.LOOK)
def show() -> str:
    """All that is on the way, by where it goes, what is late first."""
    return _shown()


def _shown(faults: tuple[Fault, ...] = ()) -> str:
    count, late = count_on_the_way(catalogue())
    leaf = leaf_of_pieces(count, request.args.get("leaf", ""))
    found = on_the_way(catalogue(), after=leaf.skipped, most=leaf.most)
    goals = dict.fromkeys(standing.way.goal for standing in found if standing.way)  # what is late first, as it was found
    groups = [(goal, [standing for standing in found if standing.way and standing.way.goal == goal]) for goal in goals]
    today = settings().now().date()
    return render_template(
        "on_the_way.html", groups=groups, count=count, late=late, leaf=leaf, today=today, did=_did(), faults=faults
    )


@area.post("/pieces/<path:tag>/send")
@needs(Role.WORK)
def send_one(tag: str) -> Response:
    """Sends a piece to a branch or into a van; a held one for the job that holds it."""
    hold = show_piece(catalogue(), tag).standing.hold
    signed = signature(job=hold.job if hold and request.form.get("held_for") == hold.job else "")
    goal, expected = request.form.get("to", "")[:NAME_CHARACTERS], _day(request.form.get("expected", ""))
    do = partial(send, catalogue(), [tag], goal, expected=expected, seen=_seen(tag), signed=signed, key=sent_key())
    return _done(tag, do, on_its_page=True)


@area.post("/pieces/<path:tag>/take-in")
@needs(Role.WORK)
def take_in_one(tag: str) -> Response:
    """Says that a piece came where it was sent to."""
    return _done(tag, partial(take_in, catalogue(), [tag], sent_place(), seen=_seen(tag), signed=signature(), key=sent_key()))


@area.post("/pieces/<path:tag>/call-back")
@needs(Role.WORK)
def call_back_one(tag: str) -> Response:
    """Says that a piece lies where it lay before it was sent."""
    return _done(tag, partial(call_back, catalogue(), [tag], seen=_seen(tag), signed=signature(), key=sent_key()))


@area.post("/pieces/<path:tag>/not-there")
@needs(Role.WORK)
def not_there_one(tag: str) -> Response:
    """Says that a piece never came."""
    return _done(tag, partial(not_there, catalogue(), [tag], seen=_seen(tag), signed=signature(), key=sent_key()))


def goals_from(piece: Piece) -> dict[str, Any]:
    """What the page of a piece needs to send it: the branches and vans that it may go to, and the usual day."""
    found = branches_of(catalogue())
    own = found.words_of(piece.place) or found.branch_of(piece.place)
    ours = piece.kind in (Kind.REMNANT, Kind.OFFCUT) and not piece.customer
    names = [each.name for each in found.branches] + [each.name for each in found.vans]
    return {"goals": [name for name in names if name != own] if ours else [], "usual_day": usual_day(settings().now().date())}


def _done(tag: str, do: Callable[[], object], *, on_its_page: bool = False) -> Response:
    """The page that the tap was made on, with what it did and the way to take it back; what somebody did who was first."""
    try:
        do()
    except StockChanged as error:
        if wants_json():
            raise
        return make_response(render_template("piece_changed.html", told=str(error), tag=tag), STATUS[NotAllowed])
    except BadInput as error:
        if wants_json() or on_its_page:
            raise
        return make_response(_shown(error.faults), STATUS[BadInput])
    after = show_piece(catalogue(), tag).standing
    if on_its_page:
        return redirect(url_for("pieces.show", tag=tag, did=after.version), 303)
    return redirect(url_for("transfers.show", tag=after.piece.tag, did=after.version), 303)


def _did() -> Shown | None:
    """The piece of which somebody has just said what became of its way, while nothing happened to it since."""
    tag, number = request.args.get("tag", "")[:NAME_CHARACTERS], digits(request.args.get("did", ""))
    if not tag or number is None or not asking().role.covers(Role.WORK):
        return None
    shown = show_piece(catalogue(), tag)
    own = shown.standing.version == number and shown.standing.signed.who == asking().name
    return shown if own else None


def _seen(tag: str) -> dict[str, int]:
    """The version of the piece that the form's page showed. Raises BadInput."""
    text = request.form.get("seen", "")
    number = digits(text)
    if text and number is None:
        raise BadInput([Fault("seen", f"{text[:20]!r} is no number of an entry; open the page again and send it from there")])
    return {} if number is None else {tag: number}


def _day(text: str) -> date | None:
    """The day on which it is expected, as the form tells it. Raises BadInput."""
    try:
        return date.fromisoformat(text) if text.strip() else None
    except ValueError:
        raise BadInput([Fault("expected", f"{text[:20]!r} is no date: write it like 2031-05-03")]) from None
