"""Phones calibrated on a page: eight photographs of the marker page, one after the other or many at once, then one calibration.

Until it is kept, what the photographs told stands in the form alone: corners and lens, no picture.
"""

import json

from flask import Blueprint, jsonify, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from remnants.actions.phone_calibrations import (
    MOST_PHOTOS,
    PHOTOS_ASKED,
    PhonePhoto,
    drop_calibration,
    keep_calibration,
    phones_calibrated,
    photo_told,
    refuse_other_phones,
)
from remnants.errors import BadInput, Fault
from remnants.limits import FORM_BYTES
from remnants.model import Role
from remnants.report.phone_text import ONE_MODEL, bars_text
from remnants.units import is_imperial
from remnants_web.access import needs, signature
from remnants_web.ask import read_apart
from remnants_web.choices import digits
from remnants_web.photo_questions import PhoneSeen, PhoneSolved
from remnants_web.problems import STATUS, wants_json
from remnants_web.sent_texts import sent_key, within
from remnants_web.shop import catalogue
from remnants_web.words import reader_unit

__all__ = ["area"]

area = Blueprint("phones", __name__, url_prefix="/measure/phone")


@area.get("")
@needs(Role.LOOK)
def ask() -> str:
    """The phones that were calibrated, and the form for one more."""
    return _page((), "", ())


@area.post("")
@needs(Role.WORK)
def add() -> AnyResponse:
    """Takes photographs that were sent to those told before, or leaves one out, and says what is still wanted."""
    photos = _told_before()
    drop = digits(request.form.get("drop", "")[:3])
    if drop is not None and drop < len(photos):
        photos = (*photos[:drop], *photos[drop + 1 :])
    wanted = request.form.get("wanted", "")[:200]
    faults: list[Fault] = []
    sent = [file for file in request.files.getlist("photo") if file.filename]
    for file in sent:
        try:
            if len(photos) >= MOST_PHOTOS:
                raise BadInput(f"{MOST_PHOTOS} photographs are taken at most: calibrate it with those")
            one, wanted = read_apart(PhoneSeen(file.read(), photos))
            refuse_other_phones((*photos, one))
        except BadInput as error:
            name = (file.filename or "")[:60]
            faults += [Fault("photo", f"{name}: {fault.what}") for fault in error.faults]
        else:
            photos = (*photos, one)
    if not sent and drop is None:
        faults.append(Fault("photo", "take or choose a photograph first"))
    if wants_json():
        return jsonify({"seen": _as_text(photos), "good": len(photos), "told": _progress(photos, wanted)})
    return make_response(_page(photos, wanted, tuple(faults)), STATUS[BadInput] if faults else 200)


@area.post("/keep")
@needs(Role.WORK)
def keep() -> AnyResponse:
    """Keeps what the photographs tell together, in place of what was kept of that phone and lens."""
    photos = _told_before()
    try:
        found = read_apart(PhoneSolved(photos))
        number = keep_calibration(catalogue(), found, signed=signature(), key=sent_key())
    except BadInput as error:
        if wants_json():
            raise
        faults = tuple(Fault("photo", _named(fault)) for fault in error.faults)
        return make_response(_page(photos, "", faults), STATUS[BadInput])
    return redirect(url_for("phones.ask", kept=number), 303)


@area.post("/<int:number>/remove")
@needs(Role.WORK)
def remove(number: int) -> AnyResponse:
    """Takes a calibration away."""
    made = request.form.get("made", "")
    drop_calibration(catalogue(), number, made=made, signed=signature(), key=sent_key())
    return redirect(url_for("phones.ask"), 303)


def _told_before() -> tuple[PhonePhoto, ...]:
    """The photographs that the form brings along. Raises BadInput."""
    text = within(request.form.get("seen", ""), "seen", FORM_BYTES)
    try:
        told = json.loads(text) if text else []
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, list) or len(told) > MOST_PHOTOS or not all(isinstance(each, dict) for each in told):
        raise BadInput("what was kept of the photographs can't be read: begin anew")
    return tuple(photo_told(each) for each in told)


def _as_text(photos: tuple[PhonePhoto, ...]) -> str:
    return json.dumps([each.told() for each in photos], separators=(",", ":")) if photos else ""


def _named(fault: Fault) -> str:
    """What stands against a calibration, its photograph by the number that it has on the page."""
    at = digits(fault.where.removeprefix("photos[").removesuffix("]"))
    return fault.what if at is None else f"photograph {at + 1} {fault.what}"


def _progress(photos: tuple[PhonePhoto, ...], wanted: str) -> str:
    """How far it is: `5 of 8 good; tilt the phone more`."""
    told = f"{len(photos)} of {PHOTOS_ASKED} good"
    return f"{told}; {wanted}" if wanted else told


def _page(photos: tuple[PhonePhoto, ...], wanted: str, faults: tuple[Fault, ...]) -> str:
    kept = phones_calibrated(catalogue())
    fresh = digits(request.args.get("kept", "")[:9])
    return render_template(
        "phones.html",
        photos=photos,
        seen=_as_text(photos),
        wanted=wanted,
        progress=_progress(photos, wanted),
        enough=len(photos) >= PHOTOS_ASKED,
        faults=faults,
        kept=tuple((each, bars_text(each.found, reader_unit())) for each in kept),
        fresh=next((each for each in kept if each.number == fresh), None),
        openly=ONE_MODEL,
        imperial=is_imperial(reader_unit()),
    )
