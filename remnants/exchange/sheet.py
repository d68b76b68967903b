"""A spreadsheet as text (CSV) to rows of cells under headings that are known, with any of the usual separators and encodings."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from remnants.errors import BadFile, Fault
from remnants.exchange.delimited import delimited_rows
from remnants.exchange.headings import Heading, guess_headings
from remnants.exchange.source import read_bytes, shown
from remnants.exchange.table import Row

__all__ = ["Sheet", "read_sheet"]


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them."""

    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, told: Mapping[str, str] | None = None) -> Sheet:
    """A CSV file with any of the usual separators and encodings. `told` says what some headings are for.

    Raises BadFile: as `read_bytes` and `delimited_rows`, no rows, no heading that is known; BadInput for a wrong `told`.
    """
    numbered, notes = delimited_rows(read_bytes(path), str(path))
    if len(numbered) < 2:
        raise BadFile([Fault(str(path), "no pieces: a first row of headings and a row for each piece are needed")])
    headings = guess_headings(numbered[0][1], told)
    if not any(heading.field == "style" for heading in headings):
        written = ", ".join(shown(heading.written) for heading in headings[:12])
        raise BadFile([Fault(str(path), f"no column tells the style; headed are {written}: say it with --column HEADING=style")])
    return Sheet(headings, numbered[1:], notes)
