"""A patch with its parts: outline with the finish of each edge, parts with the numbers of their cuts, seams, dimensions, pile."""

import math
from collections.abc import Mapping, Sequence

from remnants.geometry.outline import Point, bounds
from remnants.materials.cuts import Cut
from remnants.model import Finish, Patch, PatchPlan, Piece, RepairRoom, Seam, Style
from remnants.model.patch_attributes import PATCH_MORE
from remnants.report.attribute_words import told_lines
from remnants.report.board import SMALL_MM, Board, Heading, Paper
from remnants.report.drawing import Anchor, Area, Drawing, Fill, Pen, Words
from remnants.report.layout import Tag, board_for, dimension, surround, tag_all
from remnants.report.lettering import width_mm
from remnants.report.marks import across, edge, part_arrow, seam, upright_deg
from remnants.report.room_view import WORD_OFF_MM, draw_room, name_room, room_signs
from remnants.report.swatch import tint_of
from remnants.report.wording import (
    SEAMS,
    SHOWS,
    VERDICTS,
    bearing_text,
    extent_text,
    piece_line,
    scale_text,
    sentence,
    stopped,
    turn_text,
)
from remnants.units import Unit, write_length

__all__ = ["asked_drawing", "finishes_text", "patch_drawing", "patch_scale"]

DIMENSIONS_OFF_MM = 5.5
SIGNS = {
    Finish.SEAM: "seam: a line with stitches",
    Finish.WALL: "wall: doubled heavy",
    Finish.TRANSITION: "transition: heavy and broken",
    Finish.FREE: "free: thin",
}


def patch_drawing(
    patch: Patch,
    answer: PatchPlan,
    *,
    cuts: Sequence[Cut],
    pieces: Mapping[str, Piece],
    style: Style | None,
    unit: Unit,
    paper: Paper,
    room: RepairRoom | None = None,
) -> Drawing:
    """The lay diagram of one patch in room axes, seen from above, its room lightly behind it. Lengths are shown in `unit`."""
    size, board = _size(patch), _board(patch, unit, paper)
    frame = board.frame
    board.add(Area((frame.ring(patch.ring),), Fill.PAPER, None))
    laid = [cut for cut in cuts if cut.piece in pieces]
    board.add(*(Area((frame.ring(cut.part.net),), Fill.CARPET, None, tint=tint_of(pieces[cut.piece])) for cut in laid))
    if room is not None:
        draw_room(board, room)
    for cut in cuts:
        board.add(Area((frame.ring(cut.part.net),), Fill.NONE, Pen.HAIR))
    for joint in answer.seams:
        board.add(*seam(frame.at(joint.line[0]), frame.at(joint.line[1])))
    _draw_edges(board, patch)
    rings = [patch.ring, *(cut.part.net for cut in cuts)]
    dimension(board, rings, ("left", "bottom"), unit=unit, off_mm=DIMENSIONS_OFF_MM)
    tag_all(board, [Tag(str(cut.number), frame.ring(cut.part.net), (cut.piece, extent_text(cut.part.net, unit))) for cut in cuts])
    _name_seams(board, answer.seams, unit)
    for cut in cuts:
        if cut.piece in pieces:
            part_arrow(board, frame.ring(cut.part.net), pieces[cut.piece].pile_deg + cut.part.turn_deg)
    if room is not None:
        name_room(board, room)
    has_rows = style is not None and style.row_mm is not None
    surround(board, (write_length(size[0], unit), write_length(size[1], unit)), patch.pile_deg, rows=has_rows, off_mm=9.0)
    under = (
        f"{extent_text(patch.ring, unit)}, pile {bearing_text(patch.pile_deg)}, {scale_text(frame.scale, unit)}",
        f"Edges: {finishes_text(patch, unit)}",
        *((sentence(answer.reason),) if answer.reason else ()),
    )
    key = [
        *(f"{called}\t{words}" for called, words in told_lines(PATCH_MORE, patch, unit)),
        *(_part_key(cut, pieces, unit) for cut in sorted(cuts, key=lambda cut: cut.number)),
        *(_seam_key(joint, cuts, unit) for joint in answer.seams),
        " ".join(filter(None, (_signs(patch), room_signs(board, room) if room is not None else ""))),
    ]
    title = f"{patch.name}: {VERDICTS[answer.verdict].lower()}"
    told = " ".join(stopped(line.replace("\t", ": ")) for line in (f"Patch {title}", *under, *key[:-1]))
    return board.finish(f"patch {patch.name}", Heading(title, under, told), key=key, paper=paper)


