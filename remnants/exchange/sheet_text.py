"""A spreadsheet that was sent, as a text that goes along in a form until its rows are logged, and read back from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.cells import cells_text
from remnants.errors import BadFile, Fault
from remnants.exchange.delimited import delimited_rows
from remnants.exchange.sheet import Sheet, sheet_rows, sheet_under
from remnants.exchange.table import Dated, Row

__all__ = ["SENT_SHEET_ROWS", "SheetText", "sheet_in", "sheet_text"]

SENT_SHEET_ROWS = 2_000
"""Rows of a spreadsheet of pieces that a page takes; `remnants log` takes more."""

SENT_SHEET_CHARACTERS = 200_000
"""Characters of its rows, which go along in the form until they are logged: well within what a form may have."""

_NAME = "the table"


@dataclass(frozen=True)
class SheetText:
    """The rows as CSV, each on the line of its number; the dates that the spreadsheet held, as they stand there; notes."""

    text: str
    dated: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def sheet_text(raw: bytes, name: str, called: str = "") -> SheetText:
    """The rows of a CSV file or of a workbook's sheet, the one `called` so. Raises as `read_sheet`; BadFile for too many."""
    rows, notes = sheet_rows(raw, name, called)
    _refuse_long(rows, "")
    lines: list[Sequence[str]] = []
    for number, cells in rows:
        lines += [("",)] * (number - len(lines) - 1)
        lines.append(cells)
    text = cells_text(lines, line_end="\n")
    _refuse_long(rows, text)
    dated = dict.fromkeys(str(cell) for _, cells in rows for cell in cells if isinstance(cell, Dated))
    return SheetText(text, tuple(dated), notes)


def sheet_in(text: str, told: Mapping[str, str] | None = None, dated: Sequence[str] = ()) -> Sheet:
    """The sheet in such a text, with what is `told` of its headings and which of its cells held dates; the style may lack.

    Raises as `sheet_text`, BadInput for a wrong `told`.
    """
    rows = tuple(delimited_rows(text.encode("utf-8", "replace"), _NAME, told)[0])
    _refuse_long(rows, text)
    dates = frozenset(dated)
    marked = [(number, tuple(Dated(cell) if cell in dates else cell for cell in cells)) for number, cells in rows]
    return sheet_under(marked, _NAME, {name: means for name, means in (told or {}).items() if _is_headed(marked, name)})


def _is_headed(rows: Sequence[Row], name: str) -> bool:
    """Whether a column may still be headed so: the text may have been typed anew since something was told of it."""
    return any(name in cells for _, cells in rows)


def _refuse_long(rows: Sequence[Row], text: str) -> None:
    last = rows[-1][0] if rows else 0
    if last > SENT_SHEET_ROWS + 1:
        raise BadFile([Fault(_NAME, f"{last:,} rows, and a page takes {SENT_SHEET_ROWS:,}: log it with `remnants log`")])
    if len(text) > SENT_SHEET_CHARACTERS:
        told = f"{len(text):,} characters, and a page takes {SENT_SHEET_CHARACTERS:,}: send parts, or log it with `remnants log`"
        raise BadFile([Fault(_NAME, told)])
