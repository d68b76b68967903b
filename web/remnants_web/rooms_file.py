"""A file of rooms that is sent along: a rooms file (JSON), or a drawing (DXF) with what a drawing doesn't tell."""

import json
from collections.abc import Sequence
from contextlib import closing
from dataclasses import replace
from typing import Any

from werkzeug.datastructures import FileStorage

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.exchange.plans.known import MOST_LINES
from remnants.exchange.plans.pdf import scale_of
from remnants.exchange.plans.said import GAP_MM, MOST_GAP_MM, PlanSaid
from remnants.exchange.room_lines import is_lines, lines_file
from remnants.exchange.sent_drawing import Looked, is_drawing
from remnants.exchange.workbook import is_workbook
from remnants.limits import NOTES_TOLD, SENT_DRAWING_BYTES
from remnants.units import Unit, typed_size
from remnants_web.ask import read_apart
from remnants_web.choices import chosen, digits
from remnants_web.questions import DrawingSent
from remnants_web.shapes import Form, entry_unit, length_at

__all__ = ["DRAWING_LINES", "DRAWING_UNITS", "layers_sent", "sent_rooms"]

MOST_LAYERS = 100
"""Layers that a form names."""

DRAWING_UNITS = (
    ("", "as stated"),
    *((unit.value, unit.value) for unit in (Unit.MM, Unit.CM, Unit.M, Unit.IN, Unit.FT)),
)


DRAWING_LINES = (("", "none"), *((str(number), f"line {number}") for number in range(1, MOST_LINES + 1)))


def sent_rooms(form: Form, sent: FileStorage | None) -> dict[str, str]:
    """The field `rooms_file` out of a file that was sent, a drawing made into a rooms file; nothing where none was.

    What was left out of a drawing stands in `plan_notes`, a line each.

    Nothing is written to a disk here. Raises BadInput at the fields, for a drawing with the room or layer that is at fault.
    """
    if sent is None or not sent.filename:
        return {}
    with closing(sent):
        data = sent.read(SENT_DRAWING_BYTES + 1)
    if is_drawing(data, sent.filename):
        return _of_drawing(data, sent.filename, form)
    if len(data) <= SENT_DRAWING_BYTES and is_lines(sent.filename) and not data.lstrip().startswith(b"{"):
        return _of_lines(data, sent.filename, form)
    if len(data) > SENT_DRAWING_BYTES:
        raise BadInput([Fault("file", f"over {SENT_DRAWING_BYTES // 2**20} MB, which no rooms file is")])
    try:
        return {"rooms_file": data.decode("utf-8-sig")}
    except UnicodeDecodeError:
        raise BadInput([Fault("file", "neither a rooms file (JSON, UTF-8 text) nor a drawing (DXF text)")]) from None


def layers_sent(form: Form, sent: FileStorage | None) -> Looked:
    """What a drawing that was sent holds, to choose from: layers, and of a PDF lines. Raises BadInput at its fields."""
    if sent is None or not sent.filename:
        raise BadInput([Fault("file", "choose a drawing, and its layers are shown")])
    with closing(sent):
        data = sent.read(SENT_DRAWING_BYTES + 1)
    if not is_drawing(data, sent.filename):
        raise BadInput([Fault("file", "this is no drawing (DXF, PDF), and has no layers")])
    try:
        said = PlanSaid(page=_page(form))
        looked: Looked = read_apart(DrawingSent(data, sent.filename, said, entry_unit(), layers=True))
    except BadInput as error:
        raise BadInput([Fault("file", "; ".join(map(str, error.faults[:5])))]) from None
    return replace(looked, layers=looked.layers[:MOST_LAYERS])


def _of_lines(data: bytes, name: str, form: Form) -> dict[str, str]:
    """The rooms of a spreadsheet that was saved as text."""
    more = _told_beside(form)
    try:
        if is_workbook(data, "the file"):
            raise BadInput([Fault("", "a workbook can't be sent here: save the sheet as CSV and send that")])
        rooms, notes = lines_file(data, name, entry_unit(), carpet=form.get("drawing_style", "").strip())
    except BadInput as error:
        told = "; ".join(str(fault).removeprefix(f"{name}: ") for fault in error.faults[:5])
        raise BadInput([Fault("file", told)]) from None
    for carpet in rooms.get("carpets", ()):
        carpet["roll"] = carpet.get("roll") or more["roll"]
    if more["roll"] or "roll" not in rooms:
        return _made(rooms | more, notes)
    return _made(rooms | {key: value for key, value in more.items() if key != "roll"}, notes)