def asked_drawing(patch: Patch, *, unit: Unit, paper: Paper) -> Drawing:
    """A patch as it was asked for, in room axes: sizes, the finish of each edge, the way its pile lays. Lengths in `unit`."""
    size, board = _size(patch), _board(patch, unit, paper)
    board.add(Area((board.frame.ring(patch.ring),), Fill.PAPER, None))
    _draw_edges(board, patch)
    dimension(board, [patch.ring], ("left", "bottom"), unit=unit, off_mm=DIMENSIONS_OFF_MM)
    surround(board, (write_length(size[0], unit), write_length(size[1], unit)), patch.pile_deg, rows=False, off_mm=9.0)
    under = (f"{extent_text(patch.ring, unit)}, pile {bearing_text(patch.pile_deg)}", f"Edges: {finishes_text(patch, unit)}")
    title = f"{patch.name}: as it was understood"
    told = " ".join(stopped(line) for line in (f"Patch {title}", *under))
    return board.finish(f"patch {patch.name}", Heading(title, under, told), key=[_signs(patch)], paper=paper)


def patch_scale(patch: Patch, *, unit: Unit, paper: Paper) -> float:
    """At which scale `patch_drawing` draws a patch on this paper: how many mm of carpet are one of paper."""
    return _board(patch, unit, paper).frame.scale


def finishes_text(patch: Patch, unit: Unit) -> str:
    """Finishes of a patch's edges with the length of each in all: `seam 9' 4", wall 3' 2"`."""
    lengths: dict[Finish, float] = {}
    for start, end, finish in _edges(patch):
        lengths[finish] = lengths.get(finish, 0.0) + math.dist(start, end)
    return ", ".join(f"{finish} {write_length(length, unit)}" for finish, length in lengths.items())


def _size(patch: Patch) -> tuple[float, float]:
    left, bottom, right, top = bounds(patch.ring)
    return right - left, top - bottom


def _board(patch: Patch, unit: Unit, paper: Paper) -> Board:
    longest = write_length(_size(patch)[1], unit)
    return board_for(bounds(patch.ring), longest, unit=unit, paper=paper, off_mm=DIMENSIONS_OFF_MM, zero="bottom")


def _edges(patch: Patch) -> list[tuple[Point, Point, Finish]]:
    return list(zip(patch.ring, (*patch.ring[1:], patch.ring[0]), patch.edges, strict=True))


def _draw_edges(board: Board, patch: Patch) -> None:
    for start, end, finish in _edges(patch):
        a, b = board.frame.at(start), board.frame.at(end)
        outward = across(a, b)
        board.add(*edge(a, b, finish, outward))
        lean = upright_deg(a, b)
        off = 0.0 if lean in (0.0, 90.0) else 1.0
        if math.dist(a, b) >= width_mm(finish, SMALL_MM) + 4:
            places = (_along(a, b, share, outward, WORD_OFF_MM + off) for share in (0.5, 0.3, 0.7))
            board.write_first(Words(finish, at, SMALL_MM, Anchor.MIDDLE, lean_deg=lean, halo=True) for at in places)


def _name_seams(board: Board, seams: Sequence[Seam], unit: Unit) -> None:
    """Name each seam along it where there is room; the key names it in any case."""
    for joint in seams:
        a, b = board.frame.at(joint.line[0]), board.frame.at(joint.line[1])
        side, lean = across(a, b), upright_deg(a, b)
        for text in (f"{SEAMS[joint.kind]} {write_length(joint.length_mm, unit)}", SEAMS[joint.kind]):
            if math.dist(a, b) < width_mm(text, SMALL_MM) + 2:
                continue
            choices = ((share, reach) for share in (0.5, 0.25, 0.75) for reach in (WORD_OFF_MM, -WORD_OFF_MM))
            words = (
                Words(text, _along(a, b, share, side, reach), SMALL_MM, Anchor.MIDDLE, lean_deg=lean, halo=True)
                for share, reach in choices
            )
            if board.write_first(words):
                break


def _along(a: Point, b: Point, share: float, side: Point, reach: float) -> Point:
    return a[0] + (b[0] - a[0]) * share + side[0] * reach, a[1] + (b[1] - a[1]) * share + side[1] * reach


def _part_key(cut: Cut, pieces: Mapping[str, Piece], unit: Unit) -> str:
    piece = pieces.get(cut.piece)
    about = f" ({piece_line(piece)})" if piece else ""
    return f"{cut.number}\tfrom {cut.piece}{about}, net {extent_text(cut.part.net, unit)}, laid {turn_text(cut.part.turn_deg)}"


def _seam_key(joint: Seam, cuts: Sequence[Cut], unit: Unit) -> str:
    numbers = {cut.part_index: cut.number for cut in cuts}
    between = " and ".join(str(number) for number in sorted(numbers[index] for index in joint.parts if index in numbers))
    said = sentence(joint.sentence or f"it {SHOWS[joint.show]}")
    return f"seam\tbetween {between}: {SEAMS[joint.kind]}, {write_length(joint.length_mm, unit)}. {said}"


def _signs(patch: Patch) -> str:
    shown = [text for finish, text in SIGNS.items() if finish in patch.edges]
    return f"Edges drawn: {'; '.join(shown)}. Seen from above; sizes are net, without allowance."
