"""Cells of a spreadsheet saved as text (CSV): written so that no spreadsheet runs one as a formula, and read back as they were.

A text that begins like a formula gets an apostrophe in front (OWASP, CSV injection), and so does one that begins with
apostrophes before such a sign: so the reader can take one off and is sure to have the text that was written.
"""

import csv
import re
from collections.abc import Iterable, Iterator

__all__ = ["Figure", "cells_lines", "cells_text", "guarded", "unguarded"]

_SIGNS = "=+\\-@\t\r\n＝＋－＠"
_LIKE_A_FORMULA = re.compile(f"'*[{_SIGNS}]")
_GUARDED = re.compile(f"'+[{_SIGNS}]")


class Figure(str):
    """A figure, which a spreadsheet may reckon with: it is written as it stands, its minus too."""

    __slots__ = ()


def guarded(text: str) -> str:
    """The text as a cell that no spreadsheet takes for a formula. `unguarded` gives the text back."""
    return f"'{text}" if _LIKE_A_FORMULA.match(text) else text


def unguarded(cell: str) -> str:
    """The text that stands in a cell: without the apostrophe that `guarded` put in front."""
    return cell[1:] if _GUARDED.match(cell) else cell


def cells_text(rows: Iterable[Iterable[str | int]], *, line_end: str = "\r\n") -> str:
    """The rows as CSV. Every text is guarded; a Figure and an int are written as they are."""
    return "".join(cells_lines(rows, line_end=line_end))


def cells_lines(rows: Iterable[Iterable[str | int]], *, line_end: str = "\r\n") -> Iterator[str]:
    """The same, a line at a time as the rows come."""
    lines = csv.writer(_Handed(), lineterminator=line_end)
    for row in rows:
        yield lines.writerow([cell if isinstance(cell, Figure | int) else guarded(cell) for cell in row])


class _Handed:
    """A file to the writer of lines, which hands each line on."""

    def write(self, line: str) -> str:
        """The line."""
        return line
