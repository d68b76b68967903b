"""The rows of a spreadsheet that was saved as text (CSV), with any of the usual separators and encodings."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from itertools import islice

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.headings import known_in
from remnants.exchange.table import HEADINGS_WITHIN, Kept, Row
from remnants.limits import CELL_CHARACTERS

__all__ = ["delimited_rows"]

_END = "the end of all rows"
_SEPARATORS = (",", ";", "\t", "|")
_SAID = re.compile(r'"?sep=(.)"?[ \t;,|]*(?:\r\n|\r|\n)')
"""The first line of a file that tells a spreadsheet which separator it has."""


def delimited_rows(raw: bytes, name: str, told: Mapping[str, str] | None = None) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """The rows of the file called `name` that have any text, and what the reader should be told.

    `told` says what some headings are for. Raises BadFile with its row: a cell that is too long, an open quotation mark.
    """
    text, notes = _decoded(raw)
    said = _SAID.match(text)
    kept = Kept(name)
    number = 0
    try:
        for number, cells in enumerate(_lines(text, said[1] if said else _separator(text, told or {})), 1):
            if cells == [_END]:
                return tuple(kept.rows), notes
            if number > 1 or not said:
                kept.add(number, map(unguarded, (cell.strip() for cell in cells)))
    except csv.Error:
        long = f"a cell of more than {CELL_CHARACTERS:,} characters; shorten it, or close a quotation mark that is left open"
        raise BadFile([Fault(f"{name}: row {number + 1}", long)]) from None
    raise BadFile([Fault(f"{name}: row {number}", "a quotation mark is opened and never closed; close it, or take it away")])


def _lines(text: str, separator: str) -> Iterator[list[str]]:
    return csv.reader(io.StringIO(f"{text}\n{_END}\n", newline=""), delimiter=separator)


def _decoded(raw: bytes) -> tuple[str, tuple[str, ...]]:
    """UTF-8 or, where it is marked so or has NUL for every other byte, UTF-16; otherwise what spreadsheets of western Europe
    and America save (cp1252)."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace"), ()
    start = raw[:64]
    for encoding, zeros in (("utf-16-le", start[1::2]), ("utf-16-be", start[::2])):
        if len(start) >= 8 and zeros.count(0) > len(zeros) * 3 // 4:
            return raw.decode(encoding, errors="replace"), ()
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace"), (
            "the file is not UTF-8; it is read as cp1252, look at names with accents",
        )


def _separator(text: str, told: Mapping[str, str]) -> str:
    """The separator that shows most known headings in a line; else the one that stands most often in the first line."""
    first = text.lstrip().split("\n", 1)[0]
    return max(_SEPARATORS, key=lambda separator: (_headings_shown(text, separator, told), first.count(separator)))


def _headings_shown(text: str, separator: str, told: Mapping[str, str]) -> int:
    try:
        return max((len(known_in(cells, told)) for cells in islice(_lines(text, separator), HEADINGS_WITHIN)), default=0)
    except csv.Error:
        return 0
