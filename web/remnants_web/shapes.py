"""Shapes as forms ask for them: typed sizes, or corners that the pad wrote. Out come the keys of the file formats.

A figure alone is in the reader's unit, in inches for those who read feet; any length may carry a unit of its own.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, ParamSpec, TypeVar

from remnants.errors import BadInput, BadMeasure, Fault
from remnants.model import Finish
from remnants.model.patch_attributes import PATCH_MORE
from remnants.units import TypedLength, Unit, typed_length, typed_size
from remnants_web.choices import chosen
from remnants_web.words import reader_unit

__all__ = [
    "BEARINGS",
    "MOST_EDGES",
    "NOTCHES",
    "PILE_UNTOLD",
    "SIZES",
    "Form",
    "ShapeKind",
    "Typed",
    "at_fields",
    "bearing_of",
    "collected",
    "edges_of",
    "entry_unit",
    "length_at",
    "outline_of",
    "patch_more_of",
    "patch_of",
]

MOST_EDGES = 12
"""Edges that a form without scripts has a choice for; further ones take the last choice."""

SIZES = ("width", "length", "ell_width", "ell_length", "out_width", "out_length", "across", "corners")
"""Fields that tell a size, by shape; one typed means that an answer is wanted."""

BEARINGS = ((0, "↑ up"), (45, "↗"), (90, "→ right"), (135, "↘"), (180, "↓ down"), (225, "↙"), (270, "← left"), (315, "↖"))

NOTCHES = (("ur", "upper right"), ("ul", "upper left"), ("lr", "lower right"), ("ll", "lower left"))
"""Which corner of an L is cut out."""

PILE_UNTOLD = "say which way the pile lays: stroke the carpet, and see which way it lies flat"

P = ParamSpec("P")
T = TypeVar("T")
Form = Mapping[str, str]


class Typed(dict[str, str]):
    """What was typed, by field; nothing where a field was not sent."""

    def __missing__(self, field: str) -> str:
        return ""


_ROUND = "round"
_CORNER_LINE = re.compile(r"[;\n]+")
_FIELDS = {"outline": "corners", "tag": "new_tag", "centre": "across", "radius": "across", "edges": "edge_0", "motif": "motif_x"}


class YesNo(StrEnum):
    """The answers of a choice between the two."""

    YES = "yes"
    NO = "no"


class ShapeKind(StrEnum):
    """How a shape is told."""

    RECTANGLE = "rectangle"
    ELL = "ell"
    ROUND = _ROUND
    CORNERS = "corners"


@dataclass
class _Reader:
    """Reads lengths out of a form and notes what can't be read."""

    form: Form
    unit: Unit
    faults: list[Fault]

    def length(self, field: str) -> TypedLength:
        """The size in a field; a stand-in when it can't be read, or is none."""
        text = self.form.get(field, "").strip()
        try:
            if not text:
                raise BadMeasure(f"give a length, such as {_example(self.unit)}")
            return typed_size(text, self.unit)
        except BadMeasure as error:
            self.faults.append(Fault(field, str(error)))
            return TypedLength("", 1000.0)

    def length_mm(self, field: str) -> float:
        """The size in a field, mm, to work others out from."""
        return self.length(field).mm


def entry_unit() -> Unit:
    """The unit of bare figures for whoever asks."""
    unit = reader_unit()
    return Unit.IN if unit is Unit.FT else unit


def outline_of(form: Form, prefix: str = "") -> dict[str, Any]:
    """The shape's keys, lengths as typed or as texts in mm. Raises BadInput with the fields that can't be read."""
    own = {name.removeprefix(prefix): text for name, text in form.items() if name.startswith(prefix)}
    reader = _Reader(own, entry_unit(), [])
    kind = own.get("shape") or ShapeKind.RECTANGLE
    made = _MAKERS.get(kind, _rectangle)(reader)
    if reader.faults:
        raise BadInput(Fault(f"{prefix}{fault.where}", fault.what) for fault in reader.faults)
    return made


