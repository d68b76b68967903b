"""A file of rooms that is sent along: a rooms file (JSON), or a drawing (DXF) with what a drawing doesn't tell."""

import json
from contextlib import closing
from typing import Any

from werkzeug.datastructures import FileStorage

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.exchange.sent_drawing import is_drawing
from remnants.limits import SENT_DRAWING_BYTES
from remnants.units import Unit, typed_size
from remnants_web.ask import read_apart
from remnants_web.choices import chosen
from remnants_web.questions import DrawingSent
from remnants_web.shapes import Form, entry_unit

__all__ = ["DRAWING_UNITS", "sent_rooms"]

DRAWING_UNITS = (
    ("", "as stated"),
    *((unit.value, unit.value) for unit in (Unit.MM, Unit.CM, Unit.M, Unit.IN, Unit.FT)),
)


def sent_rooms(form: Form, sent: FileStorage | None) -> dict[str, str]:
    """The field `rooms_file` out of a file that was sent, a drawing made into a rooms file; nothing where none was.

    Nothing is written to a disk here. Raises BadInput at the fields, for a drawing with the room or layer that is at fault.
    """
    if sent is None or not sent.filename:
        return {}
    with closing(sent):
        data = sent.read(SENT_DRAWING_BYTES + 1)
    if is_drawing(data, sent.filename):
        return {"rooms_file": _of_drawing(data, sent.filename, form)}
    if len(data) > SENT_DRAWING_BYTES:
        raise BadInput([Fault("file", f"over {SENT_DRAWING_BYTES // 2**20} MB, which no rooms file is")])
    try:
        return {"rooms_file": data.decode("utf-8-sig")}
    except UnicodeDecodeError:
        raise BadInput([Fault("file", "neither a rooms file (JSON, UTF-8 text) nor a drawing (DXF text)")]) from None


def _of_drawing(data: bytes, name: str, form: Form) -> str:
    unit = chosen(Unit, form["drawing_unit"], "drawing_unit") if form.get("drawing_unit") else None
    more: dict[str, Any] = {key: text for key in ("style", "colour", "lot") if (text := form.get(f"drawing_{key}", "").strip())}
    width = form.get("drawing_width", "").strip()
    try:
        more["roll"] = {"width": str(typed_size(width, entry_unit()))} if width else {}
    except BadMeasure as error:
        raise BadInput([Fault("drawing_width", str(error))]) from None
    try:
        rooms: dict[str, Any] = read_apart(DrawingSent(data, name, unit, entry_unit()))
    except BadInput as error:
        told = "; ".join(f"{fault.where}: {fault.what}" if fault.where else fault.what for fault in error.faults[:5])
        raise BadInput([Fault("file", told)]) from None
    return json.dumps(rooms | more)
