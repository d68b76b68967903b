"""The patch proposed: tell a room and what is damaged in it, see up to three outlines with their plans, take one."""

import json
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.propose_job import Proposed
from remnants.actions.shop_rules import own_rules
from remnants.errors import BadInput, Fault
from remnants.model import DamagedJob, RepairRoom, Role
from remnants.model.patch_attributes import PATCH_MORE
from remnants.report.floor_view import Floor
from remnants.report.proposal_text import ask_next
from remnants_web.access import asking, needs
from remnants_web.ask import answer_to
from remnants_web.damage_form import (
    MOST_DAMAGES,
    WALLS_ACROSS,
    WALLS_UP,
    damages_asked,
    damages_told,
    proposal_asked,
    told_at_damage,
)
from remnants_web.gate import damage_sent
from remnants_web.jobs import Picture
from remnants_web.patch import FINISH_WORDS
from remnants_web.problems import STATUS
from remnants_web.proposals import outlines_shown, room_picture
from remnants_web.questions import OutlinesAsked
from remnants_web.room_form import LANDMARKS, MOST_DOORS, doors_told, room_asked, room_names, room_read, with_rooms
from remnants_web.rooms_file import DRAWING_UNITS, sent_rooms
from remnants_web.shapes import BEARINGS, MOST_EDGES, ShapeKind, Typed
from remnants_web.shop import catalogue, settings
from remnants_web.words import reader_unit

__all__ = ["area", "damage_again"]

area = Blueprint("propose", __name__, url_prefix="/propose")

SIDES = (("", "none"), *((str(number), f"side {number}") for number in range(1, MOST_EDGES + 1)))


@area.get("")
@needs(Role.LOOK)
def ask() -> str:
    """The form, with what stands in the address."""
    return _form(Typed(request.args.to_dict()))


@area.post("")
@needs(Role.LOOK)
def ask_now() -> Response:
    """Reads the form and goes on to the outlines, or says what can't be read. Rooms that are sent along are taken first."""
    form = Typed({field: text for field, text in request.form.items() if text.strip() and field not in ("key", "take")})
    if form.pop("drop", ""):
        kept = Typed({field: text for field, text in form.items() if field not in ("rooms", "rooms_note", "room")})
        return make_response(_form(kept))
    try:
        form |= sent_rooms(form, request.files.get("file"))
        if form["rooms_file"]:
            form = with_rooms(form, form["rooms_file"])
        if "take" in request.form or (form["rooms"] and not damages_told(form)):
            return make_response(_form(form, taking="take" in request.form and not form["rooms"]))
        _read(form)
    except BadInput as error:
        return make_response(_form(form, error), STATUS[BadInput])
    return redirect(f"{url_for('propose.answer')}?{urlencode(form)}", 303)


@area.get("/answer")
@needs(Role.LOOK)
def answer() -> Response:
    """The outlines for the question in the address: asking again asks today's stock."""
    form = Typed(request.args.to_dict())
    try:
        asked, file = _read(form)
        found: tuple[Proposed, ...] = answer_to(
            OutlinesAsked(settings().catalogue, file, asked, settings().now().date()), page=True
        )
    except BadInput as error:
        return make_response(_form(form, told_at_damage(error, form)), STATUS[BadInput])
    shown = outlines_shown(found, asked, form, unit=reader_unit(), role=asking().role)
    return make_response(render_template("proposals.html", shown=shown, form=form, unsaid=ask_next(asked)))


def damage_again(form: Typed, file: bool) -> str:
    """The form as it was sent when its maker's session was over; `file` says that a file was chosen, which is not kept."""
    return _form(form, BadInput([Fault("file", "a page can't keep a file that was chosen: choose it again")]) if file else None)


def _read(form: Typed) -> tuple[DamagedJob, str]:
    """What is asked, and the same as a job file's text. Raises BadInput at the form's fields."""
    try:
        asked = proposal_asked(form)
        return damage_sent(asked, own_rules(catalogue())), json.dumps(asked, default=str)
    except BadInput as error:
        raise told_at_damage(error, form) from None


def _form(form: Typed, error: BadInput | None = None, *, taking: bool = False) -> str:
    if taking:
        error = BadInput([Fault("file", "choose a file, or paste its text below, and the room is taken from it")])
    rooms = room_names(form)
    return render_template(
        "propose.html",
        form=form,
        faults=error.told if error else (),
        rooms=[(name, name) for name in rooms],
        drawn=_drawn(form) if rooms else "",
        picture=_picture(form),
        doors_told=doors_told(form),
        more_told=any(number > 1 for number in damages_told(form)),
        most=MOST_DAMAGES,
        most_doors=MOST_DOORS,
        side_choices=SIDES,
        across=WALLS_ACROSS,
        up=WALLS_UP,
        landmarks=LANDMARKS,
        drawing_units=DRAWING_UNITS,
        more=PATCH_MORE,
        shapes=ShapeKind,
        bearings=BEARINGS,
        finishes=FINISH_WORDS,
        edges=MOST_EDGES,
    )


def _room(form: Typed) -> RepairRoom | None:
    """The room as far as it can be read."""
    try:
        room = room_asked(form)
        return room_read(room) if room else None
    except BadInput:
        return None


def _picture(form: Typed) -> Picture | None:
    """The room and the damage as they are told so far, for those without scripts."""
    room = _room(form)
    if room is None or not room.ring:
        return None
    try:
        damage = damages_asked(form, room)
    except BadInput:
        damage = ()
    return room_picture(Floor(room, damage, room.pile_deg or 0.0), reader_unit())


def _drawn(form: Typed) -> str:
    """The rooms of the file as the floor's script draws them: corners and lines in mm, by room."""
    drawn: dict[str, Any] = {}
    for name in room_names(form):
        room = _room(Typed(form | {"room": name}))
        if room is not None:
            drawn[name] = {
                "ring": room.ring,
                "doors": [room.line_of(door) for door in room.doorways],
                "lanes": room.lanes,
                "hidden": room.hidden,
            }
    return json.dumps(drawn)
