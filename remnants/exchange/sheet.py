"""A spreadsheet as text (CSV) to rows of cells under headings that are known, with any of the usual separators and encodings."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from remnants.cells import unguarded
from remnants.errors import BadFile, Fault
from remnants.exchange.headings import Heading, guess_headings
from remnants.exchange.source import read_bytes

__all__ = ["Sheet", "read_sheet"]


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them."""

    headings: tuple[Heading, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, told: Mapping[str, str] | None = None) -> Sheet:
    """A CSV file with any of the usual separators and encodings. `told` says what some headings are for.

    Raises BadFile: as `read_text`, no rows, no heading that is known; BadInput for a wrong `told`.
    """
    text, notes = _decoded(read_bytes(path))
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text)))
    numbered = [
        (number, tuple(unguarded(cell.strip()) for cell in row)) for number, row in enumerate(rows, 1) if any(map(str.strip, row))
    ]
    if len(numbered) < 2:
        raise BadFile([Fault(str(path), "no pieces: a first row of headings and a row for each piece are needed")])
    headings = guess_headings(numbered[0][1], told)
    if not any(heading.field == "style" for heading in headings):
        shown = ", ".join(repr(heading.written) for heading in headings[:12])
        raise BadFile([Fault(str(path), f"no column tells the style; headed are {shown}: say it with --column HEADING=style")])
    return Sheet(headings, tuple(numbered[1:]), notes)


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
