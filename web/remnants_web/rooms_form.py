"""Rooms, repairs and stairs as a form asks for them, turned into the keys of a rooms file and of a job file.

A room's walls are named as it lies on paper: lower, right, upper, left, and where a corner is cut out the two of the step.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from remnants.actions.estimate_job import asked_as_room
from remnants.errors import BadInput, BadMeasure, Fault
from remnants.exchange import read_job
from remnants.model import Job
from remnants.units import TypedLength, Unit, typed_length, typed_size
from remnants_web.carpets_form import CARPETS_FIELD, carpets_typed
from remnants_web.rolls_form import ROLLS_FIELD, rolls_typed
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
_ROLL_WIDTHS = ("roll_width", "roll_width_2", "roll_width_3")
_FIELDS: dict[tuple[str | int, ...], str] = {
    ("roll", "step"): "step",
    ("roll", "lot"): "roll_lot",
    ("roll", "length"): "roll_length",
    ("roll", "rolls"): ROLLS_FIELD,
    ("roll", "end_loss"): "end_loss",
    ("prices", 0, "currency"): "currency",
    ("prices", 0, "amount"): "amount",
    ("prices", 0, "per"): "per",
    ("carpets",): CARPETS_FIELD,
    ("trim", "wall"): "trim_wall",
    ("trim", "seam"): "trim_seam",
    ("stairs", 0, "width"): "stair_width",
    ("stairs", 0, "tread"): "stair_tread",
    ("stairs", 0, "riser"): "stair_riser",
    ("stairs", 0, "joins"): "stair_joins",
}
"""The field that stands for a place in a rooms file; others are called as they are, or belong to a room."""

_NONE = TypedLength("0", 0.0)
Corner = tuple[TypedLength, TypedLength]


@dataclass
class _Reader:
    """Lengths out of a form's fields, as typed; what can't be read is noted with its field."""

    form: Form
    faults: list[Fault] = field(default_factory=list)

    def text(self, name: str) -> str:
        return self.form.get(name, "").strip()

    def size(self, name: str) -> TypedLength:
        """A length above zero."""
        return self._read(typed_size, name)

    def length(self, name: str) -> TypedLength:
        """Any length; none where nothing is typed."""
        return self._read(typed_length, name) if self.text(name) else _NONE

    def _read(self, read: Callable[[str, Unit], TypedLength], name: str) -> TypedLength:
        try:
            if not self.text(name):
                raise BadMeasure("give a length")
            return read(self.text(name), entry_unit())
        except BadMeasure as error:
            self.faults.append(Fault(name, str(error)))
            return TypedLength("", 1000.0)


def rows_of(form: Form) -> list[int]:
    """The rows that something was typed in."""
    return [row for row in range(1, MOST_ROOMS + 1) if any(form.get(f"{name}_{row}", "").strip() for name in _ROOM_FIELDS)]


def repairs_asked(form: Form) -> Job | None:
    """The repairs typed, as a job; None without any. Raises BadInput at the form's fields and at places of a job file."""
    rows = _repair_rows(form)
    if not rows:
        return None
    reader = _Reader(form)
    patches = []
    for row in rows:
        outline, _ = _outline(reader, row)
        patches.append({"name": _name(reader, row), "outline": outline, "edges": "seam", "pile": _pile(reader, row)})
    _close(reader)
    return read_job({"unit": "mm", "job": reader.text("order") or "order", **_carpet(reader), "patches": patches})


