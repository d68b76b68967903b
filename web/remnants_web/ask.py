"""The pages' way to the desk: a question is handed in, and its answer comes at once, or a page that tells how far it is.

Only so many threads wait at once, so that there are always some for everything else.
"""

import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from flask import Blueprint, Flask, current_app, g, jsonify, redirect, render_template, request
from werkzeug.wrappers import Response

from remnants.desk import Desk, Place, parcel_of, value_of
from remnants.errors import Crowded, GaveUp
from remnants.limits import FIT_SECONDS, QUESTIONS_EACH, WORK_SECONDS
from remnants.model import Role
from remnants.question import Question
from remnants_web.access import asking, local_path, needs
from remnants_web.photo_questions import (
    PhoneSeen,
    PhoneSolved,
    PhotoMeasured,
    RepairDrawn,
    RowsTapped,
    SeamsWanted,
    ShadesCompared,
    StainTapped,
)
from remnants_web.problems import wants_json
from remnants_web.questions import DrawingSent, OfStock, PictureSent, key_of
from remnants_web.sheet_sent import SheetSent
from remnants_web.shop import catalogue

__all__ = ["Waits", "answer_to", "area", "keep_desks", "read_apart"]

PAGE_SECONDS = 1.5
"""How long a page is held back for its answer, before it tells that one waits: most answers are there by then."""

LOOK_SECONDS = 0.5
"""How often it is looked whether whoever asks is still there."""

AGAIN_SECONDS = 2
"""How often a waiting page looks again."""

LONGEST_SECONDS = 2 * WORK_SECONDS
"""How long a program waits at most."""

THREADS = 16
"""Threads that wait at once for answers; the server has as many more."""

area = Blueprint("ask", __name__, url_prefix="/asked")


class Waits(Exception):
    """Whoever asks is shown a page that waits: the answer isn't there yet."""

    def __init__(self, key: str, place: Place) -> None:
        super().__init__(key)
        self.key = key
        self.place = place


@dataclass
class _Waiting:
    """Threads that wait, by person."""

    count: Counter[str] = field(default_factory=Counter)
    lock: threading.Lock = field(default_factory=threading.Lock)

    @contextmanager
    def one(self, who: str) -> Iterator[bool]:
        """Whether this thread may wait too."""
        with self.lock:
            may = self.count.total() < THREADS and self.count[who] < QUESTIONS_EACH
            self.count[who] += may
        try:
            yield may
        finally:
            with self.lock:
                self.count[who] -= may


def keep_desks(app: Flask, work: Desk, reading: Desk) -> None:
    """Gives the app its desks: where questions are worked out, and where what was sent is read."""
    app.extensions["desk"], app.extensions["reading"] = work, reading
    app.extensions["waiting"] = _Waiting()
    app.register_error_handler(Waits, _waiting_page)


def answer_to(question: OfStock, *, page: bool = False) -> Any:
    """The answer to a question, known or worked out now. Raises what the work raises, and Crowded.

    For a `page` that can be shown later it isn't waited long: Waits then. Otherwise until it is there; raises GaveUp when it
    takes too long, or whoever asked is gone.
    """
    desk: Desk = current_app.extensions["desk"]
    return _brought(desk, key_of(catalogue(), question), question, large=question.large, page=page)


_OfPhones = PhoneSeen | PhoneSolved
_OfPhotos = PictureSent | PhotoMeasured | StainTapped | RowsTapped | RepairDrawn | SeamsWanted | ShadesCompared
_Apart = _OfPhones | _OfPhotos | DrawingSent | SheetSent
"""What is read or worked out apart from the pages."""


def read_apart(question: _Apart) -> Any:
    """What is read out of a file that was sent, by a process that may take little memory and time. Raises as `answer_to`."""
    desk: Desk = current_app.extensions["reading"]
    return _brought(desk, question.key, question, large=False, page=False)


def _brought(desk: Desk, key: str, question: Question, *, large: bool, page: bool) -> Any:
    waiting: _Waiting = current_app.extensions["waiting"]
    who, parcel = asking().name, parcel_of(question)
    with waiting.one(who) as may_wait:
        if not (may_wait or page):
            raise Crowded("many questions wait already, yours or others': ask again in a few seconds")
        ends = time.monotonic() + (0.0 if not may_wait else PAGE_SECONDS if page else LONGEST_SECONDS)
        while True:
            left = max(0.0, ends - time.monotonic())
            reply = desk.ask(key, who, parcel, large=large, wait_s=min(left, LOOK_SECONDS))
            if reply.outcome:
                return value_of(reply.outcome)
            if _is_gone():
                desk.leave(key, who)
                raise GaveUp("whoever asked is gone")
            if time.monotonic() >= ends:
                break
    if page:
        raise Waits(key, reply.place)
    desk.leave(key, who)
    raise GaveUp("it was not worked out in time; ask for less at once, or later")


@area.post("/stop")
@needs(Role.LOOK)
def stop() -> Response:
    """Waits no longer for an answer, and goes back to the question."""
    desk: Desk = current_app.extensions["desk"]
    desk.leave(request.form.get("asked", "")[:64], asking().name)
    return redirect(local_path(request.form.get("back")), 303)


def _is_gone() -> bool:
    """Whether the other end of the connection has closed it, where the server tells."""
    told = request.environ.get("waitress.client_disconnected")
    return bool(told and told())


def _waiting_page(waits: Waits) -> Response:
    """What is shown meanwhile: it looks again by itself, by a script or without."""
    told = _told(waits.place)
    headers = {"Retry-After": str(AGAIN_SECONDS)}
    if wants_json():
        response: Response = jsonify({"told": told, "worked_s": _worked(waits.place)})
        response.status_code = 202
        response.headers.update(headers)
        return response
    posted = list(g.get("sent", request.form).items(multi=True)) if request.method == "POST" else None
    query = request.query_string.decode("ascii", "replace")
    asked = request.path.removesuffix("/answer")
    back = f"/order?{query}&more=1" if asked.startswith("/order") else f"{asked}?{query}"
    shown = render_template(
        "waiting.html",
        told=told,
        question=_question(),
        worked_s=_worked(waits.place),
        most=FIT_SECONDS,
        asked=waits.key,
        back=back,
        again=AGAIN_SECONDS,
        posted=posted,
        address=request.full_path,
    )
    return Response(shown, 202, headers, mimetype="text/html")


def _question() -> str:
    """What was asked for, in the words of whoever asked."""
    told = (request.values.get(name, "").strip()[:100] for name in ("job", "order", "style", "colour"))
    return ", ".join(each for each in told if each)


def _worked(place: Place) -> int | None:
    """For how many seconds it is searched, of as many as it may be; None while it waits."""
    return None if place.worked_s is None else min(round(place.worked_s), FIT_SECONDS)


def _told(place: Place) -> str:
    if place.worked_s is not None:
        return f"It is being worked out, for {place.worked_s:.0f} s now. After {FIT_SECONDS} s you see the best found by then."
    if not place.before:
        return "It is the next to be worked out."
    others = "one question comes" if place.before == 1 else f"{place.before} questions come"
    return f"It waits to be worked out: {others} before it."
