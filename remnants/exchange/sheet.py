"""A spreadsheet, as text (CSV) or a workbook, to rows of cells under headings that are known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.delimited import delimited_rows
from remnants.exchange.headings import Heading, guess_headings, known_in
from remnants.exchange.source import read_bytes, shown
from remnants.exchange.table import HEADINGS_WITHIN, Row, Table
from remnants.exchange.workbook import is_workbook, workbook_tables

__all__ = ["Sheet", "read_sheet", "sheet_of"]


_SIZES = frozenset({"size", "width", "length", "outline", "radius"})


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them."""

    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, told: Mapping[str, str] | None = None, called: str = "") -> Sheet:
    """A CSV file with any of the usual separators and encodings, or a workbook: its sheet `called` so, else the one with pieces.

    `told` says what some headings are for. Rows above the headings are passed over and noted. Raises BadFile: as `read_bytes`,
    `delimited_rows` and `workbook_tables`, no rows, no heading that is known, several sheets with pieces; BadInput for a wrong
    `told` or `called`.
    """
    raw, name = read_bytes(path), str(path)
    if is_workbook(raw, name):
        table, notes = _chosen(workbook_tables(raw, name), name, told, called)
        return sheet_of(table.rows, name, told, notes)
    if called:
        raise BadInput([Fault("--sheet", "a text file has no sheets with names; leave it out")])
    rows, notes = delimited_rows(raw, name, told)
    return sheet_of(rows, name, told, notes)


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


def sheet_of(rows: Sequence[Row], name: str, told: Mapping[str, str] | None, notes: tuple[str, ...] = ()) -> Sheet:
    """The sheet that the rows of a table make, `name` being the file's. Raises BadFile and BadInput as `read_sheet`."""
    at = _headings_at(rows, told)
    if len(rows) < at + 2:
        raise BadFile([Fault(name, "no pieces: a first row of headings and a row for each piece are needed")])
    headings = guess_headings(rows[at][1], told)
    if not any(heading.field == "style" for heading in headings):
        written = ", ".join(shown(heading.written) for heading in headings[:12])
        raise BadFile([Fault(name, f"no column tells the style; headed are {written}: say it with --column HEADING=style")])
    above = [f"row {number}, above the headings, is not read: {shown(next(filter(None, cells)))}" for number, cells in rows[:at]]
    return Sheet(headings, tuple(row for row in rows[at + 1 :] if row[1] != rows[at][1]), (*notes, *above))


def _told_by(table: Table, told: Mapping[str, str] | None) -> frozenset[str]:
    return known_in(table.rows[_headings_at(table.rows, told)][1], told)


def _headings_at(rows: Sequence[Row], told: Mapping[str, str] | None) -> int:
    """Where the headings stand: the first row that tells the style and something else, else the one that tells most."""
    known = [known_in(cells, told) for _, cells in rows[:HEADINGS_WITHIN]]
    sure = next((at for at, fields in enumerate(known) if "style" in fields and len(fields) > 1), None)
    if sure is not None:
        return sure
    most = max(map(len, known), default=0)
    return next(at for at, fields in enumerate(known) if len(fields) == most) if most > 1 else 0
