"""After the repair: what is seen of it, told on the job's page with one tap a sight; and how well the shop foretells."""

from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from remnants.actions.keep_job import KeptJob, State, find_job
from remnants.actions.look_back import SightLooked, how_foretold, look_back, measure_back, sights_looked, take_look_back
from remnants.errors import BadInput, Fault
from remnants.limits import TEXT_CHARACTERS
from remnants.model import Role
from remnants.model.look import LookBy
from remnants.model.sight import SEEN_WORDS
from remnants.report.look_text import KNEW, look_words, seam_drawn, side_of, tally_title, tally_words
from remnants_web.access import needs, signature
from remnants_web.choices import digits
from remnants_web.sent_texts import sent_key, within
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("looked_back", __name__)


@area.post("/jobs/<path:name>/looked-back")
@needs(Role.WORK)
def tell(name: str) -> Response:
    """Keeps what somebody saw, or measured, of a sight; or takes it back."""
    kept, number = find_job(catalogue(), name), digits(request.form.get("sight", ""))
    if number is None:
        raise BadInput([Fault("sight", "say which of the things foretold it is")])
    _told(kept.number, number)
    return redirect(url_for("bookings.show", name=kept.number, _anchor=f"sight-{number}"), 303)


@area.get("/foretold")
@needs(Role.LOOK)
def foretold() -> str:
    """How well repairs come out as they were foretold. It names no job and nobody."""
    told = how_foretold(catalogue())
    lines = [(tally_title(each), tally_words(each)) for each in told.tallies]
    return render_template("foretold.html", told=told, lines=lines, knew=KNEW)


def _told(job: str, number: int) -> None:
    form, signed, key = request.form, signature(), sent_key()
    if form.get("take_back"):
        by = LookBy.PHOTOGRAPH if form["take_back"] == LookBy.PHOTOGRAPH else LookBy.EYE
        take_look_back(catalogue(), job, number, by=by, signed=signed, key=key)
    elif form.get("measured"):
        step = within(form.get("step", ""), "step", TEXT_CHARACTERS)
        measure_back(catalogue(), job, number, step, signed=signed, key=key)
    else:
        look_back(catalogue(), job, number, form.get("seen", ""), signed=signed, key=key)


def _looked(kept: KeptJob) -> tuple[SightLooked, ...]:
    """What a job that is cut foretold, with what was seen."""
    return sights_looked(catalogue(), kept.number) if kept.stage is State.CUT else ()


@area.app_context_processor
def _context() -> dict[str, Any]:
    """What the job's page is made with."""
    return {
        "sights_looked": _looked,
        "look_words": look_words,
        "side_of": side_of,
        "seam_drawn": seam_drawn,
        "seen_words": SEEN_WORDS,
    }
