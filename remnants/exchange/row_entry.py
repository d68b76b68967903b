"""A row of a spreadsheet as an entry of a stock file would have it: cells as people fill them in, to keys and values."""

import re
from collections.abc import Mapping
from typing import Any

from remnants.errors import Fault
from remnants.exchange.reading import shown
from remnants.model import Kind
from remnants.model.attributes import PLAIN, Attribute, Value
from remnants.units import Unit

__all__ = ["PILE_TAKEN", "SIDES", "TIMES", "row_entry", "with_unit"]

PILE_TAKEN = "no pile is told: it is taken to lay up the length (0 degrees)"
"""What is said of a piece logged without the way its pile lays."""

SIDES = ("width", "length")
"""The fields that a size in one cell gives."""
TIMES = re.compile(r"[x×*]|\bby\b", re.IGNORECASE)
"""What stands between width and length in one cell. Blanks around it are left to `strip`: a pattern for them tries every way."""

_BARE = re.compile(r"[-+]?[\d.,]+(?:[ -]\d+/\d+)?|\d+/\d+")


def row_entry(row: Mapping[str, str], units: Mapping[str, Unit]) -> tuple[dict[str, Any], list[Fault]]:
    """The row's cells by field as keys of a stock file, and what of them can't be told so; `units` are those of bare figures.

    Where a size can't be read, a stand-in takes its place, so that the row's other faults are found too.
    """
    faults: list[Fault] = []
    raw: dict[str, Any] = {"tag": "?", "kind": Kind.REMNANT, "pile": 0} | dict(row)
    raw |= {attribute.name: _plain(attribute, row, units) for attribute in PLAIN if attribute.name in row}
    size = raw.pop("size", None)
    if size and not set(SIDES) & row.keys():
        sides = [with_unit(side.strip(), units["size"]) for side in TIMES.split(size, maxsplit=1)]
        if len(sides) != 2 or not all(sides):
            faults.append(Fault("size", f"{shown(size)} is no size: write width x length, such as 40 x 66"))
            sides = ["1 mm", "1 mm"]
        raw |= dict(zip(SIDES, sides, strict=True))
    for name in SIDES:
        if name in row:
            raw[name] = with_unit(row[name], units[name])
    if "outline" in row:
        raw["outline"] = _corners(row["outline"], units["outline"])
    if "cutouts" in row:
        raw["cutouts"] = [_corners(text, units["cutouts"]) for text in re.split(r"[|;]", row["cutouts"]) if text.strip()]
    if "motif" in row:
        raw["motif"] = [part for corner in _corners(row["motif"], units["motif"]) for part in corner]
    if "lab" in row:
        raw["lab"] = [_number(text) for text in row["lab"].replace(",", " ").split()]
    return raw, faults


def _plain(attribute: Attribute, row: Mapping[str, str], units: Mapping[str, Unit]) -> Any:
    text = row[attribute.name]
    if attribute.value is Value.LENGTH:
        return with_unit(text, units[attribute.name])
    return attribute.of_text(text.lower() if attribute.value is Value.CHOICE else text)


def with_unit(text: str, unit: Unit) -> str:
    """A bare figure with the unit of its column; a text that has a unit of its own keeps it."""
    return f"{text} {unit}" if _BARE.fullmatch(text) else text


def _corners(text: str, unit: Unit) -> list[list[str]]:
    return [[with_unit(part.strip(), unit) for part in corner.split(",")] for corner in text.split()]


def _number(text: str) -> float | str:
    try:
        value = float(text)
    except ValueError:
        return text
    return int(value) if value.is_integer() else value
