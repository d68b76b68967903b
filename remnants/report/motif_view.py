"""The pattern on a donor: lines along the pile and across it through the points at which it comes again."""

from collections.abc import Iterator

from remnants.geometry.lattice import Lattice
from remnants.geometry.outline import Point, bounds
from remnants.geometry.turn import turned_point, turned_ring
from remnants.model import Piece, Style
from remnants.report.board import Board
from remnants.report.drawing import Pen
from remnants.report.scan import in_ring
from remnants.units import Unit, write_length

__all__ = ["draw_motif", "motif_key"]

CROSS_MM = 1.6
MOST_POINTS = 400
"""A pattern that comes again more often is too fine to be drawn at the scale of a page; it is told in words."""


def draw_motif(board: Board, piece: Piece, style: Style | None) -> bool:
    """A cross at each point at which the pattern comes again, its arms along the pile and across it. False without a pattern."""
    points = list(_points(piece, style))
    if not points or len(points) > MOST_POINTS:
        return False
    arms = [turned_point(arm, piece.pile_deg) for arm in ((0.0, 1.0), (1.0, 0.0))]
    reach = CROSS_MM * board.frame.scale
    runs = [
        tuple(board.frame.at((x + dx * reach * way, y + dy * reach * way)) for way in (-1, 1))
        for x, y in points
        for dx, dy in arms
    ]
    board.lines(runs, Pen.THIN)
    return True


def motif_key(piece: Piece, style: Style | None, unit: Unit, *, drawn: bool) -> Iterator[str]:
    """The repeat, and where its reference point lies, from A and B; nothing for goods without a pattern."""
    if style is None or style.repeat is None or piece.motif is None:
        return
    repeat = style.repeat
    left, bottom, _, _ = piece.outline.bounds
    place = f"{write_length(piece.motif[0] - left, unit)} from A, {write_length(piece.motif[1] - bottom, unit)} from B"
    drop = f", each next one across {write_length(repeat.drop * repeat.along_mm, unit)} further along" if repeat.drop else ""
    told = f"repeat {write_length(repeat.across_mm, unit)} across the pile, {write_length(repeat.along_mm, unit)} along it{drop}"
    sign = "crosses: where the pattern comes again" if drawn else "too fine to be drawn"
    yield f"motif\t{place}; {told}; {sign}. Check one on the carpet before you cut"


def _points(piece: Piece, style: Style | None) -> Iterator[Point]:
    if style is None or style.repeat is None or piece.motif is None:
        return
    repeat = style.repeat
    lattice = Lattice(repeat.across_mm, repeat.along_mm, repeat.drop)
    laid = turned_ring(piece.outline.ring, -piece.pile_deg)
    left, bottom, right, top = bounds(laid)
    if (right - left) * (top - bottom) > MOST_POINTS * 2 * repeat.across_mm * repeat.along_mm:
        return
    for x, y in lattice.points_in((left, bottom, right, top), turned_point(piece.motif, -piece.pile_deg)).tolist():
        point = turned_point((x, y), piece.pile_deg)
        if in_ring(point, piece.outline.ring):
            yield point
