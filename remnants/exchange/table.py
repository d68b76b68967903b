"""The rows of a spreadsheet as they are read one after another, within what is taken of rows and cells."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from remnants.errors import BadFile, Fault
from remnants.limits import CELLS, COLUMNS, PIECES

__all__ = ["HEADINGS_WITHIN", "LAST_ROW", "Dated", "Kept", "Merged", "Row", "Rows", "Table", "Within", "figure_text"]

LAST_ROW = 1_048_576
"""As many rows as a sheet of a workbook has: a cell that tells a later one is told by a broken file."""

Row = tuple[int, tuple[str, ...]]
"""A row's number as a spreadsheet shows it, and its cells without the blanks around them."""


class Rows(Protocol):
    """Rows that can be gone through as often as wanted, and how many they are at most."""

    def __iter__(self) -> Iterator[Row]: ...

    def __len__(self) -> int: ...


HEADINGS_WITHIN = 60
"""Rows among which the headings are looked for. Blank cells at the end of these are kept: a column may have no heading."""


class Dated(str):
    """A date that a spreadsheet holds. Often somebody typed a lot or a size such as 5-10, and it made a date of that."""

    __slots__ = ()


@dataclass(frozen=True)
class Table:
    """A sheet of a workbook by its name, and its rows."""

    name: str
    rows: tuple[Row, ...]


class Within:
    """What is taken of rows and cells of the file or sheet called `name`, counted as they are read."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._rows = 0
        self._cells = 0

    def row(self, number: int, cells: Iterable[str]) -> Row | None:
        """The row as it is kept; None without any text. Raises BadFile for a row too many, too long, or with too many cells."""
        row = tuple(cells)
        used = len(row)
        while used and not row[used - 1]:
            used -= 1
        if not used:
            return None
        self._cells += used
        if used > COLUMNS:
            raise BadFile([Fault(f"{self.name}: row {number}", f"{used:,} cells; a row has {COLUMNS:,} at most")])
        if self._rows > PIECES or self._cells > CELLS:
            much = f"{PIECES:,} rows" if self._rows > PIECES else f"{CELLS:,} cells"
            raise BadFile([Fault(f"{self.name}: row {number}", f"more than {much}; split the file")])
        self._rows += 1
        return number, row[: COLUMNS if self._rows <= HEADINGS_WITHIN else used]


class Kept:
    """The rows that have any text, of the file or sheet called `name`."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.rows: list[Row] = []
        self._within = Within(name)

    def add(self, number: int, cells: Iterable[str]) -> None:
        """Keeps a row that has any text. Raises BadFile as `Within`."""
        if row := self._within.row(number, cells):
            self.rows.append(row)


class Merged:
    """Cells that are merged down: what stands in the first holds for those below it, in rows that have other text."""

    def __init__(self) -> None:
        self._held: dict[int, tuple[int, str]] = {}

    def begin(self, column: int, last_row: int, text: str) -> None:
        """From here the text holds in this column, counted from 0, until `last_row`."""
        self._held[column] = (last_row, text)

    def filled(self, number: int, cells: list[str]) -> list[str]:
        """The row with what is merged into it; a row without any text stays so."""
        if self._held and any(cells):
            self._held = {column: held for column, held in self._held.items() if held[0] >= number}
            for column, (_, text) in self._held.items():
                cells += [""] * (column + 1 - len(cells))
                cells[column] = cells[column] or text
        return cells


def figure_text(value: float) -> str:
    """A figure of a spreadsheet as text, without an exponent and without the dust of reckoning."""
    return f"{value:.9f}".rstrip("0").rstrip(".") if abs(value) < 1e15 else repr(value)
