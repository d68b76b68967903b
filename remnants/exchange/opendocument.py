"""The sheets of an OpenDocument spreadsheet (.ods), read row by row as OpenDocument 1.3, part 3 (19.2, 9.1) tells.

A row or cell that is there several times over is told once, with how often; what is merged is told with the first of its cells.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import Element

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.archive import sound_part
from remnants.exchange.table import LAST_ROW, Dated, Kept, Merged, Table, figure_text
from remnants.late import Late
from remnants.limits import COLUMNS, PIECES

if TYPE_CHECKING:
    from defusedxml import ElementTree as SoundXml
else:
    SoundXml = Late("defusedxml.ElementTree")

__all__ = ["opendocument_tables"]

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")


def opendocument_tables(archive: zipfile.ZipFile, name: str) -> tuple[Table, ...]:
    """Every sheet that has any text. Raises BadFile for one that is too large."""
    content = io.BytesIO(sound_part(archive, "content.xml", name))
    tables: list[Table] = []
    for kind, element in SoundXml.iterparse(content, events=("start", "end"), forbid_dtd=True):
        if element.tag == f"{_TABLE}table" and kind == "start":
            sheet = _Sheet(f"{name}, sheet {element.get(f'{_TABLE}name', '')!r}")
            called = element.get(f"{_TABLE}name", "")
        elif element.tag == f"{_TABLE}table-row" and kind == "end":
            sheet.add(element)
            element.clear()
        elif element.tag == f"{_TABLE}table" and kind == "end":
            if sheet.kept.rows:
                tables.append(Table(called, tuple(sheet.kept.rows)))
            element.clear()
    return tuple(tables)


class _Sheet:
    def __init__(self, name: str) -> None:
        self.kept = Kept(name)
        self._number = 0
        self._merged = Merged()

    def add(self, row: Element) -> None:
        times = _times(row, "rows")
        cells = list(self._texts(row))
        if not any(cells):
            self._number += times
            return
        if times > PIECES:
            raise BadFile([Fault(f"{self.kept.name}: row {self._number + 1}", f"stands there {times:,} times; keep one")])
        for _ in range(times):
            self._number += 1
            self.kept.add(self._number, (_stripped(cell) for cell in self._merged.filled(self._number, list(cells))))

    def _texts(self, row: Element) -> Iterator[str]:
        column = 0
        for cell in row:
            if cell.tag not in _CELLS or column > COLUMNS:
                continue
            text = _text(cell)
            below = _figure(cell.get(f"{_TABLE}number-rows-spanned"))
            if below > 1 and text:
                self._merged.begin(column, min(self._number + below, LAST_ROW), text)
            for _ in range(min(_times(cell, "columns"), COLUMNS + 1 - column)):
                column += 1
                yield text


def _times(element: Element, what: str) -> int:
    return max(1, _figure(element.get(f"{_TABLE}number-{what}-repeated")))


def _figure(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 8 else 1


def _text(cell: Element) -> str:  # noqa: PLR0911 - one line a case
    """What a cell holds: its value where it has one, else its lines of text."""
    if cell.tag != _CELLS[0]:
        return ""
    value: Any = cell.get(f"{_OFFICE}value")
    match cell.get(f"{_OFFICE}value-type"):
        case "float" | "currency" if value is not None:
            return _shown_figure(cell, float(value))
        case "percentage" if value is not None:
            return figure_text(float(value))
        case "boolean":
            return "yes" if cell.get(f"{_OFFICE}boolean-value") == "true" else "no"
        case "date":
            return Dated((cell.get(f"{_OFFICE}date-value") or "")[:10])
        case "time":
            return Dated(cell.get(f"{_OFFICE}time-value") or "")
        case _:
            return _lines(cell)


def _shown_figure(cell: Element, value: float) -> str:
    """The figure; 0007 where it is shown so, since a tag may begin with noughts."""
    text, shown = figure_text(value), _lines(cell)
    return shown if shown.isascii() and shown.isdigit() and shown.lstrip("0") == text.lstrip("0") else text


def _lines(cell: Element) -> str:
    return "\n".join("".join(_runs(line)) for line in cell.iter(f"{_TEXT}p"))


def _runs(line: Element) -> Iterator[str]:
    yield line.text or ""
    for part in line:
        if part.tag == f"{_TEXT}s":
            yield " " * min(_figure(part.get(f"{_TEXT}c")), 1000)
        elif part.tag == f"{_TEXT}tab":
            yield "\t"
        elif part.tag == f"{_TEXT}line-break":
            yield "\n"
        else:
            yield from _runs(part)
        yield part.tail or ""


def _stripped(cell: str) -> str:
    return cell if isinstance(cell, Dated) else unguarded(cell.strip())
