"""Estimates for pages and downloads. What was shown is what is downloaded: the desk keeps it under what was asked."""

import json
from typing import Any

from remnants.actions.estimate_job import asked_as_room, held_repairs
from remnants.actions.fit_job import Fitted
from remnants.actions.order_house import house_by_shop_rules
from remnants.errors import BadInput, Fault, NotFound
from remnants.exchange.source import read_json
from remnants.limits import ROOMS_FILE_BYTES
from remnants.model import Job
from remnants_web.ask import answer_to
from remnants_web.gate import house_sent
from remnants_web.questions import OrderAsked, Worked
from remnants_web.rooms_form import repairs_asked, rooms_asked, told_at
from remnants_web.shapes import Form
from remnants_web.shop import catalogue, settings

__all__ = ["order_asked", "worked_out"]


def worked_out(form: Form, *, page: bool = False) -> Worked:
    """The estimate that the form asks for, worked out now or lately.

    Raises BadInput at the form's fields, NoPlan, StockChanged, and as `answer_to`, which a `page` is shown by.
    """
    typed = not form.get("rooms_file", "").strip()
    try:
        worked: Worked = answer_to(order_asked(form), page=page)
    except BadInput as error:
        raise (told_at(error, form) if typed else _in_file(error)) from None
    return worked


def order_asked(form: Form) -> OrderAsked:
    """The question that the form asks; what is asked otherwise has another text. Raises BadInput at fields and in the file."""
    typed = not form.get("rooms_file", "").strip()
    held_name = form.get("held", "").strip()
    held = _held(held_name) if held_name else None
    repairs = repairs_asked(form) if typed else None
    jobs = tuple(job for job in (repairs, held.job if held else None) if job)
    rooms = rooms_asked(form, jobs) if typed else _file_with(form["rooms_file"], jobs)
    day = settings().now().date()
    asked = house_by_shop_rules(catalogue(), house_sent(rooms), today=day)
    text = json.dumps(rooms, default=str) if typed else form["rooms_file"]
    return OrderAsked(settings().catalogue, text, asked, repairs, held_name, day)


def _held(name: str) -> Fitted:
    try:
        return held_repairs(catalogue(), name)
    except NotFound as error:
        raise BadInput([Fault("held", str(error))]) from None


def _in_file(error: BadInput) -> BadInput:
    """The faults of a file that was sent, each with its place there, at the field that holds its text."""
    fields = ("held", "rooms_file")
    return BadInput(fault if fault.where in fields else Fault("rooms_file", str(fault)) for fault in error.faults)


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
