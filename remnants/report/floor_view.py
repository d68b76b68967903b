"""A room as it is seen from above: what is damaged in it, and where the patch ends that is proposed for it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from remnants.geometry.outline import Ring, bounds
from remnants.geometry.tolerances import WHOLE
from remnants.materials.cuts import cuts_of, patch_cuts
from remnants.model import Job, Piece, Plan, RepairRoom, Style
from remnants.report.board import SMALL_MM, Board, Heading, Paper, frame_of
from remnants.report.donor_view import CUTOUT_HATCH
from remnants.report.drawing import Anchor, Area, Drawing, Fill, Pen, Words
from remnants.report.layout import Tag, dimension, tag_all
from remnants.report.lettering import width_mm
from remnants.report.marks import across, edge, overall, pile_arrow, pointed, seam
from remnants.report.patch_view import SIGNS
from remnants.report.room_view import draw_room, name_room, room_signs
from remnants.report.scan import hatching
from remnants.report.wording import bearing_text, extent_text, piece_line, scale_text, stopped
from remnants.units import Unit, is_imperial, write_length

__all__ = ["Filled", "floor_drawing"]

LIGHT_MM = 8.0
"""Length of the arrow by which light comes in."""

OFF_MM = 2.5
"""How far off the walls running figures begin."""

FIGURES_MM = 11.0
"""Room that a running figure takes beside its text."""

BESIDE_MM = 8.0
"""Room kept right of the floor for its overall length."""

ARROW_AT_MM = (-11.5, -14.5)
"""Where the pile arrow stands, below and left of the floor: there no figure is."""


@dataclass(frozen=True)
class Filled:
    """Patches with what fills them: a plan for a job, and the donors and styles that it was made with."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outlines of the patches (room mm)."""
        return tuple(patch.ring for patch in self.job.patches)

    @property
    def in_rows(self) -> bool:
        """Whether a donor's tufts stand in rows that a cut must follow."""
        donors = {part.piece for patch in self.plan.patches for part in patch.parts}
        named = {self.pieces[tag].style for tag in donors if tag in self.pieces}
        return any(style.row_mm is not None for name, style in self.styles.items() if name in named)


def floor_drawing(
    damage: Sequence[Ring],
    *,
    room: RepairRoom | None,
    pile_deg: float,
    unit: Unit,
    paper: Paper,
    filled: Filled | None = None,
) -> Drawing:
    """The room (mm, its own axes) with the damage hatched and the patches that fill it, or the damage alone.

    Figures run from the room's left and lower walls, or from the damage's where the room isn't known, in `unit`.
    """
    rings = (*damage, *(filled.rings if filled else ()))
    walls = room.ring if room else ()
    box = bounds(walls or tuple(point for ring in rings for point in ring))
    size = (box[2] - box[0], box[3] - box[1])
    left_mm = max(width_mm(text, SMALL_MM) for text in ("bottom", write_length(size[1], unit))) + FIGURES_MM + OFF_MM
    space = (paper.width_mm - 2 * paper.margin_mm - left_mm - BESIDE_MM, paper.tallest_mm)
    board = Board(frame_of(box, space, feet=is_imperial(unit)))
    if walls:
        board.add(Area((board.frame.ring(walls),), Fill.PAPER, Pen.THICK))
    for ring in damage:
        _damaged(board, ring)
    if room is not None and walls:
        _open_doorways(board, room)
        draw_room(board, room)
    tags = list(_patches(board, filled, unit)) if filled else []
    dimension(board, filled.rings if filled else rings, ("left", "bottom"), unit=unit, off_mm=OFF_MM)
    tag_all(board, tags)
    for ring in damage:
        _named(board, ring)
    if room is not None and walls:
        name_room(board, room)
    if room is not None and room.light_deg is not None:
        _light(board, room.light_deg)
    width, height = board.frame.width_mm, board.frame.height_mm
    overall(board, (0.0, height + OFF_MM + 2), (width, height + OFF_MM + 2), write_length(size[0], unit))
    overall(board, (width + OFF_MM + 2, 0.0), (width + OFF_MM + 2, height), write_length(size[1], unit))
    pile_arrow(board, ARROW_AT_MM, pile_deg, rows=filled.in_rows if filled else False)
    return _finished(board, damage, room, filled, pile_deg=pile_deg, unit=unit, paper=paper)


def _open_doorways(board: Board, room: RepairRoom) -> None:
    """Leaves the wall out where one walks through."""
    for door in room.doorways:
        if not door.shut:
            a, b = (board.frame.at(end) for end in room.line_of(door))
            x, y = across(a, b)
            strip = ((a[0] - x, a[1] - y), (b[0] - x, b[1] - y), (b[0] + x, b[1] + y), (a[0] + x, a[1] + y))
            board.add(Area((strip,), Fill.PAPER, None))


