"""Estimates for pages and downloads. What was shown is what is downloaded: the desk keeps it under what was asked."""

from typing import Any

from remnants.actions.estimate_job import asked_as_room, held_repairs
from remnants.actions.order_rooms import by_shop_rules
from remnants.errors import BadInput, Fault
from remnants.exchange.source import read_json
from remnants.limits import ROOMS_FILE_BYTES
from remnants.model import Job
from remnants_web.ask import answer_to
from remnants_web.gate import rooms_sent
from remnants_web.questions import OrderAsked, Worked
from remnants_web.rooms_form import repairs_asked, rooms_asked, told_at
from remnants_web.shapes import Form
from remnants_web.shop import catalogue, settings

__all__ = ["worked_out"]


def worked_out(form: Form, *, page: bool = False) -> Worked:
    """The estimate that the form asks for, worked out now or lately.

    Raises BadInput at the form's fields, NotFound, NoPlan, StockChanged, and as `answer_to`, which a `page` is shown by.
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
    worked: Worked = answer_to(OrderAsked(settings().catalogue, rooms, asked, repairs, held_name, day), page=page)
    return worked


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
