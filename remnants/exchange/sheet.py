"""A spreadsheet as text (CSV) to rows of cells under headings that are known, with any of the usual separators and encodings."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from remnants.errors import BadFile, Fault
from remnants.exchange.delimited import delimited_rows
from remnants.exchange.headings import Heading, guess_headings, known_in
from remnants.exchange.source import read_bytes, shown
from remnants.exchange.table import HEADINGS_WITHIN, Row

__all__ = ["Sheet", "read_sheet", "sheet_of"]


@dataclass(frozen=True)
class Sheet:
    """A spreadsheet: what its headings are taken for, and its rows; row numbers are as a spreadsheet shows them."""

    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    notes: tuple[str, ...] = ()


def read_sheet(path: Path, told: Mapping[str, str] | None = None) -> Sheet:
    """A CSV file with any of the usual separators and encodings. `told` says what some headings are for.

    Rows above the headings are passed over and noted. Raises BadFile: as `read_bytes` and `delimited_rows`, no rows, no heading
    that is known; BadInput for a wrong `told`.
    """
    rows, notes = delimited_rows(read_bytes(path), str(path), told)
    return sheet_of(rows, str(path), told, notes)


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


def _headings_at(rows: Sequence[Row], told: Mapping[str, str] | None) -> int:
    """Where the headings stand: the first row that tells the style and something else, else the one that tells most."""
    known = [known_in(cells, told) for _, cells in rows[:HEADINGS_WITHIN]]
    sure = next((at for at, fields in enumerate(known) if "style" in fields and len(fields) > 1), None)
    if sure is not None:
        return sure
    most = max(map(len, known), default=0)
    return next(at for at, fields in enumerate(known) if len(fields) == most) if most > 1 else 0
