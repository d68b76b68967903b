"""What donor and patch drawings have in common: their frame, running and overall dimensions, numbers inside or beside a shape."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from remnants.geometry.outline import Point, Ring, bounds
from remnants.report.board import SMALL_MM, Board, Paper, frame_of
from remnants.report.drawing import Box, Lines, Pen
from remnants.report.knife_view import MANY_CORNERS
from remnants.report.lettering import width_mm
from remnants.report.marks import DOT_MM, dot_box, numbered, overall, pile_arrow
from remnants.report.ordinates import GAP_MM, Mark, from_bottom, from_left, spread
from remnants.report.scan import box_in_ring, inner_point
from remnants.units import Unit, is_imperial, write_length

__all__ = ["MANY_CORNERS", "Tag", "board_for", "dimension", "surround", "tag_all"]

BESIDE_MM = 42.0
"""Room kept right of the carpet for beside-numbers, the overall length and the pile arrow."""

BESIDE_SLIM_MM = 8.0
"""The same where the arrow stands in the corner: room for the overall length alone."""

BESIDE_OVER_MM = 20.0
"""How much taller than the carpet the column of numbers beside it may be."""

SAME_MM = 0.5
"""Two figures this near are one on a tape measure."""


@dataclass(frozen=True, slots=True)
class Tag:
    """A number or letter for a shape drawn with `ring` (paper mm), and the lines to write in it where there is room."""

    text: str
    ring: Ring
    lines: tuple[str, ...]
    square: bool = False


def board_for(box: Box, longest_figure: str, *, unit: Unit, paper: Paper, off_mm: float = 0.0, zero: str = "B") -> Board:
    """A board on which the carpet `box` (mm) is drawn as large as a usual scale allows, with room for its dimensions.

    Slim paper has no room to spare: there `off_mm` tells how much farther out these stand, `zero` what their start is called.
    """
    left, beside = width_mm(longest_figure, SMALL_MM) + 12.0, BESIDE_MM
    if paper.slim:
        left = max(left, width_mm(zero, SMALL_MM) + 12.0) + off_mm
        beside = BESIDE_SLIM_MM + off_mm
    room = (paper.width_mm - 2 * paper.margin_mm - left - beside, paper.tallest_mm)
    return Board(frame_of(box, room, feet=is_imperial(unit), slim=paper.slim), slim=paper.slim)


def dimension(board: Board, rings: Iterable[Ring], zero: tuple[str, str], *, unit: Unit, off_mm: float = 0.0) -> None:
    """Running dimensions of the rings' corners (carpet mm) from the frame's left and bottom; `zero` names those two."""
    shown = tuple(_measured(ring) for ring in rings)
    for axis, write, room in ((0, from_left, board.frame.width_mm + 30), (1, from_bottom, board.frame.height_mm + 30)):
        corners = [point for ring in shown for point in ring]
        marks = _running(board, corners, axis, unit)
        if len(marks) * GAP_MM > room:
            marks = _running(board, [point for ring in shown for point in _box_corners(ring)], axis, unit)
        if len(marks) * GAP_MM <= room:
            start = Mark(board.frame.at(board.frame.origin)[axis], zero[axis], 0.0)
            write(board, sorted((start, *marks), key=lambda mark: mark.at), off_mm)


def tag_all(board: Board, tags: Sequence[Tag]) -> tuple[str, ...]:
    """Number every shape: inside where it has room, else small inside, else beside the carpet with a line to it.

    Gives the numbers for which there was no room at all.
    """
    outside: list[tuple[float, Tag, Point]] = []
    for tag in tags:
        at = _place_of(board, tag)
        box = dot_box(tag.text, at)
        if box_in_ring(box, tag.ring) and board.free(box):
            numbered(board, tag.text, at, square=tag.square)
            if tag.lines and not board.write_block(tag.lines, box, tag.ring):
                board.write_block(tag.lines[:1], box, tag.ring)
        elif not board.write_inside(tag.text, at, tag.ring):
            outside.append((at[1], tag, at))
    outside.sort(key=lambda item: item[0])
    most = max(1, int((board.frame.height_mm + BESIDE_OVER_MM) / (2 * DOT_MM + 1.5)))
    outside, left_out = outside[:most], outside[most:]
    x = board.frame.width_mm + 8.0
    places = spread([y for y, _, _ in outside], 2 * DOT_MM + 1.5)
    for (_, tag, at), y in zip(outside, places, strict=True):
        board.add(Lines(((at, (x - 3.0, y), (x, y)),), Pen.THIN))
        numbered(board, tag.text, (x, y), square=tag.square)
    return tuple(tag.text for _, tag, _ in left_out)


def _place_of(board: Board, tag: Tag) -> Point:
    """Where in its shape a number goes: well inside, else the free place nearest to it, else well inside all the same."""
    first = inner_point(tag.ring)
    left, bottom, right, top = bounds(tag.ring)
    shares = [index / NUMBER_PLACES for index in range(1, NUMBER_PLACES)]
    others = ((left + (right - left) * x, bottom + (top - bottom) * y) for x in shares for y in shares)
    for at in (first, *sorted(others, key=lambda at: math.dist(at, first))):
        box = dot_box(tag.text, at)
        if box_in_ring(box, tag.ring) and board.free(box):
            return at
    return first


NUMBER_PLACES = 8
"""A number's place in a shape is tried at so many shares of its width and of its height."""


def surround(board: Board, sizes: tuple[str, str], bearing_deg: float, *, rows: bool, off_mm: float = 5.0) -> None:
    """The overall dimensions above and to the right, and the pile arrow beyond, or on a slim board in the lower left corner."""
    width, height = board.frame.width_mm, board.frame.height_mm
    beside = max([width, *(box[2] for box in board.written if box[1] < height and box[3] > 0)])
    overall(board, (0.0, height + off_mm), (width, height + off_mm), sizes[0])
    x = beside + off_mm
    overall(board, (x, 0.0), (x, height), sizes[1])
    if board.slim:
        pile_arrow(board, (-12.5, -14.0 - off_mm), bearing_deg, rows=rows)
        return
    right = max([x, *(box[2] for box in board.written if box[1] < height + 2 and box[3] > height - 26)])
    pile_arrow(board, (right + 13.0, height - 9.0), bearing_deg, rows=rows)


def _running(board: Board, corners: Sequence[Point], axis: int, unit: Unit) -> tuple[Mark, ...]:
    origin = board.frame.origin
    marks: list[Mark] = []
    last = 0.0
    for value in sorted({round(point[axis] - origin[axis], 3) for point in corners}):
        if value - last <= SAME_MM:
            continue
        last = value
        drawn = [board.frame.at(point) for point in corners if abs(point[axis] - origin[axis] - value) <= SAME_MM]
        marks.append(Mark(drawn[0][axis], write_length(value, unit), min(point[1 - axis] for point in drawn)))
    return tuple(marks)


def _measured(ring: Ring) -> Ring:
    return ring if len(ring) <= MANY_CORNERS else _box_corners(ring)


def _box_corners(ring: Ring) -> Ring:
    left, bottom, right, top = bounds(ring)
    return (left, bottom), (right, bottom), (right, top), (left, top)
