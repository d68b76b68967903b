"""Rooms, repairs and stairs as a form asks for them, turned into the keys of a rooms file and of a job file.

A room's walls are named as it lies on paper: lower, right, upper, left, and where a corner is cut out the two of the step.
"""

import json
import re
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from remnants.actions.estimate_job import asked_as_room
from remnants.errors import BadInput, BadMeasure, Fault
from remnants.exchange import read_job
from remnants.model import Job
from remnants.units import parse_length
from remnants_web.shapes import Form, entry_unit

__all__ = ["CORNERS", "MOST_ROOMS", "PILES", "USES", "WALLS", "repairs_asked", "rooms_asked", "rows_of", "told_at"]

MOST_ROOMS = 16
USES = (("room", "room"), ("closet", "closet, seen by itself"), ("repair", "repair, seams all round"))
CORNERS = (("", "no corner"), ("ur", "upper right"), ("ul", "upper left"), ("lr", "lower right"), ("ll", "lower left"))
WALLS = (
    ("", "no doorway"),
    ("lower", "lower wall"),
    ("right", "right wall"),
    ("upper", "upper wall"),
    ("left", "left wall"),
    ("across", "step, running across"),
    ("up", "step, running up"),
)
PILES = (("", "as it falls best"), ("0", "↑ up"), ("90", "→ right"), ("180", "↓ down"), ("270", "← left"))

_WALLS_OF = {
    "": ("lower", "right", "upper", "left"),
    "ur": ("lower", "right", "across", "up", "upper", "left"),
    "ul": ("lower", "right", "upper", "up", "across", "left"),
    "lr": ("lower", "up", "across", "right", "upper", "left"),
    "ll": ("lower", "right", "upper", "left", "across", "up"),
}
"""The walls in order, from the lower one against the clock, by the corner that is cut out."""

_DOORS = ("door", "second")
_ROOM_FIELDS = ("width", "length")
_HEADER_FIELDS = {
    "roll.width": "roll_width",
    "roll.widths[0]": "roll_width",
    "roll.widths[1]": "roll_width_2",
    "roll.widths[2]": "roll_width_3",
    "roll.step": "step",
    "prices[0].currency": "currency",
    "prices[0].amount": "amount",
    "prices[0].credit": "credit",
    "trim.wall": "trim_wall",
    "trim.seam": "trim_seam",
}


@dataclass
class _Reader:
    """Lengths out of a form's fields, mm; what can't be read is noted with its field."""

    form: Form
    faults: list[Fault] = field(default_factory=list)

    def text(self, name: str) -> str:
        return self.form.get(name, "").strip()

    def size(self, name: str) -> float:
        """A length above zero, mm."""
        length_mm = self.mm(name)
        if length_mm <= 0:
            self.faults.append(Fault(name, f"{self.text(name)!r} is no size: give a length above zero"))
            return 1000.0
        return length_mm

    def mm(self, name: str, default_mm: float | None = None) -> float:
        text = self.text(name)
        if not text and default_mm is not None:
            return default_mm
        try:
            if not text:
                raise BadMeasure("give a length")
            return parse_length(text, entry_unit())
        except BadMeasure as error:
            self.faults.append(Fault(name, str(error)))
            return 1000.0


def rows_of(form: Form) -> list[int]:
    """The rows that something was typed in."""
    return [row for row in range(1, MOST_ROOMS + 1) if any(form.get(f"{name}_{row}", "").strip() for name in _ROOM_FIELDS)]


def repairs_asked(form: Form) -> Job | None:
    """The repairs typed, as a job; None without any. Raises BadInput at the form's fields."""
    rows = [row for row in rows_of(form) if form.get(f"use_{row}") == "repair"]
    if not rows:
        return None
    reader = _Reader(form)
    patches = []
    for row in rows:
        outline, _ = _outline(reader, row)
        patches.append({"name": _name(reader, row), "outline": _texts(outline), "edges": "seam", "pile": _pile(reader, row)})
    _close(reader)
    return read_job({"unit": "mm", "job": reader.text("order") or "order", **_carpet(reader), "patches": patches})


def rooms_asked(form: Form, repairs: tuple[Job, ...]) -> str:
    """The rooms file as text: what was typed, and each repair as a room. Raises BadInput at the form's fields."""
    reader = _Reader(form)
    rooms = [_room(reader, row) for row in rows_of(form) if form.get(f"use_{row}") != "repair"]
    rooms += [asked_as_room(patch, job) for job in repairs for patch in job.patches]
    file: dict[str, Any] = {"unit": entry_unit().value, "order": reader.text("order"), **_carpet(reader), "rooms": rooms}
    file |= {"roll": _roll(reader), "trim": _given(reader, {"wall": "trim_wall", "seam": "trim_seam"})}
    if reader.text("steps"):
        file["stairs"] = [_stairs(reader)]
    if reader.text("amount"):
        price = {"currency": reader.text("currency"), "amount": reader.text("amount"), "per": reader.text("per") or "m2"}
        file["prices"] = [price]
    if reader.text("cross_seams"):
        file["cross_seams"] = 1
    _close(reader)
    return json.dumps(file)


def told_at(error: BadInput, form: Form) -> BadInput:
    """The faults of a rooms file at the fields of the form that it was made from."""
    rows = [row for row in rows_of(form) if form.get(f"use_{row}") != "repair"]
    return BadInput(Fault(_field(fault.where, rows, form), fault.what) for fault in error.faults)