def rooms_asked(form: Form, repairs: tuple[Job, ...]) -> dict[str, Any]:
    """What is in a rooms file: what was typed, and each repair as a room. Raises BadInput at the form's fields."""
    reader = _Reader(form)
    rooms = [_room(reader, row) for row in _room_rows(form)]
    rooms += [asked_as_room(patch, job) for job in repairs for patch in job.patches]
    file: dict[str, Any] = {"unit": entry_unit().value, "order": reader.text("order"), **_carpet(reader), "rooms": rooms}
    file |= {"roll": _roll(reader), "trim": _given(reader, {"wall": "trim_wall", "seam": "trim_seam"})}
    if reader.text("steps"):
        file["stairs"] = [_stairs(reader)]
    price = {"per": "m2"} | _given(reader, {"currency": "currency", "per": "per"})
    if reader.text("amount"):
        file["prices"] = [price | {"amount": reader.text("amount")}]
    carpets = carpets_typed(reader.text(CARPETS_FIELD), price, reader.faults)
    if carpets or any("carpet" in room for room in rooms):
        file["carpets"] = carpets
    if reader.text("cross_seams"):
        file["cross_seams"] = 1
    _close(reader)
    return file


def told_at(error: BadInput, form: Form) -> BadInput:
    """The faults of what `repairs_asked` and `rooms_asked` made, at the fields of the form that it was made from."""
    return BadInput(dict.fromkeys(Fault(_field(fault.path, form) or fault.where, fault.what) for fault in error.faults))


def _field(path: tuple[str | int, ...], form: Form) -> str:
    """`rooms[1].doorways[0].to` is the field `door_to_3` where the second room filled in stands in row 3; "" for no other."""
    match path:
        case ("rooms", int(index), *steps):
            rows = [*_room_rows(form), *_repair_rows(form)]
            return _room_field(rows[index], steps, form) if index < len(rows) else "held"
        case ("rooms",):
            return next((f"pile_{row}" for row in _room_rows(form) if form.get(f"pile_{row}", "").strip()), "")
        case ("patches", int(index), *steps):
            return _room_field(_repair_rows(form)[index], steps, form)
        case ("roll", "width" | "widths", *steps):
            typed = [name for name in _ROLL_WIDTHS if form.get(name, "").strip()] or ["roll_width"]
            return typed[steps[0] if steps and isinstance(steps[0], int) else 0]
        case ("stairs", 0, *_):
            return _FIELDS.get(path, "steps")
        case _:
            return _FIELDS.get(path, _FIELDS.get(path[:2], _FIELDS.get(path[:1], "")))


def _room_field(row: int, steps: list[str | int], form: Form) -> str:
    match steps:
        case ("doorways", int(index), *rest):
            filled = [name for name in _DOORS if form.get(f"{name}_{row}", "").strip()]
            return f"{filled[index]}_{rest[0] if rest and rest[0] in ('to', 'width') else 'from'}_{row}"
        case ("name" | "pile" | "carpet" as name, *_):
            return f"{name}_{row}"
        case ("outline", int(), 1, *_) | ("length", *_):
            return f"length_{row}"
        case _:
            return f"width_{row}"


def _room_rows(form: Form) -> list[int]:
    return [row for row in rows_of(form) if form.get(f"use_{row}") != "repair"]


def _repair_rows(form: Form) -> list[int]:
    return [row for row in rows_of(form) if form.get(f"use_{row}") == "repair"]


def _room(reader: _Reader, row: int) -> dict[str, Any]:
    outline, walls = _outline(reader, row)
    room: dict[str, Any] = {"name": _name(reader, row), "outline": outline}
    doors = [_doorway(reader, name, row, outline, walls) for name in _DOORS if reader.text(f"{name}_{row}")]
    if doors:
        room["doorways"] = doors
    if reader.text(f"use_{row}") == "closet":
        room["hidden"] = True
    if reader.text(f"carpet_{row}"):
        room["carpet"] = reader.text(f"carpet_{row}")
    if reader.text(f"pile_{row}"):
        room["pile"] = _pile(reader, row)
    return room


