"""Photographs of pieces: taken with the phone's camera, shown, taken away."""

from typing import Any

from flask import Blueprint, Response, redirect, request, url_for
from werkzeug.exceptions import Forbidden
from werkzeug.wrappers import Response as AnyResponse

from remnants.actions.photos import add_photo, jpeg_of, newest_shown, photo_of, photos_shown, small_jpeg_of, take_photo_away
from remnants.errors import BadInput, Fault
from remnants.model import Role
from remnants.model.picture import Picture
from remnants_web.access import asking, needs, signature
from remnants_web.ask import read_apart
from remnants_web.questions import PictureSent
from remnants_web.sent_texts import sent_key
from remnants_web.shop import catalogue

__all__ = ["area", "photo_of_piece", "picture_in", "sent_photo"]

area = Blueprint("photos", __name__)


@area.post("/pieces/<path:tag>/photos")
@needs(Role.WORK)
def add(tag: str) -> AnyResponse:
    """Keeps the photograph that was sent."""
    photo = sent_photo()
    if not photo:
        raise BadInput([Fault("photo", "choose a photograph first")])
    add_photo(catalogue(), tag, photo, signed=signature(), key=sent_key(), read=picture_in)
    return redirect(url_for("pieces.show", tag=tag), 303)


@area.get("/photos/<int:number>.jpg")
@needs(Role.LOOK)
def show(number: int) -> Response:
    """The photograph. One taken at a customer's is for those who work with it."""
    _refuse_kept_back(number)
    return Response(jpeg_of(catalogue(), number), mimetype="image/jpeg")


@area.get("/photos/<int:number>-small.jpg")
@needs(Role.LOOK)
def small(number: int) -> Response:
    """The same made small, to stand beside the piece's tag; for whom the photograph is."""
    _refuse_kept_back(number)
    return Response(small_jpeg_of(catalogue(), number), mimetype="image/jpeg")


@area.post("/photos/<int:number>/take-away")
@needs(Role.WORK)
def take_away(number: int) -> AnyResponse:
    """Erases the photograph."""
    return redirect(url_for("pieces.show", tag=take_photo_away(catalogue(), number, signed=signature())), 303)


def photo_of_piece(tag: str) -> int | None:
    """The number of a piece's newest photograph that whoever asks may see; None where there is none."""
    return newest_shown(catalogue(), tag, asking().role)


@area.app_context_processor
def _context() -> dict[str, Any]:
    """What each template may use: wherever a piece is named, its photograph stands beside its tag."""
    return {"photo_of": photo_of_piece}


def _refuse_kept_back(number: int) -> None:
    kept = photo_of(catalogue(), number)
    if kept not in photos_shown(catalogue(), kept.tag, asking().role):
        raise Forbidden("this was taken at a customer's, and is for people who work with it")


def picture_in(photo: bytes) -> Picture:
    """The picture in a photograph that was sent, read apart. Raises BadFile."""
    picture: Picture = read_apart(PictureSent(photo))
    return picture


def sent_photo() -> bytes:
    """The photograph in the form that was sent; empty when none was chosen."""
    file = request.files.get("photo")
    return file.read() if file else b""
