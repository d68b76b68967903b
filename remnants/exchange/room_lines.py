"""Rooms as lines of a spreadsheet, a room a row: read as a rooms file is, each cell that can't be used told by its row."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import Any

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.delimited import delimited_rows
from remnants.exchange.headings import plain_heading
from remnants.exchange.house import read_house
from remnants.exchange.reading import MISSING, Note, quiet
from remnants.exchange.row_entry import TIMES, with_unit
from remnants.exchange.source import read_bytes, shown
from remnants.exchange.table import Row
from remnants.exchange.workbook import is_workbook, workbook_tables
from remnants.limits import CARPETS, ROOMS
from remnants.units import Unit

__all__ = ["COLUMNS_OF_ROOMS", "file_of_lines", "is_lines", "lines_file"]

COLUMNS_OF_ROOMS: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "room", "rooms", "area", "where"),
    "width": ("width", "across", "wide", "w"),
    "length": ("length", "up", "long", "l"),
    "size": ("size", "dimensions", "measure", "width x length", "w x l"),
    "count": ("count", "quantity", "qty", "number", "how many"),
    "pile": ("pile", "pile bearing"),
    "style": ("style", "carpet", "product"),
    "colour": ("colour", "color"),
    "lot": ("lot", "dye lot"),
    "roll": ("roll", "roll width", "goods"),
}
"""What a column may tell of a room, and the headings that say so."""

_KNOWN = {spelling: field for field, spellings in COLUMNS_OF_ROOMS.items() for spelling in spellings}
_CARPET = ("style", "colour", "lot")
_PLACE = re.compile(r"rooms\[(\d+)\]\.?(\w*)")
_OF_CARPET = re.compile(r"(?:carpets\[(\d+)\]\.)?roll\.width")


Line = tuple[int, dict[str, str]]
"""A row's number, and its cells by what they tell."""


@dataclass(frozen=True)
class _Columns:
    """Where each thing stands, how its heading is written, and the unit that the heading names."""

    at: Mapping[str, int]
    written: Mapping[str, str]
    units: Mapping[str, Unit]


def is_lines(name: str) -> bool:
    """Whether a file is meant as lines of a spreadsheet, by its name."""
    return PurePath(name).suffix.lower() in (".csv", ".tsv", ".xlsx", ".ods")


def file_of_lines(path: Path, unit: Unit, *, carpet: str = "", note: Note = quiet) -> dict[str, Any]:
    """The rooms file of a spreadsheet, as text (CSV) or the first sheet of a workbook; see `lines_file`.

    Raises BadFile: as `read_bytes` and `lines_file`.
    """
    raw, name = read_bytes(path), str(path)
    rows = workbook_tables(raw, name)[0].rows if is_workbook(raw, name) else None
    told, notes = lines_file(raw, name, unit, carpet=carpet, rows=rows)
    for each in notes:
        note(Fault(name, each))
    return told


