"""The rows of a spreadsheet as they are read one after another, within what is taken of rows and cells."""

from collections.abc import Iterable

from remnants.errors import BadFile, Fault
from remnants.limits import CELLS, COLUMNS, PIECES

__all__ = ["HEADINGS_WITHIN", "Kept", "Row"]

Row = tuple[int, tuple[str, ...]]
"""A row's number as a spreadsheet shows it, and its cells without the blanks around them."""

HEADINGS_WITHIN = 60
"""Rows among which the headings are looked for. Blank cells at the end of these are kept: a column may have no heading."""


class Kept:
    """The rows that have any text, of the file or sheet called `name`."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.rows: list[Row] = []
        self._cells = 0

    def add(self, number: int, cells: Iterable[str]) -> None:
        """Keeps a row that has any text. Raises BadFile for a row too many, too long, or with too many cells."""
        row = tuple(cells)
        used = next((place for place in range(len(row), 0, -1) if row[place - 1]), 0)
        if not used:
            return
        self._cells += used
        if used > COLUMNS:
            raise BadFile([Fault(f"{self.name}: row {number}", f"{used:,} cells; a row has {COLUMNS:,} at most")])
        if len(self.rows) > PIECES or self._cells > CELLS:
            much = f"{PIECES:,} rows" if len(self.rows) > PIECES else f"{CELLS:,} cells"
            raise BadFile([Fault(f"{self.name}: row {number}", f"more than {much}; split the file")])
        self.rows.append((number, row[: COLUMNS if len(self.rows) < HEADINGS_WITHIN else used]))
