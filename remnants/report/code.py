"""A text as a QR code (ISO/IEC 18004), drawn in squares, those beside each other as one. Paper millimetres."""

from collections.abc import Iterator, Sequence
from itertools import groupby

import segno

from remnants.geometry.outline import rectangle
from remnants.report.drawing import Area, Fill

__all__ = ["RACK", "code_area", "code_modules"]

RACK = "rack:"
"""What stands before the name of a place in the code of a rack's label, so that an empty rack is not taken for a new tag."""


def code_area(text: str, side_mm: float, corner: tuple[float, float] = (0.0, 0.0)) -> Area:
    """The code in a square of `side_mm` with its lower left at `corner`; the quiet zone around is the caller's."""
    matrix = _matrix(text)
    side = side_mm / len(matrix)
    dark = [(x, y, count) for y, row in enumerate(matrix) for x, count in _runs(row)]
    rings = (
        rectangle(count * side, side, (corner[0] + x * side, corner[1] + side_mm - (y + 1) * side)).ring for x, y, count in dark
    )
    return Area(tuple(rings), Fill.INK, None)


def _runs(row: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Where dark squares of a row begin, and how many follow each other there."""
    x = 0
    for module, run in groupby(row, bool):
        count = len(list(run))
        if module:
            yield x, count
        x += count


def code_modules(text: str) -> int:
    """How many squares the code of a text has along its side."""
    return len(_matrix(text))


def _matrix(text: str) -> Sequence[Sequence[int]]:
    matrix: Sequence[Sequence[int]] = segno.make(text, error="m", micro=False).matrix
    return matrix
