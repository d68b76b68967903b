"""The report's tables on a page: the same rows that a terminal shows."""

from dataclasses import dataclass

from rich.table import Table
from rich.text import Text

__all__ = ["PageTable", "page_tables"]


@dataclass(frozen=True)
class PageTable:
    """A table's headings and rows as texts, or a line between tables."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    line: str = ""


def page_tables(shown: tuple[Table | Text, ...]) -> tuple[PageTable, ...]:
    """What the terminal would show, for a template to lay out; empty lines are left out."""
    made = (PageTable((), (), part.plain) if isinstance(part, Text) else _table(part) for part in shown)
    return tuple(part for part in made if part.rows or part.line.strip())


def _table(table: Table) -> PageTable:
    columns = [[_plain(cell) for cell in column.cells] for column in table.columns]
    headings = tuple(_plain(column.header) for column in table.columns) if table.show_header else ()
    return PageTable(headings, tuple(zip(*columns, strict=True)))


def _plain(cell: object) -> str:
    return cell.plain if isinstance(cell, Text) else str(cell)