def _outline(reader: _Reader, row: int) -> tuple[list[Corner], tuple[str, ...]]:
    """Corners from the lower left against the clock, and the names of the walls that start there."""
    width, length = reader.size(f"width_{row}"), reader.size(f"length_{row}")
    corner = reader.text(f"corner_{row}")
    if corner not in _WALLS_OF:
        reader.faults.append(Fault(f"corner_{row}", f"{corner[:20]!r} is no corner"))
        corner = ""
    if not corner:
        return [(_NONE, _NONE), (width, _NONE), (width, length), (_NONE, length)], _WALLS_OF[""]
    out, up = reader.size(f"out_width_{row}"), reader.size(f"out_length_{row}")
    for name, cut, whole in ((f"out_width_{row}", out, width), (f"out_length_{row}", up, length)):
        if not reader.faults and not cut.mm < whole.mm:
            reader.faults.append(Fault(name, f"{cut!r} of {whole!r} is cut out: the corner must be smaller than the whole"))
    right, top = _mm(width.mm - out.mm), _mm(length.mm - up.mm)
    made = {
        "ur": [(_NONE, _NONE), (width, _NONE), (width, top), (right, top), (right, length), (_NONE, length)],
        "ul": [(_NONE, _NONE), (width, _NONE), (width, length), (out, length), (out, top), (_NONE, top)],
        "lr": [(_NONE, _NONE), (right, _NONE), (right, up), (width, up), (width, length), (_NONE, length)],
        "ll": [(out, _NONE), (width, _NONE), (width, length), (_NONE, length), (_NONE, up), (out, up)],
    }
    return made[corner], _WALLS_OF[corner]


def _doorway(reader: _Reader, name: str, row: int, outline: list[Corner], walls: tuple[str, ...]) -> dict[str, Any]:
    """A doorway measured from the left or lower end of its wall."""
    wall = reader.text(f"{name}_{row}")
    start, width = reader.length(f"{name}_from_{row}"), reader.size(f"{name}_width_{row}")
    if wall not in walls:
        reader.faults.append(Fault(f"{name}_{row}", "this room has no such wall; a step is there where a corner is cut out"))
        return {}
    edge = walls.index(wall)
    (x1, y1), (x2, y2) = ((x.mm, y.mm) for x, y in (outline[edge], outline[(edge + 1) % len(outline)]))
    if x2 + y2 < x1 + y1:  # the corners run back along this wall
        start = _mm(abs(x2 - x1) + abs(y2 - y1) - start.mm - width.mm)
    door: dict[str, Any] = {"edge": edge, "from": start, "width": width, "to": reader.text(f"{name}_to_{row}")}
    return door | ({"shut": True} if reader.text(f"{name}_shut_{row}") else {})


def _stairs(reader: _Reader) -> dict[str, Any]:
    sizes = {key: reader.size(f"stair_{key}") for key in ("width", "tread", "riser")}
    steps = reader.text("steps")
    if not (steps.isascii() and steps.isdigit() and len(steps) < 4):
        reader.faults.append(Fault("steps", f"{steps[:20]!r} is no number of steps"))
        steps = "1"
    return {"name": "Stairs", "steps": int(steps), **sizes, "joins": reader.text("stair_joins")}


def _roll(reader: _Reader) -> dict[str, Any]:
    """One width is the roll's; of several the cheapest is looked for."""
    widths = [text for name in _ROLL_WIDTHS if (text := reader.text(name))]
    roll: dict[str, Any] = {"widths": widths} if len(widths) > 1 else {"width": widths[0]} if widths else {}
    roll |= _given(reader, {"step": "step", "lot": "roll_lot", "length": "roll_length", "end_loss": "end_loss"})
    rolls = rolls_typed(reader.form.get(ROLLS_FIELD, ""), reader.faults)
    return roll | ({"rolls": rolls} if rolls else {})


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


def _mm(length_mm: float) -> TypedLength:
    """A length that nobody typed, worked out from others."""
    return TypedLength("", length_mm)


def _close(reader: _Reader) -> None:
    if reader.faults:
        raise BadInput(reader.faults)
