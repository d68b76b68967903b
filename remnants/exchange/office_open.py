"""The sheets of a workbook (.xlsx), read row by row. Formulas are taken for the values that the file holds of them.

What reads workbooks cannot tell row by row which cells are merged and which formulas have no value: the sheet is looked through
for these first.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.archive import sound_part
from remnants.exchange.table import LAST_ROW, Dated, Kept, Merged, Table, figure_text
from remnants.late import Late
from remnants.limits import CELLS

if TYPE_CHECKING:
    import openpyxl
    from defusedxml import ElementTree as SoundXml
else:
    openpyxl, SoundXml = Late("openpyxl"), Late("defusedxml.ElementTree")

__all__ = ["office_open_tables"]

_MAIN = re.compile(r"\{[^}]*\}")
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})")
_NOUGHTS = re.compile(r"0{2,20}")


def office_open_tables(raw: bytes, archive: zipfile.ZipFile, name: str) -> tuple[Table, ...]:
    """Every sheet that has any text. Raises BadFile: one that is too large, a formula without a value."""
    for part in archive.namelist():
        if part.endswith((".xml", ".rels")):
            sound_part(archive, part, name)
    book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True, keep_links=False)
    try:
        made = [_table(archive, sheet, name) for sheet in book.worksheets]
    finally:
        book.close()
    return tuple(table for table in made if table.rows)


@dataclass
class _Seen:
    """What is seen of a sheet at the first look: by their first row the cells that are merged down, as (column, last row)."""

    merged: dict[int, list[tuple[int, int]]] = field(default_factory=dict)
    unreckoned: list[str] = field(default_factory=list)


def _table(archive: zipfile.ZipFile, sheet: Any, name: str) -> Table:
    called = f"{name}, sheet {sheet.title!r}"
    seen = _looked_through(archive.open(sheet._worksheet_path))
    if seen.unreckoned:
        cells = ", ".join(seen.unreckoned[:5]) + (" and others" if len(seen.unreckoned) > 5 else "")
        what = (
            f"the file holds no value of the formula in {cells}: open and save it in the spreadsheet program, or save it as CSV"
        )
        raise BadFile([Fault(called, what)])
    kept, merged, looked_at = Kept(called), Merged(), 0
    sheet.reset_dimensions()
    for number, row in enumerate(sheet.iter_rows(), 1):
        looked_at += len(row)
        if number > LAST_ROW or looked_at > 2 * CELLS:
            raise BadFile([Fault(f"{called}: row {number}", "more rows or cells than a sheet can have; save it as CSV")])
        texts = [_text(cell) for cell in row]
        for column, last in seen.merged.get(number, ()):
            if column < len(texts) and texts[column]:
                merged.begin(column, last, texts[column])
        kept.add(number, map(unguarded, merged.filled(number, texts)))
    return Table(sheet.title, tuple(kept.rows))


def _looked_through(part: Any) -> _Seen:
    seen, before = _Seen(), 0
    with part:
        for _, element in SoundXml.iterparse(part, forbid_dtd=True):
            match _MAIN.sub("", element.tag):
                case "c":
                    told = {_MAIN.sub("", inner.tag) for inner in element if inner.text or len(inner)}
                    if "f" in told and not told & {"v", "is"} and element.get("t") != "str":
                        seen.unreckoned.append(element.get("r", "a cell"))
                case "mergeCell":
                    for row, column, last in _down(element.get("ref", "")):
                        seen.merged.setdefault(row, []).append((column, last))
                case "row":
                    number = int(element.get("r") or before + 1)
                    if number <= before:
                        raise ValueError("rows out of their order are passed over by the reader")
                    before = number
                    element.clear()
    return seen


def _down(reference: str) -> Iterator[tuple[int, int, int]]:
    """First row, column (from 0) and last row of cells that are merged over several rows."""
    found = _REFERENCE.findall(reference)
    if len(found) == 2 and int(found[0][1]) < int(found[1][1]):
        column = 0
        for letter in found[0][0]:
            column = column * 26 + ord(letter) - ord("A") + 1
        yield int(found[0][1]), column - 1, int(found[1][1])


def _text(cell: Any) -> str:  # noqa: PLR0911 - one line a case
    value = cell.value
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int() if cell.number_format and _NOUGHTS.fullmatch(cell.number_format):
            return str(value).zfill(len(cell.number_format))
        case int():
            return str(value)
        case float():
            return figure_text(value)
        case datetime():
            return Dated(value.date().isoformat())
        case date() | time() | timedelta():
            return Dated(str(value))
        case _:
            return str(value).strip()
