"""The rows of a spreadsheet that was saved as text (CSV), with any of the usual separators and encodings."""

import csv
import io

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.table import Kept, Row
from remnants.limits import CELL_CHARACTERS

__all__ = ["delimited_rows"]

_END = "the end of all rows"


def delimited_rows(raw: bytes, name: str) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """The rows of the file called `name` that have any text, and what the reader should be told.

    Raises BadFile: a cell that is too long, or a quotation mark that is left open, with its row.
    """
    text, notes = _decoded(raw)
    lines = csv.reader(io.StringIO(f"{text}\n{_END}\n", newline=""), delimiter=_separator(text))
    kept = Kept(name)
    number = 0
    try:
        for number, cells in enumerate(lines, 1):
            if cells == [_END]:
                return tuple(kept.rows), notes
            kept.add(number, map(unguarded, (cell.strip() for cell in cells)))
    except csv.Error:
        long = f"a cell of more than {CELL_CHARACTERS:,} characters; shorten it, or close a quotation mark that is left open"
        raise BadFile([Fault(f"{name}: row {number + 1}", long)]) from None
    raise BadFile([Fault(f"{name}: row {number}", "a quotation mark is opened and never closed; close it, or take it away")])


def _decoded(raw: bytes) -> tuple[str, tuple[str, ...]]:
    """UTF-8 or, where it is marked so, UTF-16; otherwise what spreadsheets of western Europe and America save (cp1252)."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace"), ()
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace"), (
            "the file is not UTF-8; it is read as cp1252, look at names with accents",
        )


def _separator(text: str) -> str:
    first = text.lstrip().split("\n", 1)[0]
    return max((",", ";", "\t", "|"), key=first.count)