def _damaged(board: Board, ring: Ring) -> None:
    drawn = board.frame.ring(ring)
    spacing, *angles = CUTOUT_HATCH
    for angle in angles:
        board.lines(hatching([drawn], spacing, angle), Pen.HAIR)
    board.add(Area((drawn,), Fill.NONE, Pen.THIN))


def _named(board: Board, ring: Ring) -> None:
    """The word in a damaged place that has room for it; the key names it in any case."""
    left, bottom, right, top = bounds(board.frame.ring(ring))
    word = Words("damage", ((left + right) / 2, (bottom + top) / 2), SMALL_MM, Anchor.MIDDLE, halo=True)
    if right - left > width_mm(word.text, SMALL_MM) + 2 and top - bottom > 2 * SMALL_MM:
        board.write_first((word,))


def _patches(board: Board, filled: Filled, unit: Unit) -> Iterator[Tag]:
    """Draws each patch: its edges by their finish, its parts, its seams. Gives the numbers to write in its parts."""
    cuts = cuts_of(filled.plan)
    for index, (patch, answer) in enumerate(zip(filled.job.patches, filled.plan.patches, strict=True)):
        for start, end, finish in zip(patch.ring, (*patch.ring[1:], patch.ring[0]), patch.edges, strict=True):
            a, b = board.frame.at(start), board.frame.at(end)
            board.add(*edge(a, b, finish, across(a, b)))
        for joint in answer.seams:
            board.add(*seam(board.frame.at(joint.line[0]), board.frame.at(joint.line[1])))
        for cut in patch_cuts(cuts, index) if len(cuts) > 1 else ():
            yield Tag(str(cut.number), board.frame.ring(cut.part.net), ())


def _light(board: Board, light_deg: float) -> None:
    """An arrow into the room from where the light comes, outside its upper right."""
    dx, dy = math.sin(math.radians(light_deg)), math.cos(math.radians(light_deg))
    middle = (board.frame.width_mm / 2, board.frame.height_mm / 2)
    reach = min(
        middle[0] / abs(dx) if abs(dx) > WHOLE else math.inf,
        middle[1] / abs(dy) if abs(dy) > WHOLE else math.inf,
    )
    tail = (middle[0] + dx * (reach - 1), middle[1] + dy * (reach - 1))
    tip = (tail[0] - dx * LIGHT_MM, tail[1] - dy * LIGHT_MM)
    board.add(*pointed(tip, tail))
    beside = ((tail[0] + tip[0]) / 2, (tail[1] + tip[1]) / 2)
    off = (abs(dy) * 5.5, abs(dx) * 2.8)
    places = ((beside[0] + off[0] * side, beside[1] + off[1] * side) for side in (1, -1))
    board.write_first(Words("light", at, SMALL_MM, Anchor.MIDDLE, halo=True) for at in places)


def _finished(
    board: Board,
    damage: Sequence[Ring],
    room: RepairRoom | None,
    filled: Filled | None,
    *,
    pile_deg: float,
    unit: Unit,
    paper: Paper,
) -> Drawing:
    places = ", ".join(extent_text(ring, unit) for ring in damage)
    under = [f"damage {places}" if places else "no damage told yet"]
    key = ["Cross-hatched: the damage."] if damage else []
    if filled:
        patches = list(zip(filled.job.patches, filled.plan.patches, strict=True))
        under += [f"patch {patch.name} {extent_text(patch.ring, unit)}" for patch, _ in patches]
        cuts = cuts_of(filled.plan)
        heads = [str(cut.number) if len(cuts) > 1 else "patch" for cut in cuts]
        key += [f"{head}\t{_from(filled, cut.piece, cut.part.net, unit)}" for head, cut in zip(heads, cuts, strict=True)]
        shown = {finish for patch, _ in patches for finish in patch.edges}
        key.append(f"Edges drawn: {'; '.join(text for finish, text in SIGNS.items() if finish in shown)}.")
    if room is not None and room.ring:
        key.append(room_signs(board, room))
    under.append(f"pile {bearing_text(pile_deg)}, {scale_text(board.frame.scale, unit)}")
    title = room.name if room else "the damage, its room not known"
    key = [line for line in key if line]
    told = " ".join(stopped(line.replace("\t", ": ")) for line in (f"The floor of {title}", *under, *key))
    return board.finish(f"floor {title}", Heading(title, tuple(under), told), key=key, paper=paper)


def _from(filled: Filled, tag: str, net: Ring, unit: Unit) -> str:
    piece = filled.pieces.get(tag)
    about = f" ({piece_line(piece)})" if piece else ""
    return f"from {tag}{about}, net {extent_text(net, unit)}"