def lines_file(
    raw: bytes, name: str, unit: Unit, *, carpet: str = "", rows: Sequence[Row] | None = None
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """A rooms file (JSON values) of lines, and what of them was passed over. Bare figures are in their heading's unit, or `unit`.

    Rows that name several carpets make an order of several, unless `carpet` says of which style they are to be. Raises BadFile
    with every cell that can't be used, by row and column.
    """
    notes: tuple[str, ...] = ()
    if rows is None:
        rows, notes = delimited_rows(raw, name)
    columns = _columns(rows, name)
    lines = [(number, _cells(cells, columns)) for number, cells in rows[1:]]
    chosen, passed = _of_carpet(lines, carpet, name)
    by_row = {number: _carpet_in(cells) for number, cells in chosen}
    faults: list[Fault] = []
    rooms: list[dict[str, Any]] = []
    owners: list[int] = []
    for number, cells in chosen:
        made = _rooms_of((number, cells), columns, faults, unit, room=ROOMS - len(rooms))
        rooms += made
        owners += [number] * len(made)
    carpets, first = _carpets(chosen, columns, unit)
    told: dict[str, Any] = {"unit": unit.value, "order": PurePath(name).stem[:80]}
    if len(carpets) > 1:
        faults += _of_none(chosen, columns)
        rooms = [room | {"carpet": _called(by_row[number], carpets)} for room, number in zip(rooms, owners, strict=True)]
        told |= {"carpets": [entry | {"name": _called(key, carpets)} for key, entry in carpets.items()]}
    else:
        told |= next(iter(carpets.values()), {})
    told["rooms"] = rooms
    if rooms:
        try:
            read_house(told)
        except BadInput as error:
            faults += [_placed(fault, owners, first, columns) for fault in error.faults]
    if faults:
        raise BadFile(Fault(f"{name}: {fault.where}" if fault.where else name, fault.what) for fault in _once(faults))
    return told, (*notes, *passed)


def _columns(rows: Sequence[Row], name: str) -> _Columns:
    """The headings in the first row. Raises BadFile where they tell no size."""
    at: dict[str, int] = {}
    written: dict[str, str] = {}
    units: dict[str, Unit] = {}
    for place, text in enumerate(rows[0][1] if rows else ()):
        plain, unit = plain_heading(text)
        field = _KNOWN.get(plain, "")
        if field and field not in at:
            at[field], written[field] = place, text
            units |= {field: unit} if unit else {}
    if not ("size" in at or {"width", "length"} <= at.keys()):
        what = "its first row must head the columns: name, width and length, or name and size"
        raise BadFile([Fault(name, f"no column tells how large the rooms are; {what}")])
    if len(rows) < 2:
        raise BadFile([Fault(name, "no room is in it: give each a row below the headings")])
    return _Columns(at, written, units)


def _cells(cells: Sequence[str], columns: _Columns) -> dict[str, str]:
    return {field: cells[place] for field, place in columns.at.items() if place < len(cells) and cells[place]}


def _of_carpet(lines: Sequence[Line], carpet: str, name: str) -> tuple[list[Line], list[str]]:
    """The lines of one carpet, and what is told of the others. An empty cell is of any. Raises BadFile where it must be said."""
    carpets = [key for key in dict.fromkeys(_carpet_in(cells) for _, cells in lines) if any(key)]
    styles = list(dict.fromkeys(key[0] for key in carpets if key[0]))
    if carpet:
        kept = [line for line in lines if line[1].get("style", "").casefold() == carpet.casefold()]
        if not kept:
            known = ", ".join(map(shown, styles[:12])) or "none"
            raise BadFile([Fault(name, f"no room is of a carpet {shown(carpet)}; there are {known}")])
        if len({_carpet_in(cells) for _, cells in kept}) > 1:
            raise BadFile([Fault(name, f"rooms of {shown(carpet)} name several colours or lots: give those of one in a file")])
        left = len(lines) - len(kept)
        return kept, [f"{left} rows of other carpets are left out"] if left else []
    if len(carpets) > CARPETS:
        raise BadFile([Fault(name, f"rows name {len(carpets)} carpets; give at most {CARPETS} in a file")])
    return list(lines), []


Carpet = tuple[str, ...]
"""Style, colour and lot as the cells have them."""


def _carpets(lines: Sequence[Line], columns: _Columns, unit: Unit) -> tuple[dict[Carpet, dict[str, Any]], list[int]]:
    """Each carpet named, as a rooms file tells it, and the first row of each that tells how wide its roll is."""
    carpets: dict[Carpet, dict[str, Any]] = {}
    first: dict[Carpet, int] = {}
    for number, cells in lines:
        key = _carpet_in(cells)
        if not any(key) and "roll" not in cells:
            continue
        entry = carpets.setdefault(key, {name: cells[name] for name in _CARPET if name in cells})
        if "roll" in cells and "roll" not in entry:
            entry["roll"] = {"width": with_unit(cells["roll"], columns.units.get("roll", unit))}
            first[key] = number
    return carpets, [first.get(key, 0) for key in carpets]


def _called(key: Carpet, carpets: Iterable[Carpet]) -> str:
    """A carpet's name in the house: its style, with colour and lot where another has that style too."""
    alike = sum(other[0] == key[0] for other in carpets) > 1
    return ", ".join(filter(None, key if alike or not key[0] else key[:1]))


def _of_none(lines: Sequence[Line], columns: _Columns) -> list[Fault]:
    """Rows that name none of several carpets."""
    what = "say which carpet: the other rows name several"
    return [_at(number, "style", columns, what) for number, cells in lines if not any(_carpet_in(cells))]


def _carpet_in(cells: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(cells.get(key, "") for key in _CARPET)


def _rooms_of(line: Line, columns: _Columns, faults: list[Fault], unit: Unit, *, room: int) -> list[dict[str, Any]]:
    """The rooms of a row, as often as it says; none where that can't be told."""
    number, cells = line
    entry: dict[str, Any] = {"name": cells.get("name", f"row {number}")}
    size = cells.get("size")
    if size and not {"width", "length"} & cells.keys():
        sides = [side.strip() for side in TIMES.split(size, maxsplit=1)]
        if len(sides) != 2 or not all(sides):
            faults.append(_at(number, "size", columns, f"{shown(size)} is no size: write width x length, such as 12' x 14' 6\""))
            return []
        own = columns.units.get("size", unit)
        entry |= {"width": with_unit(sides[0], own), "length": with_unit(sides[1], own)}
    for field in ("width", "length"):
        if field in cells:
            entry[field] = with_unit(cells[field], columns.units.get(field, unit))
    missing = [field for field in ("width", "length") if field not in entry]
    if "pile" in cells:
        entry["pile"] = _figure(cells["pile"])
    count = cells.get("count", "1")
    if not re.fullmatch(r"[1-9]\d{0,3}", count) or int(count) > room:
        what = f"{shown(count)} is no count of rooms: give a whole number from 1, and at most {ROOMS:,} rooms in all"
        faults.append(_at(number, "count", columns, what))
        return []
    faults += [_at(number, field, columns, "this cell is empty") for field in missing]
    if missing:
        return []
    times = int(count)
    return [entry | {"name": f"{entry['name']} {each}"} for each in range(1, times + 1)] if times > 1 else [entry]


def _figure(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _placed(fault: Fault, owners: Sequence[int], first: Sequence[int], columns: _Columns) -> Fault:
    """A fault of the rooms file at the row and column that it came from."""
    roll = _OF_CARPET.fullmatch(fault.where)
    if roll and first:
        return _at(first[int(roll[1] or 0)], "roll", columns, fault.what)
    found = _PLACE.match(fault.where)
    if not found or int(found[1]) >= len(owners):
        return fault
    return _at(owners[int(found[1])], found[2], columns, "this cell is empty" if fault.what == MISSING else fault.what)


def _at(number: int, field: str, columns: _Columns, what: str) -> Fault:
    at = field if field in columns.written else "size" if field in ("width", "length") else ""
    heading = columns.written.get(at, "")
    return Fault(f'row {number}, column "{heading[:40]}"' if heading else f"row {number}", what)


def _once(faults: Sequence[Fault]) -> list[Fault]:
    """In the order of the rows; a room that stands for several is told once."""
    return sorted(dict.fromkeys(faults), key=lambda fault: int(found[0]) if (found := re.search(r"\d+", fault.where)) else 0)
