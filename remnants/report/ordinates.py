"""Running dimensions: every figure measured from one edge, so that errors don't add up along the tape. Paper millimetres.

Figures that would run into one another are spread apart and tied to their place by an elbow.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.report.board import SMALL_MM, Board
from remnants.report.drawing import Anchor, Dash, Lines, Pen, Words

__all__ = ["Mark", "from_bottom", "from_left", "spread"]

GAP_MM = SMALL_MM * 1.4
STUB_MM = 2.0
ELBOW_MM = 6.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A figure at `at` along the paper; `reach` is how far into the drawing its line runs."""

    at: float
    text: str
    reach: float


def from_left(board: Board, marks: Sequence[Mark], start_mm: float = 0.0) -> None:
    """Figures under the drawing for distances from its left side; words stand upright, `start_mm` below the carpet."""
    low = -start_mm
    for mark, at in zip(marks, _spread(board, marks), strict=True):
        _into(board, (mark.at, low), (mark.at, mark.reach))
        board.lines([((mark.at, low), (mark.at, low - STUB_MM), (at, low - ELBOW_MM), (at, low - ELBOW_MM - 1.0))])
        board.write(Words(mark.text, (at, low - ELBOW_MM - 2.0), SMALL_MM, Anchor.END, lean_deg=90.0))


def from_bottom(board: Board, marks: Sequence[Mark], start_mm: float = 0.0) -> None:
    """Figures left of the drawing for distances from its bottom side, `start_mm` off the carpet."""
    left = -start_mm
    for mark, at in zip(marks, _spread(board, marks), strict=True):
        _into(board, (left, mark.at), (mark.reach, mark.at))
        board.lines([((left, mark.at), (left - STUB_MM, mark.at), (left - ELBOW_MM, at), (left - ELBOW_MM - 1.0, at))])
        board.write(Words(mark.text, (left - ELBOW_MM - 2.0, at), SMALL_MM, Anchor.END))


def _into(board: Board, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A faint line over the carpet to the corner that is measured."""
    if start != end:
        board.add(Lines(((start, end),), Pen.THIN, Dash.DOTTED))


def _spread(board: Board, marks: Sequence[Mark]) -> tuple[float, ...]:
    """On a slim board none goes below the first, whose corner is the pile arrow's."""
    return spread([mark.at for mark in marks], GAP_MM, least=marks[0].at if board.slim else -math.inf)


def spread(places: Sequence[float], gap: float, *, least: float = -math.inf) -> tuple[float, ...]:
    """The places, in rising order, moved as little as need be so each stands at least `gap` from the next, none under `least`."""
    groups: list[list[float]] = []
    for place in places:
        groups.append([place])
        while len(groups) > 1 and _end(groups[-2], gap, least) + gap > _start(groups[-1], gap, least):
            last = groups.pop()
            groups[-1] += last
    return tuple(_start(group, gap, least) + index * gap for group in groups for index in range(len(group)))


def _start(group: Sequence[float], gap: float, least: float) -> float:
    return max(least, sum(group) / len(group) - (len(group) - 1) * gap / 2)


def _end(group: Sequence[float], gap: float, least: float) -> float:
    return _start(group, gap, least) + (len(group) - 1) * gap