def _made(rooms: dict[str, Any], notes: Sequence[str]) -> dict[str, str]:
    return {"rooms_file": json.dumps(rooms)} | ({"plan_notes": "\n".join(notes[:NOTES_TOLD])} if notes else {})


def _told_beside(form: Form) -> dict[str, Any]:
    """What the form says beside a file that tells rooms alone, as keys of a rooms file. Raises BadInput at its field."""
    more: dict[str, Any] = {key: text for key in ("style", "colour", "lot") if (text := form.get(f"drawing_{key}", "").strip())}
    width = form.get("drawing_width", "").strip()
    try:
        more["roll"] = {"width": str(typed_size(width, entry_unit()))} if width else {}
    except BadMeasure as error:
        raise BadInput([Fault("drawing_width", str(error))]) from None
    return more


def _of_drawing(data: bytes, name: str, form: Form) -> dict[str, str]:
    more, said = _told_beside(form), _plan_said(form)
    try:
        rooms, notes = read_apart(DrawingSent(data, name, said, entry_unit()))
    except BadInput as error:
        told = "; ".join(f"{fault.where}: {fault.what}" if fault.where else fault.what for fault in error.faults[:5])
        raise BadInput([Fault("file", told)]) from None
    return _made(rooms | more, notes)


def _plan_said(form: Form) -> PlanSaid:
    """What the form says of a drawing. Raises BadInput at its fields."""
    unit = chosen(Unit, form["drawing_unit"], "drawing_unit") if form.get("drawing_unit") else None
    gap = form.get("drawing_gap", "").strip()
    gap_mm = length_at("drawing_gap", gap).mm if gap else GAP_MM
    if not 0 <= gap_mm <= MOST_GAP_MM:
        raise BadInput([Fault("drawing_gap", f"{gap!r} is no gap to be closed: give up to 2 m; wider ones are drawn")])
    layers, islands = (_names(form, name) for name in ("drawing_layers", "drawing_islands"))
    layers = tuple(dict.fromkeys((*layers, *_ticked(form))))
    return PlanSaid(
        unit=unit, layers=layers, islands=islands, gap_mm=gap_mm, scale=_scale(form), page=_page(form), **_known(form)
    )


def _scale(form: Form) -> float:
    """The scale of a PDF; 0 where none is said. Raises BadInput at its field."""
    text = form.get("drawing_scale", "").strip()
    try:
        return scale_of(text) if text else 0.0
    except BadInput as error:
        raise BadInput([Fault("drawing_scale", str(error))]) from None


def _page(form: Form) -> int:
    """The page of a PDF, from 1. Raises BadInput at its field."""
    text = form.get("drawing_page", "").strip() or "1"
    number = digits(text)
    if not number:
        raise BadInput([Fault("drawing_page", f"{text[:20]!r} is no number of a page")])
    return number


def _known(form: Form) -> dict[str, Any]:
    """The line of a PDF whose length is known, by its number. Raises BadInput at its fields."""
    line, known = form.get("drawing_line", "").strip(), form.get("drawing_known", "").strip()
    if not line and not known:
        return {}
    if form.get("drawing_scale", "").strip():
        raise BadInput([Fault("drawing_scale", "give the scale or a known length: one tells the other")])
    if not known:
        raise BadInput([Fault("drawing_known", f"say how long line {line[:4]} is, as built")])
    number = digits(line)
    if not number:
        raise BadInput([Fault("drawing_line", "say of which line: show the drawing's lines, and choose one")])
    try:
        return {"line": number, "known_mm": typed_size(known, entry_unit()).mm}
    except BadMeasure as error:
        raise BadInput([Fault("drawing_known", str(error))]) from None


def _names(form: Form, field: str) -> tuple[str, ...]:
    """The layers that a field names, commas between: no layer's name has one."""
    return tuple(name for text in form.get(field, "").split(",")[:MOST_LAYERS] if (name := text.strip()))


def _ticked(form: Form) -> tuple[str, ...]:
    """The layers that are ticked where they were shown."""
    return tuple(text for field, text in form.items() if field.startswith("layer_") and text.strip())
