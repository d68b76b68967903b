"""Photographs of a job, before the repair and after it: on the job's page, for people who work with customers."""

from typing import Any

from flask import Blueprint, Response, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from remnants.actions.job_photos import (
    add_job_photo,
    jpeg_of_job_photo,
    may_take_away,
    photos_of_job,
    smaller_jpeg_of_job_photo,
    take_job_photo_away,
)
from remnants.actions.keep_job import find_job
from remnants.errors import BadInput, Fault
from remnants.model import Role
from remnants.model.picture import JobPhoto
from remnants_web.access import asking, needs, signature
from remnants_web.photos import picture_in, sent_photo
from remnants_web.sent_texts import sent_key
from remnants_web.shop import catalogue

__all__ = ["area"]

area = Blueprint("job_photos", __name__)


@area.post("/jobs/<path:name>/photos")
@needs(Role.WORK)
def add(name: str) -> AnyResponse:
    """Keeps the photograph that was sent."""
    kept = find_job(catalogue(), name)
    photo = sent_photo()
    if not photo:
        raise BadInput([Fault("photo", "take or choose a photograph first")])
    moment, words = request.form.get("moment", ""), request.form.get("words", "")
    told = {"moment": moment, "words": words}
    add_job_photo(catalogue(), kept.number, photo, **told, signed=signature(), key=sent_key(), read=picture_in)
    return redirect(url_for("bookings.show", name=kept.number, _anchor="photographs"), 303)


@area.get("/job-photos/<int:number>.jpg")
@needs(Role.WORK)
def show(number: int) -> Response:
    """The photograph."""
    return Response(jpeg_of_job_photo(catalogue(), number), mimetype="image/jpeg")


@area.get("/job-photos/<int:number>-smaller.jpg")
@needs(Role.WORK)
def smaller(number: int) -> Response:
    """The same as the job's page shows it."""
    return Response(smaller_jpeg_of_job_photo(catalogue(), number), mimetype="image/jpeg")


@area.post("/job-photos/<int:number>/take-away")
@needs(Role.WORK)
def take_away(number: int) -> AnyResponse:
    """Erases the photograph."""
    job = take_job_photo_away(catalogue(), number, by=asking(), signed=signature())
    return redirect(url_for("bookings.show", name=job, _anchor="photographs"), 303)


@area.app_context_processor
def _context() -> dict[str, Any]:
    """What the job's page is made with."""

    def mine(photo: JobPhoto) -> bool:
        return may_take_away(asking(), photo)

    return {"job_photos": lambda number: photos_of_job(catalogue(), number, asking().role), "may_take_away": mine}
