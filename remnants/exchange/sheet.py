"""A spreadsheet, as text (CSV) or a workbook, to rows of cells under headings that are known."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import islice
from pathlib import Path

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.delimited import delimited_rows, text_rows
from remnants.exchange.headings import Heading, guess_headings, known_in
from remnants.exchange.source import opened, read_bytes, shown
from remnants.exchange.table import HEADINGS_WITHIN, Row, Rows, Table
from remnants.exchange.workbook import is_workbook, workbook_tables

__all__ = ["Sheet", "read_sheet", "sheet_of", "sheet_rows", "sheet_under"]


_START = 64
"""Bytes that tell a workbook."""

_SIZES = frozenset({"size", "width", "length", "outline", "radius"})


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them.

    The rows of a text are read from its file each time they are gone through.
    """

    headings: tuple[Heading, ...]
    rows: Rows
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, told: Mapping[str, str] | None = None, called: str = "") -> Sheet:
    """A CSV file with any of the usual separators and encodings, or a workbook: its sheet `called` so, else the one with pieces.

    `told` says what some headings are for. Rows above the headings are passed over and noted. Raises BadFile: as `read_bytes`,
    `delimited_rows` and `workbook_tables`, no rows, no heading that is known, several sheets with pieces; BadInput for a wrong
    `told` or `called`.
    """
    name = str(path)
    with opened(path) as file:
        start = file.read(_START)
    if is_workbook(start, name):
        table, notes = _chosen(workbook_tables(read_bytes(path), name), name, told, called)
        return sheet_of(table.rows, name, told, notes)
    if called:
        raise BadInput([Fault("--sheet", "a text file has no sheets with names; leave it out")])
    rows, notes = text_rows(partial(opened, path), name, told)
    return sheet_of(rows, name, told, notes)


def sheet_rows(raw: bytes, name: str, called: str = "") -> tuple[Sequence[Row], tuple[str, ...]]:
    """The rows of a CSV file or of one sheet of a workbook that is at hand, and what is to be told. Raises as `read_sheet`."""
    if is_workbook(raw, name):
        table, notes = _chosen(workbook_tables(raw, name), name, None, called)
        return table.rows, notes
    if called:
        raise BadInput([Fault("--sheet", "a text file has no sheets with names; leave it out")])
    rows, notes = delimited_rows(raw, name)
    return tuple(rows), notes


def _chosen(tables: Sequence[Table], name: str, told: Mapping[str, str] | None, called: str) -> tuple[Table, tuple[str, ...]]:
    """The sheet that is `called` so, or else the only one that has pieces; and which others are not read."""
    names = ", ".join(shown(table.name) for table in tables[:12])
    if called:
        found = next((table for table in tables if table.name.casefold() == called.casefold()), None)
        if found is None:
            raise BadFile([Fault(name, f"no sheet with text is called {shown(called)}; there are {names or 'none'}")])
        return found, ()
    stocked = [table for table in tables if _SIZES & (fields := _told_by(table, told)) and "style" in fields]
    if len(stocked) > 1:
        several = ", ".join(shown(table.name) for table in stocked[:12])
        raise BadFile([Fault(name, f"{len(stocked)} sheets hold pieces ({several}); say which with --sheet NAME")])
    chosen = stocked[0] if stocked else tables[0] if tables else Table("", ())
    others = [table.name for table in tables if table is not chosen]
    return chosen, (f"not read: {', '.join(shown(other) for other in others[:12])}, other sheets",) if others else ()


def sheet_of(rows: Rows, name: str, told: Mapping[str, str] | None, notes: tuple[str, ...] = ()) -> Sheet:
    """The sheet that the rows of a table make, `name` being the file's. Raises BadFile and BadInput as `read_sheet`."""
    sheet = sheet_under(rows, name, told, notes)
    if not any(heading.field == "style" for heading in sheet.headings):
        written = ", ".join(shown(heading.written) for heading in sheet.headings[:12])
        raise BadFile([Fault(name, f"no column tells the style; headed are {written}: say it with --column HEADING=style")])
    return sheet


def sheet_under(rows: Rows, name: str, told: Mapping[str, str] | None, notes: tuple[str, ...] = ()) -> Sheet:
    """As `sheet_of`, also where no column tells the style yet."""
    first = tuple(islice(rows, HEADINGS_WITHIN))
    at = _headings_at(first, told)
    if len(rows) < at + 2:
        raise BadFile([Fault(name, "no pieces: a first row of headings and a row for each piece are needed")])
    headings = guess_headings(first[at][1], told)
    above = [f"row {number}, above the headings, is not read: {shown(next(filter(None, cells)))}" for number, cells in first[:at]]
    return Sheet(headings, Below(rows, at, len(rows) - at - 1), (*notes, *above))


@dataclass(frozen=True)
class Below:
    """The rows below the headings, which stand in the row `at`, counted from 0; the headings once more are none of them."""

    rows: Rows
    at: int
    most: int

    def __iter__(self) -> Iterator[Row]:
        found = islice(self.rows, self.at, None)
        _, headings = next(found)
        return (row for row in found if row[1] != headings)

    def __len__(self) -> int:
        return self.most


def _told_by(table: Table, told: Mapping[str, str] | None) -> frozenset[str]:
    first = table.rows[:HEADINGS_WITHIN]
    return known_in(first[_headings_at(first, told)][1], told)


def _headings_at(first: Sequence[Row], told: Mapping[str, str] | None) -> int:
    """Where the headings stand: the first row that tells the style and something else, else the one that tells most."""
    known = [known_in(cells, told) for _, cells in first]
    sure = next((at for at, fields in enumerate(known) if "style" in fields and len(fields) > 1), None)
    if sure is not None:
        return sure
    most = max(map(len, known), default=0)
    return next(at for at, fields in enumerate(known) if len(fields) == most) if most > 1 else 0