def _field(where: str, rows: list[int], form: Form) -> str:
    """`rooms[1].doorways[0].to` is the field `door_to_3` where the second room filled in stands in row 3."""
    found = re.match(r"rooms\[(\d+)\]\.?(.*)", where)
    if not found:
        return "steps" if where.startswith("stairs") else _HEADER_FIELDS.get(where, where)
    if int(found[1]) >= len(rows):
        return "held"
    row, rest = rows[int(found[1])], found[2]
    door = re.match(r"doorways\[(\d+)\]\.?(\w*)", rest)
    if door:
        filled = [name for name in _DOORS if form.get(f"{name}_{row}", "").strip()]
        return f"{filled[int(door[1])]}_{door[2] if door[2] in ('to', 'width') else 'from'}_{row}"
    return f"name_{row}" if rest == "name" else f"{'length' if 'length' in rest else 'width'}_{row}"


def _room(reader: _Reader, row: int) -> dict[str, Any]:
    outline, walls = _outline(reader, row)
    room: dict[str, Any] = {"name": _name(reader, row), "outline": _texts(outline)}
    doors = [_doorway(reader, name, row, outline, walls) for name in _DOORS if reader.text(f"{name}_{row}")]
    if doors:
        room["doorways"] = doors
    if reader.text(f"use_{row}") == "closet":
        room["hidden"] = True
    if reader.text(f"pile_{row}"):
        room["pile"] = _pile(reader, row)
    return room


def _outline(reader: _Reader, row: int) -> tuple[list[tuple[float, float]], tuple[str, ...]]:
    """Corners (mm) from the lower left against the clock, and the names of the walls that start there."""
    width, length = reader.size(f"width_{row}"), reader.size(f"length_{row}")
    corner = reader.text(f"corner_{row}")
    if not corner:
        return [(0.0, 0.0), (width, 0.0), (width, length), (0.0, length)], _WALLS_OF[""]
    out, up = reader.size(f"out_width_{row}"), reader.size(f"out_length_{row}")
    if corner not in _WALLS_OF:
        reader.faults.append(Fault(f"corner_{row}", f"{corner[:20]!r} is no corner"))
        corner = "ur"
    for name, cut, whole in ((f"out_width_{row}", out, width), (f"out_length_{row}", up, length)):
        if not reader.faults and not 0 < cut < whole:
            reader.faults.append(Fault(name, "the corner cut out must be smaller than the whole"))
    made = {
        "ur": [(0.0, 0.0), (width, 0.0), (width, length - up), (width - out, length - up), (width - out, length), (0.0, length)],
        "ul": [(0.0, 0.0), (width, 0.0), (width, length), (out, length), (out, length - up), (0.0, length - up)],
        "lr": [(0.0, 0.0), (width - out, 0.0), (width - out, up), (width, up), (width, length), (0.0, length)],
        "ll": [(out, 0.0), (width, 0.0), (width, length), (0.0, length), (0.0, up), (out, up)],
    }
    return made[corner], _WALLS_OF[corner]


def _doorway(reader: _Reader, name: str, row: int, outline: list[tuple[float, float]], walls: tuple[str, ...]) -> dict[str, Any]:
    """A doorway measured from the left or lower end of its wall."""
    wall = reader.text(f"{name}_{row}")
    start, width = reader.mm(f"{name}_from_{row}", 0.0), reader.mm(f"{name}_width_{row}")
    if wall not in walls:
        reader.faults.append(Fault(f"{name}_{row}", "this room has no such wall; a step is there where a corner is cut out"))
        return {}
    edge = walls.index(wall)
    (x1, y1), (x2, y2) = list(pairwise([*outline, outline[0]]))[edge]
    runs_back = x2 + y2 < x1 + y1
    if runs_back:
        start = abs(x2 - x1) + abs(y2 - y1) - start - width
    door: dict[str, Any] = {"edge": edge, "from": _mm(start), "width": _mm(width), "to": reader.text(f"{name}_to_{row}")}
    return door | ({"shut": True} if reader.text(f"{name}_shut_{row}") else {})


def _stairs(reader: _Reader) -> dict[str, Any]:
    sizes = {key: _mm(reader.size(f"stair_{key}")) for key in ("width", "tread", "riser")}
    steps = reader.text("steps")
    if not (steps.isascii() and steps.isdigit() and len(steps) < 4):
        reader.faults.append(Fault("steps", f"{steps[:20]!r} is no number of steps"))
        steps = "1"
    return {"name": "Stairs", "steps": int(steps), **sizes, "joins": reader.text("stair_joins")}


def _roll(reader: _Reader) -> dict[str, Any]:
    """One width is the roll's; of several the cheapest is looked for."""
    widths = [text for name in ("roll_width", "roll_width_2", "roll_width_3") if (text := reader.text(name))]
    roll: dict[str, Any] = {"widths": widths} if len(widths) > 1 else {"width": widths[0]} if widths else {}
    return roll | _given(reader, {"step": "step", "lot": "roll_lot"})


def _carpet(reader: _Reader) -> dict[str, str]:
    return _given(reader, {key: key for key in ("style", "colour", "lot")})


def _given(reader: _Reader, fields: dict[str, str]) -> dict[str, str]:
    return {key: text for key, name in fields.items() if (text := reader.text(name))}


def _name(reader: _Reader, row: int) -> str:
    return reader.text(f"name_{row}") or f"room {row}"


def _pile(reader: _Reader, row: int) -> float:
    text = reader.text(f"pile_{row}") or "0"
    if text not in dict(PILES):
        reader.faults.append(Fault(f"pile_{row}", f"{text[:20]!r} is not one of: up, right, down, left"))
        return 0.0
    return float(text)


def _texts(outline: list[tuple[float, float]]) -> list[list[str]]:
    return [[_mm(x), _mm(y)] for x, y in outline]


def _mm(length_mm: float) -> str:
    return f"{length_mm:.9f} mm"


def _close(reader: _Reader) -> None:
    if reader.faults:
        raise BadInput(reader.faults)
