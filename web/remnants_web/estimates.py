"""Estimates worked out for pages and downloads: bounded in time, two at once at most, and kept for a while.

What was shown is what is downloaded: an estimate is kept under what was asked, the day and the state of the stock.
"""

import threading
import time
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from flask import Flask, current_app

from remnants.actions.estimate_job import Estimate, asked_as_room, estimate_job, held_repairs, stock_mark
from remnants.actions.order_rooms import Limits, by_shop_rules
from remnants.errors import BadInput, Fault, GaveUp
from remnants.exchange.rooms import RoomsAsked
from remnants.exchange.source import read_json
from remnants.limits import ROOMS_FILE_BYTES
from remnants.model import Job
from remnants_web.gate import rooms_sent
from remnants_web.kept import Kept
from remnants_web.rooms_form import repairs_asked, rooms_asked, told_at
from remnants_web.shapes import Form
from remnants_web.shop import catalogue, settings

__all__ = ["SECONDS", "Worked", "keep_estimates", "worked_out"]

SECONDS = 8
"""Longest search for one estimate; the page says so."""

TRIES = 400
"""Enough for a house; it ends most searches first, so that the same answer comes each time."""

AT_ONCE = 2
KEPT = 24


@dataclass(frozen=True)
class Worked:
    """An estimate, and what it answers."""

    asked: RoomsAsked
    estimate: Estimate


@dataclass
class _Desk:
    """Places to search at, and what was found lately."""

    places: threading.BoundedSemaphore = field(default_factory=lambda: threading.BoundedSemaphore(AT_ONCE))
    found: Kept[Worked] = field(default_factory=lambda: Kept(KEPT))


def keep_estimates(app: Flask) -> None:
    """Gives the app its desk."""
    app.extensions["estimates"] = _Desk()


def worked_out(form: Form) -> Worked:
    """The estimate that the form asks for, worked out now or lately.

    Raises BadInput at the form's fields, NotFound, NoPlan, StockChanged, and GaveUp when others are searching.
    """
    held_name = form.get("held", "").strip()
    held = held_repairs(catalogue(), held_name) if held_name else None
    text = form.get("rooms_file", "")
    repairs = None if text.strip() else repairs_asked(form)
    jobs = tuple(job for job in (repairs, held.job if held else None) if job)
    if text.strip():
        rooms, asked = text, rooms_sent(_file_with(text, jobs))
    else:
        rooms = rooms_asked(form, jobs)
        try:
            asked = rooms_sent(rooms)
        except BadInput as error:
            raise told_at(error, form) from None
    day = settings().now().date()
    asked = by_shop_rules(catalogue(), asked, today=day)
    key = (rooms, repr(repairs), held_name, stock_mark(catalogue()), day, asked.rules.keep)
    return _desk().found.find(key) or _search(key, asked, repairs=repairs, held=held, today=day)


def _search(key: tuple[Any, ...], asked: RoomsAsked, *, repairs: Job | None, held: Any, today: date) -> Worked:
    desk = _desk()
    if not desk.places.acquire(timeout=SECONDS):
        raise GaveUp("other orders are being worked out just now; ask again in a few seconds")
    try:
        limits = Limits(seconds=SECONDS, tries=TRIES, clock=time.monotonic)
        worked = Worked(asked, estimate_job(catalogue(), asked, repairs=repairs, held=held, today=today, limits=limits))
    finally:
        desk.places.release()
    return desk.found.keep(key, worked)


def _desk() -> _Desk:
    found: _Desk = current_app.extensions["estimates"]
    return found


def _file_with(text: str, jobs: tuple[Job, ...]) -> dict[str, Any]:
    """A rooms file that was sent, with the held repairs as rooms. It may not name files of the server."""
    if len(text) > ROOMS_FILE_BYTES:
        raise BadInput([Fault("rooms_file", f"over {ROOMS_FILE_BYTES // 1024} KB; a house fits in a few")])
    raw = read_json(text)
    if not isinstance(raw, dict):
        raise BadInput([Fault("rooms_file", "a rooms file is a JSON object {...}")])
    if raw.get("drawing"):
        raise BadInput([Fault("rooms_file", "a drawing can't be sent along; use `remnants order` for it, or type the rooms")])
    extra = [asked_as_room(patch, job) for job in jobs for patch in job.patches]
    rooms = raw.get("rooms")
    return raw | {"rooms": [*rooms, *extra]} if extra and isinstance(rooms, list) else raw
