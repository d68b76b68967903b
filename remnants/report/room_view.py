"""What lies round a patch in its room, drawn lightly behind it: walls, doorways, the lanes people walk, what furniture covers."""

import math
from collections.abc import Iterable, Iterator, Sequence

from remnants.geometry.outline import Point
from remnants.geometry.segments import Line, edges_of
from remnants.model import RepairRoom
from remnants.report.board import SMALL_MM, Board
from remnants.report.drawing import Anchor, Box, Dash, Lines, Pen, Words
from remnants.report.lettering import width_mm
from remnants.report.marks import across, upright_deg

__all__ = ["WORD_OFF_MM", "draw_room", "name_room", "room_signs"]

BEYOND_MM = 5.0
"""How far beyond the patch its room is drawn (paper mm): what lies further is no help in laying it."""

JAMB_MM = 2.2
WORD_OFF_MM = 3.6
SIGNS = {
    "doorway": "doorway: a stroke at either jamb",
    "people walk": "people walk: dots and dashes",
    "furniture": "under furniture: dotted",
}
"""What is named in the room, and how it is drawn."""


def draw_room(board: Board, room: RepairRoom) -> None:
    """The room as far as it lies on the patch or just beyond it."""
    walls = list(_clipped(board, edges_of(room.ring, closed=True)))
    lanes = [line for lane in room.lanes for line in _clipped(board, edges_of(lane, closed=False))]
    hidden = [line for ring in room.hidden for line in _clipped(board, edges_of(ring, closed=True))]
    for lines, dash in ((walls, Dash.SOLID), (lanes, Dash.CHAIN), (hidden, Dash.DOTTED)):
        if lines:
            board.add(Lines(tuple(lines), Pen.THIN if lines is lanes else Pen.HAIR, dash))
    doors = ((board.frame.at(a), board.frame.at(b)) for a, b in _openings(room))
    board.lines([jamb for door in doors for jamb in _jambs(board, door)], Pen.PLAIN)


def name_room(board: Board, room: RepairRoom) -> None:
    """Names what is drawn of the room, where there is room for the words."""
    for word, lines in _drawn(board, room):
        for line in lines:
            a, b = line
            off = -WORD_OFF_MM if word == "furniture" else WORD_OFF_MM  # the first is inside a ring
            if math.dist(a, b) >= width_mm(word, SMALL_MM) + 2 and board.write_first(_along(word, a, b, off)):
                break


def room_signs(board: Board, room: RepairRoom) -> str:
    """How what is drawn of the room is drawn; "" where none of it is near."""
    shown = [SIGNS[word] for word, lines in _drawn(board, room) if lines]
    return f"Of the room: {'; '.join(shown)}." if shown else ""


def _drawn(board: Board, room: RepairRoom) -> Iterator[tuple[str, list[Line]]]:
    yield "doorway", list(_doorways(board, room))
    yield "people walk", [line for lane in room.lanes for line in _clipped(board, edges_of(lane, closed=False))]
    yield "furniture", [line for ring in room.hidden for line in _clipped(board, edges_of(ring, closed=True))]


def _doorways(board: Board, room: RepairRoom) -> Iterator[Line]:
    return _clipped(board, _openings(room))


def _openings(room: RepairRoom) -> Iterator[Line]:
    return (room.line_of(door) for door in room.doorways if not door.shut)


def _jambs(board: Board, door: Line) -> Iterator[Line]:
    """A short stroke across the wall at either end that is near."""
    x, y = across(*door)
    for at in door:
        if _inside(_window(board), at, (at[0] + x, at[1] + y)) is not None:
            yield (at[0] - x * JAMB_MM, at[1] - y * JAMB_MM), (at[0] + x * JAMB_MM, at[1] + y * JAMB_MM)


def _along(word: str, a: Point, b: Point, off_mm: float) -> Iterator[Words]:
    """The words along a line, at three places, on the side told first."""
    side, lean = across(a, b), upright_deg(a, b)
    for share in (0.5, 0.25, 0.75):
        for reach in (off_mm, -off_mm):
            at = (a[0] + (b[0] - a[0]) * share + side[0] * reach, a[1] + (b[1] - a[1]) * share + side[1] * reach)
            yield Words(word, at, SMALL_MM, Anchor.MIDDLE, lean_deg=lean, halo=True)


def _clipped(board: Board, lines: Iterable[Line]) -> Iterator[Line]:
    """The lines (room mm) as drawn, as far as they lie on the patch or just beyond it."""
    drawn = (_inside(_window(board), board.frame.at(start), board.frame.at(end)) for start, end in lines)
    return (line for line in drawn if line is not None)


def _window(board: Board) -> Box:
    return -BEYOND_MM, -BEYOND_MM, board.frame.width_mm + BEYOND_MM, board.frame.height_mm + BEYOND_MM


def _inside(window: Box, start: Point, end: Point) -> Line | None:
    """The part of a line inside a window (Liang and Barsky's clipping); None where there is none."""
    low, high = 0.0, 1.0
    steps: Sequence[tuple[float, float]] = (
        (start[0] - end[0], start[0] - window[0]),
        (end[0] - start[0], window[2] - start[0]),
        (start[1] - end[1], start[1] - window[1]),
        (end[1] - start[1], window[3] - start[1]),
    )
    for towards, room in steps:
        if towards == 0:
            if room < 0:
                return None
        elif towards < 0:
            low = max(low, room / towards)
        else:
            high = min(high, room / towards)
    if low >= high:
        return None
    part = [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])) for share in (low, high)]
    return part[0], part[1]