def edges_of(form: Form, count: int, *, first: Finish = Finish.SEAM) -> list[Finish]:
    """A finish for each of `count` edges, `first` where none is chosen. Raises BadInput at the first field that names none."""
    last, finishes = first, []
    for index in range(count):
        last = chosen(Finish, form.get(f"edge_{index}"), f"edge_{index}", default=last)
        finishes.append(last)
    return finishes


def patch_of(form: Form) -> dict[str, Any]:
    """The keys of a patch: shape, finishes, pile. Raises BadInput."""
    shape = outline_of(form)
    count = len(shape.get("outline", ())) or 4
    edges: Any = edges_of(form, 1)[0] if "radius" in shape else edges_of(form, count)
    named = {"name": form.get("name", "").strip() or "patch"} | ({"room": room} if (room := form.get("room", "").strip()) else {})
    told = patch_more_of(form)
    if shift := form.get("seam_shift", "").strip():
        told["seam_shift"] = length_at("seam_shift", shift)
    told |= {name: bearing_of(form, name) for name in ("traffic", "light") if form.get(name, "").strip()}
    told |= motif_of(form)
    if substitute := form.get("substitute", "").strip():
        told["substitute"] = chosen(YesNo, substitute, "substitute", default=YesNo.NO) is YesNo.YES
    return {**named, **told, **shape, "edges": edges, "pile": bearing_of(form, "pile")}


def motif_of(form: Form) -> dict[str, Any]:
    """Where a point of the room's pattern lies, from the patch's lower left corner; nothing where neither is told."""
    texts = {name: form.get(name, "").strip() for name in ("motif_x", "motif_y")}
    if not any(texts.values()):
        return {}
    missing = [Fault(name, "tell both, or neither: from the left, and from below") for name, text in texts.items() if not text]
    if missing:
        raise BadInput(missing)
    return {"motif": [length_at(name, text) for name, text in texts.items()]}


def patch_more_of(form: Form) -> dict[str, Any]:
    """What a form tells of a patch beside its place and shape: the wear there, a note, whatever is asked more rarely."""
    more = {attribute.name: attribute.of_text(text) for attribute in PATCH_MORE if (text := form.get(attribute.name, "").strip())}
    if steps := form.get("shade_steps", "").strip():
        more["shade_steps"] = steps
    if worn := form.get("worn", "").strip()[:40]:
        more["worn"] = int(worn) if worn in ("0", "1", "2", "3", "4") else worn
    return more


def length_at(field: str, text: str) -> TypedLength:
    """The length in a field's text. Raises BadInput at the field."""
    try:
        return typed_length(text, entry_unit())
    except BadMeasure as error:
        raise BadInput([Fault(field, str(error))]) from None


