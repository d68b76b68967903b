"""A donor with its cuts: outline, cutouts, cuts with their allowances, running dimensions from edges A and B, what is left."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from remnants.geometry.knife import Stroke
from remnants.geometry.outline import Ring, bounds, rectangle
from remnants.geometry.rounds import circle_of
from remnants.materials.cuts import Cut
from remnants.model import Asking, Leftover, Piece, Style
from remnants.report.board import Board, Heading, Paper
from remnants.report.drawing import Area, Dash, Drawing, Fill, Lines, Pen
from remnants.report.knife_view import draw_strokes, freed_first, is_traced, stroke_keys, strokes_on
from remnants.report.layout import Tag, board_for, dimension, surround, tag_all
from remnants.report.marks import edge_words, part_arrow, side_sign
from remnants.report.motif_view import draw_motif, motif_key
from remnants.report.scan import hatching
from remnants.report.swatch import tint_of
from remnants.report.wording import (
    bearing_text,
    extent_text,
    piece_line,
    scale_text,
    size_text,
    stopped,
    turn_text,
    where_text,
)
from remnants.units import Unit, write_length

__all__ = ["diagonals_text", "donor_drawing", "donor_scale"]

ALLOWANCE_HATCH = (2.2, 45.0)
CUTOUT_HATCH = (1.4, 45.0, -45.0)
CENTRE_MM = 2.0


def donor_drawing(
    piece: Piece,
    style: Style | None,
    *,
    cuts: Sequence[Cut],
    leftovers: Sequence[Leftover],
    unit: Unit,
    paper: Paper,
    asking: Sequence[Asking] = (),
    back: bool = False,
) -> Drawing:
    """The cut diagram of one donor, in its own axes, seen from the pile side, or mirrored from the `back`. Lengths in `unit`.

    `asking` tells for which pieces somebody must be asked first.
    """
    size, board = _size(piece), _board(piece, unit, paper)
    board.frame = replace(board.frame, mirrored=back)
    usable = [left for left in leftovers if left.usable]
    _draw_carpet(board, piece)
    patterned = draw_motif(board, piece, style)
    for cut in cuts:
        _draw_cut(board, cut)
    for left in usable:
        board.add(Area((board.frame.ring(_rectangle_of(left)),), Fill.NONE, Pen.PLAIN, Dash.DASHED))
    made = strokes_on(piece, cuts, leftovers)
    dimension(board, [cut.part.cut for cut in cuts], ("A", "B"), unit=unit)
    left_out = tag_all(board, [*(_cut_tag(board, cut, unit) for cut in cuts), *_leftover_tags(board, usable, unit)])
    left_out += draw_strokes(board, made, cuts)
    _mark_parts(board, piece, cuts, usable)
    has_rows = style is not None and style.row_mm is not None
    bearing = board.frame.bearing(piece.pile_deg)
    surround(board, (write_length(size[0], unit), write_length(size[1], unit)), bearing, rows=has_rows)
    side_sign(board, back=back)
    under = (
        ", ".join(text for text in (where_text(piece, asking), f"wear {piece.worn} of 4") if text),
        f"{extent_text(piece.outline.ring, unit)}, pile {bearing_text(bearing)}, {scale_text(board.frame.scale, unit)}",
    )
    key = [
        *stroke_keys(made, piece, cuts, unit),
        *(_cut_key(cut, piece, unit) for cut in freed_first(made, cuts)),
        *_leftover_keys(usable, unit),
        *motif_key(piece, style, unit, drawn=patterned),
        *_unnumbered(left_out),
        _signs(piece, usable, made, back=back),
    ]
    title = f"{piece.tag}: {piece_line(piece)}"
    told = " ".join(stopped(line.replace("\t", ": ")) for line in (f"Piece {title}", *under, *key[:-1]))
    return board.finish(f"piece {piece.tag}", Heading(title, under, told), key=key, paper=paper)


def donor_scale(piece: Piece, *, unit: Unit, paper: Paper) -> float:
    """At which scale `donor_drawing` draws a piece on this paper: how many mm of carpet are one of paper."""
    return _board(piece, unit, paper).frame.scale


def diagonals_text(ring: Ring, unit: Unit) -> str:
    """The check measure of a four-cornered cut: its diagonals."""
    if len(ring) != 4:
        return ""
    first, second = math.dist(ring[0], ring[2]), math.dist(ring[1], ring[3])
    if write_length(first, unit) == write_length(second, unit):
        return f"both diagonals {write_length(first, unit)}"
    return f"diagonals {write_length(first, unit)} and {write_length(second, unit)}"


def _size(piece: Piece) -> tuple[float, float]:
    left, bottom, right, top = piece.outline.bounds
    return right - left, top - bottom


def _board(piece: Piece, unit: Unit, paper: Paper) -> Board:
    return board_for(piece.outline.bounds, write_length(_size(piece)[1], unit), unit=unit, paper=paper)


def _draw_carpet(board: Board, piece: Piece) -> None:
    frame = board.frame
    board.add(Area((frame.ring(piece.outline.ring),), Fill.CARPET, Pen.THICK, tint=tint_of(piece)))
    for cutout in piece.outline.cutouts:
        ring = frame.ring(cutout)
        board.add(Area((ring,), Fill.PAPER, None))
        spacing, *angles = CUTOUT_HATCH
        for angle in angles:
            board.lines(hatching([ring], spacing, angle), Pen.HAIR)
        board.add(Area((ring,), Fill.NONE, Pen.PLAIN))
    at_a, at_b = frame.at(frame.origin)[0], frame.width_mm - frame.at(frame.origin)[0]
    datum = ((at_a, frame.height_mm), (at_a, 0.0), (at_b, 0.0))
    board.add(Lines((datum,), Pen.HAIR, Dash.CHAIN))


def _draw_cut(board: Board, cut: Cut) -> None:
    outer, net = board.frame.ring(cut.part.cut), board.frame.ring(cut.net_on_piece)
    board.lines(hatching([outer, net], *ALLOWANCE_HATCH), Pen.HAIR)
    board.add(Area((outer,), Fill.NONE, Pen.PLAIN), Area((net,), Fill.NONE, Pen.THIN))
    circle = circle_of(cut.part.cut)
    if circle is not None:
        x, y = board.frame.at(circle.centre)
        board.lines([((x - CENTRE_MM, y), (x + CENTRE_MM, y)), ((x, y - CENTRE_MM), (x, y + CENTRE_MM))], Pen.PLAIN)
        board.keep((x - CENTRE_MM, y - CENTRE_MM, x + CENTRE_MM, y + CENTRE_MM))


def _mark_parts(board: Board, piece: Piece, cuts: Sequence[Cut], usable: Sequence[Leftover]) -> None:
    """In each part the way its pile lays and what its edges meet; the arrow in what is left over too."""
    for cut in cuts:
        net = board.frame.ring(cut.net_on_piece)
        part_arrow(board, net, board.frame.bearing(piece.pile_deg))
        if cut.part.finishes:
            edge_words(board, net, cut.part.finishes)
    for left in usable:
        part_arrow(board, board.frame.ring(_rectangle_of(left)), board.frame.bearing(piece.pile_deg))


def _cut_tag(board: Board, cut: Cut, unit: Unit) -> Tag:
    left, bottom, right, top = bounds(cut.part.cut)
    return Tag(str(cut.number), board.frame.ring(cut.net_on_piece), (cut.patch, size_text((right - left, top - bottom), unit)))


def _leftover_tags(board: Board, usable: Sequence[Leftover], unit: Unit) -> list[Tag]:
    return [
        Tag(letter, board.frame.ring(_rectangle_of(left)), ("left over", size_text(left.largest, unit)), square=True)
        for letter, left in zip(_letters(len(usable)), usable, strict=True)
    ]


def _letters(count: int) -> list[str]:
    return [chr(ord("a") + index % 26) * (1 + index // 26) for index in range(count)]


def _rectangle_of(left: Leftover) -> Ring:
    """The largest rectangle's corners, its sides along the donor's axes."""
    return rectangle(*left.largest, left.largest_at).ring


def _cut_key(cut: Cut, piece: Piece, unit: Unit) -> str:
    x, y = cut.place_on(piece)
    texts = [
        f"{cut.patch}, cut {extent_text(cut.part.cut, unit)}",
        f"{_from(x, 'A', unit)}, {_from(y, 'B', unit)}",
        diagonals_text(cut.part.cut, unit),
        *_round_texts(cut, piece, unit),
        f"lay it {turn_text(cut.part.turn_deg)}",
    ]
    return f"{cut.number}\t" + "; ".join(text for text in texts if text)


def _round_texts(cut: Cut, piece: Piece, unit: Unit) -> Iterator[str]:
    """How a shape is marked that no figures tell: a circle by string from its centre, any other by its template."""
    if not is_traced(cut):
        return
    circle, net = circle_of(cut.part.cut), circle_of(cut.net_on_piece)
    if circle is None:
        yield "trace its shape from the paper template"
        return
    left, bottom, _, _ = piece.outline.bounds
    x, y = circle.centre[0] - left, circle.centre[1] - bottom
    yield f"round: its centre {_from(x, 'A', unit)}, {_from(y, 'B', unit)}; string of {write_length(circle.radius_mm, unit)}"
    if net is not None:
        yield f"net radius {write_length(net.radius_mm, unit)}"


def _from(distance_mm: float, name: str, unit: Unit) -> str:
    return f"{write_length(distance_mm, unit)} from {name}" if distance_mm else f"on {name}"


def _leftover_keys(usable: Sequence[Leftover], unit: Unit) -> list[str]:
    return [
        f"{letter}\tleft over, worth keeping; its largest rectangle (dashed) is {size_text(left.largest, unit)}"
        for letter, left in zip(_letters(len(usable)), usable, strict=True)
    ]


def _signs(piece: Piece, usable: Sequence[Leftover], made: Sequence[Stroke], *, back: bool) -> str:
    crossed = "Cross-hatched: do not use. " if piece.outline.cutouts else ""
    dashed = "Dashed: left over. " if usable else ""
    knife = "K: the knife's strokes, in their order. " if made else ""
    knife += "A bar across one: stop there. " if any(not stroke.through for stroke in made) else ""
    seen = (
        "Seen from the BACK, mirrored; A is the right edge here, B the bottom edge."
        if back
        else "Seen from the pile side; A is the left edge, B the bottom edge."
    )
    return f"{knife}Hatched: allowance. {crossed}{dashed}{seen}"


def _unnumbered(left_out: Sequence[str]) -> list[str]:
    return [f"Too small to number at this scale, but drawn: {', '.join(left_out)}."] if left_out else []
