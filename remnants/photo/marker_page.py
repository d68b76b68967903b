"""The marker page: its board, as the library itself lays it out, and what of it is black.

A ChArUco board of 4 x 5 squares. Each page has a number from 1; its ten markers carry the numbers of that page alone, so that two
pages in one picture are told apart. Axes of the page: x to the right, y up, from the middle of the board, in mm as drawn.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from remnants.late import Late

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = [
    "BAR_MM",
    "BOARD_MM",
    "COLUMNS",
    "CORNERS",
    "MARKERS",
    "PAGES",
    "ROWS",
    "Ring",
    "black_of_page",
    "board_of",
    "corners_mm",
    "page_of_marker",
]

COLUMNS, ROWS = 4, 5
SQUARE_MM, MARKER_MM = 46.0, 37.0
"""Found in 42 of 42 pictures below 38 degrees and to 2.3 m, where 5 x 7 squares with markers of 26 mm were missed in 5 of 41."""

BOARD_MM = (COLUMNS * SQUARE_MM, ROWS * SQUARE_MM)
"""Across and up: it fits A4 and Letter alike."""

CORNERS = (COLUMNS - 1) * (ROWS - 1)
MARKERS = COLUMNS * ROWS // 2
PAGES = range(1, 100)
"""Numbers of pages that are told apart: the thousand markers of the dictionary, ten to a page. Those below ten are on boards that
others print, of other sizes, and so on none of ours."""

BAR_MM = 150.0
"""The check bar, as drawn."""

_CELLS = 7
"""Cells across a marker: five of its code, and one of black border at each side."""

Ring = tuple[tuple[float, float], ...]
"""Corners of a black area (mm, axes of the page)."""


def board_of(number: int) -> cv2.aruco.CharucoBoard:
    """The library's board of the page with this number, in its own axes: mm from the upper left corner, y down."""
    ids = np.arange(MARKERS, dtype=np.int32) + MARKERS * number
    return cv2.aruco.CharucoBoard((COLUMNS, ROWS), SQUARE_MM, MARKER_MM, _dictionary(), ids)


@cache
def corners_mm() -> NDArray[np.float64]:
    """The inner corners of every page in the order of their numbers: rows of (x, y), not to be written to."""
    theirs = np.asarray(board_of(0).getChessboardCorners(), dtype=np.float64)[:, :2]
    found = _ours(theirs)
    found.setflags(write=False)
    return found


def page_of_marker(marker: int) -> int:
    """The number of the page that a marker belongs to."""
    return marker // MARKERS


def black_of_page(number: int) -> tuple[Ring, ...]:
    """What is black on the page: the squares that hold no marker, and the dark cells of the markers, run by run."""
    board = board_of(number)
    held = np.asarray(board.getObjPoints(), dtype=np.float64)[:, :, :2]
    places = {(int(x // SQUARE_MM), int(y // SQUARE_MM)) for x, y in held.mean(axis=1)}
    black = [
        _rectangle((column * SQUARE_MM, row * SQUARE_MM), (SQUARE_MM, SQUARE_MM))
        for row in range(ROWS)
        for column in range(COLUMNS)
        if (column, row) not in places
    ]
    cell = MARKER_MM / _CELLS
    for marker, ring in zip(np.ravel(board.getIds()), held, strict=True):
        cells = np.asarray(cv2.aruco.generateImageMarker(_dictionary(), int(marker), _CELLS)) == 0
        for row, column, many in _runs(cells):
            black.append(_rectangle((ring[0][0] + column * cell, ring[0][1] + row * cell), (many * cell, cell)))
    return tuple(black)


def _dictionary() -> cv2.aruco.Dictionary:
    return cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_1000)


def _runs(cells: NDArray[np.bool_]) -> list[tuple[int, int, int]]:
    """Row, first column and length of each run of dark cells."""
    found = []
    for row, line in enumerate(cells):
        column = 0
        while column < len(line):
            many = 0
            while column + many < len(line) and line[column + many]:
                many += 1
            if many:
                found.append((row, column, many))
            column += max(many, 1)
    return found


def _rectangle(corner: tuple[float, float], size: tuple[float, float]) -> Ring:
    (x, y), (width, height) = corner, size
    theirs = np.asarray([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], dtype=np.float64)
    return tuple((float(one), float(other)) for one, other in _ours(theirs))


def _ours(theirs: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points of the library's axes in those of the page."""
    return np.column_stack((theirs[:, 0] - BOARD_MM[0] / 2, BOARD_MM[1] / 2 - theirs[:, 1]))