def collected(faults: list[Fault], make: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T | None:
    """What `make` makes of its arguments; None where it can't, with the faults noted, so that all of a form are told at once."""
    try:
        return make(*args, **kwargs)
    except BadInput as error:
        faults.extend(error.faults)
        return None


def at_fields(error: BadInput, prefix: str = "", form: Form | None = None) -> BadInput:
    """The same faults at the form's fields instead of a file's places: `patches[0].outline[2]` is `corners`.

    With a `prefix`, fields of the `form` that have it are meant where there are such.
    """
    return BadInput(_at_field(fault, prefix, form or {}) for fault in error.faults)


def _at_field(fault: Fault, prefix: str, form: Form) -> Fault:
    match fault.path:
        case ("patches" | "pieces", int(), *steps) | ("allowance", *steps) | steps:
            name = next((step for step in steps if isinstance(step, str)), "")
    if name == "outline" and len(steps) > 1 and isinstance(steps[1], int):
        return Fault(f"{prefix}corners", f"corner {steps[1] + 1}: {fault.what}")
    field = _FIELDS.get(name, name)
    return Fault(f"{prefix}{field}" if f"{prefix}{field}" in form else field, fault.what)


def bearing_of(form: Form, field: str) -> float:
    """The bearing in a field, degrees clockwise from up. Raises BadInput at the field: no pile is guessed."""
    text = form.get(field, "").strip().removesuffix("°")
    if not text:
        raise BadInput([Fault(field, PILE_UNTOLD)])
    try:
        return float(text)
    except ValueError:
        raise BadInput([Fault(field, f"{text[:40]!r} is no bearing: give degrees, 0 up the drawing, 90 to the right")]) from None


def _rectangle(reader: _Reader) -> dict[str, Any]:
    return {"width": reader.length("width"), "length": reader.length("length")}


def _ell(reader: _Reader) -> dict[str, Any]:
    """A rectangle with a corner cut out, the upper right one unless `notch` names another; its first side is the lower one."""
    width, length = reader.length_mm("ell_width"), reader.length_mm("ell_length")
    out_width, out_length = reader.length_mm("out_width"), reader.length_mm("out_length")
    for field, cut, whole in (("out_width", out_width, width), ("out_length", out_length, length)):
        if not reader.faults and not 0 < cut < whole:
            reader.faults.append(Fault(field, "the part cut out must be smaller than the whole"))
    notch = reader.form.get("notch", "").strip() or "ur"
    if notch not in dict(NOTCHES):
        reader.faults.append(Fault("notch", f"{notch[:40]!r} is no corner: choose one of the four"))
    x = width - out_width if notch.endswith("r") else out_width
    y = length - out_length if notch.startswith("u") else out_length
    outer = {"ll": (0.0, 0.0), "lr": (width, 0.0), "ur": (width, length), "ul": (0.0, length)}
    inner = {"ll": ((0.0, y), (x, y), (x, 0.0)), "lr": ((x, 0.0), (x, y), (width, y))}
    inner |= {"ur": ((width, y), (x, y), (x, length)), "ul": ((x, length), (x, y), (0.0, y))}
    corners = [point for at, corner in outer.items() for point in (inner[at] if at == notch else (corner,))]
    first = 2 if notch == "ll" else 0
    return {"outline": [[_mm(a), _mm(b)] for a, b in (*corners[first:], *corners[:first])]}


def _round(reader: _Reader) -> dict[str, Any]:
    radius = reader.length_mm("across") / 2
    return {"centre": [_mm(radius), _mm(radius)], "radius": _mm(radius)}


def _corners(reader: _Reader) -> dict[str, Any]:
    lines = [line for line in _CORNER_LINE.split(reader.form.get("corners", "")) if line.strip()]
    outline = []
    for number, line in enumerate(lines, 1):
        pair = [part.strip() for part in line.split(",")]
        if len(pair) != 2:
            reader.faults.append(
                Fault("corners", f"corner {number}: {line.strip()[:40]!r} is not two lengths with a comma between")
            )
            continue
        try:
            outline.append([typed_length(part, reader.unit) for part in pair])
        except BadMeasure as error:
            reader.faults.append(Fault("corners", f"corner {number}: {error}"))
    if not lines:
        reader.faults.append(Fault("corners", "give at least three corners, one a line"))
    return {"outline": outline}


_MAKERS: dict[str, Callable[[_Reader], dict[str, Any]]] = {
    ShapeKind.RECTANGLE: _rectangle,
    ShapeKind.ELL: _ell,
    ShapeKind.ROUND: _round,
    ShapeKind.CORNERS: _corners,
}


def _mm(length_mm: float) -> str:
    return f"{length_mm!r} mm" if "e" not in repr(length_mm) else f"{length_mm:.9f} mm"


def _example(unit: Unit) -> str:
    return {Unit.MM: "970", Unit.CM: "96.5", Unit.M: "0.97"}.get(unit, "3' 2 1/2\"")
