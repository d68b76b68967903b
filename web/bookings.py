"""Holding, cutting and letting go: what an answer does to the stock. Each is signed, done once, refused when stock changed."""

from datetime import timedelta

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response as BaseResponse

from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.keep_job import cut_job, cut_plan, every_job, find_job, hold_job, release_job
from remnants.actions.make_sheet import SheetWish, fonts, kept_plan, make_sheet, own_texts
from remnants.errors import BadInput, Fault, StockChanged
from remnants.exchange import read_job
from remnants.model import Role
from remnants.report.cut_tags import tags_pdf
from remnants.report.sheet import customer_pdf, sheet_pdf
from web.access import needs, signature
from web.jobs import digest_of, pictures_of, read_form_job
from web.shop import catalogue, settings
from web.words import reader_unit

__all__ = ["area"]

area = Blueprint("bookings", __name__, url_prefix="/jobs")

HELD_FOR = timedelta(days=14)
_PRINTS = {"sheet": sheet_pdf, "customer": customer_pdf, "tags": tags_pdf}


@area.get("")
@needs(Role.LOOK)
def every() -> str:
    """All jobs, newest first."""
    return render_template("jobs.html", jobs=every_job(catalogue()))


@area.post("/hold")
@needs(Role.WORK)
def hold() -> BaseResponse:
    """Keeps the donors of an answer for its job."""
    fitted = _as_shown()
    until = settings().now().date() + HELD_FOR
    hold_job(catalogue(), fitted, until=until, signed=signature(), key=_key())
    return redirect(url_for("bookings.show", name=fitted.job.name), 303)


@area.post("/cut")
@needs(Role.WORK)
def cut_now() -> BaseResponse:
    """Books an answer as cut."""
    fitted = _as_shown()
    cut_plan(catalogue(), fitted, signed=signature(), key=_key())
    return redirect(url_for("bookings.show", name=fitted.job.name), 303)


@area.get("/<path:name>")
@needs(Role.LOOK)
def show(name: str) -> str:
    """One job: its plan, how far it is, and what can be done now."""
    kept = find_job(catalogue(), name)
    held = kept.stage.value == "held"
    pictures = pictures_of(kept_plan(catalogue(), kept.plan, kept.job), reader_unit()) if held else ()
    return render_template("job.html", kept=kept, pictures=pictures)


@area.post("/<path:name>/cut")
@needs(Role.WORK)
def cut_held(name: str) -> BaseResponse:
    """Books the held plan as cut."""
    cut_job(catalogue(), name, signed=signature(), key=_key())
    return redirect(url_for("bookings.show", name=name), 303)


@area.post("/<path:name>/release")
@needs(Role.WORK)
def release(name: str) -> BaseResponse:
    """Lets the donors go."""
    release_job(catalogue(), name, signed=signature(), key=_key())
    return redirect(url_for("bookings.show", name=name), 303)


@area.get("/<path:name>/<what>.pdf")
@needs(Role.LOOK)
def printed(name: str, what: str) -> Response:
    """The cut sheet, the customer's page, or the tags of a held job, to print."""
    if what not in _PRINTS:
        raise NotFound
    kept = find_job(catalogue(), name)
    link = url_for("bookings.show", name=kept.job.name, _external=True)
    sheet = make_sheet(kept_plan(catalogue(), kept.plan, kept.job), SheetWish(own_texts(), unit=reader_unit(), link=link))
    answer = Response(_PRINTS[what](sheet, fonts()), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{what}.pdf"'
    return answer


def _as_shown() -> Fitted:
    """The very plan that the page showed, made anew from today's stock. Raises StockChanged when it comes out otherwise."""
    text = request.form.get("job_file", "")
    named = read_form_job(text)
    if named.name == "job":
        raise BadInput([Fault("job", "give the job a name first, so that what is held for it can be found: change the question")])
    without = tuple(tag for tag in request.form.get("without", "").split("\n") if tag)
    fitted = fit_job(catalogue(), read_job(text), today=settings().now().date(), without=without)
    if digest_of(fitted) != request.form.get("digest"):
        raise StockChanged(
            "the stock changed since this answer was shown, so nothing was booked; ask again to see today's answer"
        )
    return fitted


def _key() -> str:
    return request.form.get("key", "").strip()[:100]
