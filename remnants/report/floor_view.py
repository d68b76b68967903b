"""A room as it is seen from above: what is damaged in it, and where the patch ends that is proposed for it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.geometry.outline import Ring, bounds
from remnants.geometry.tolerances import WHOLE
from remnants.materials.cuts import Cut, cuts_of
from remnants.model import Job, Patch, PatchPlan, Piece, Plan, RepairRoom, Style
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

__all__ = ["Filled", "Floor", "floor_drawing"]

LIGHT_MM = 8.0
"""Length of the arrow by which light comes in."""

OFF_MM = 2.5
"""How far off the walls running figures begin."""

FIGURES_MM = 11.0
"""Room that a running figure takes beside its text."""

CLEAR_MM = 0.5
"""How near to an edge of a patch no words stand."""

BESIDE_MM = 8.0
"""Room kept right of the floor for its overall length."""

ARROW_AT_MM = (-11.5, -14.5)
"""Where the pile arrow stands, below and left of the floor: there no figure is."""


@dataclass(frozen=True)
class Floor:
    """A room (None where it isn't known) with what is damaged in it (mm, its axes), and the way its pile lays, degrees."""

    room: RepairRoom | None
    damage: tuple[Ring, ...]
    pile_deg: float

    @property
    def walls(self) -> Ring:
        """The corners of the room; none where they aren't known."""
        return self.room.ring if self.room else ()


@dataclass(frozen=True)
class Filled:
    """Patches with what fills them: a plan for a job, and the donors and styles that it was made with.

    `shown` are the places of the patches that are drawn, all of them where it is None.
    """

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    shown: tuple[int, ...] | None = None

    def only(self, shown: Sequence[int]) -> "Filled":
        """The same, of which these patches alone are drawn."""
        return replace(self, shown=tuple(shown))

    @property
    def patches(self) -> tuple[tuple[Patch, PatchPlan], ...]:
        """The patches that are drawn, each with what becomes of it."""
        pairs = tuple(zip(self.job.patches, self.plan.patches, strict=True))
        return pairs if self.shown is None else tuple(pairs[index] for index in self.shown)

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """What is cut for them, by the numbers that it has in the job."""
        return tuple(cut for cut in cuts_of(self.plan) if self.shown is None or cut.patch_index in self.shown)

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outlines of the patches (room mm)."""
        return tuple(patch.ring for patch, _ in self.patches)

    @property
    def in_rows(self) -> bool:
        """Whether a donor's tufts stand in rows that a cut must follow."""
        named = {self.pieces[cut.piece].style for cut in self.cuts if cut.piece in self.pieces}
        return any(style.row_mm is not None for name, style in self.styles.items() if name in named)


def floor_drawing(
    floor: Floor,
    *,
    unit: Unit,
    paper: Paper,
    filled: Filled | None = None,
    title: str = "",
    said: Sequence[str] = (),
) -> Drawing:
    """The floor with its damage hatched and the patches that fill it, or the damage alone; `said` begins its key.

    Figures run from the room's left and lower walls, or from the damage's where the room isn't known, in `unit`.
    """
    rings = (*floor.damage, *(filled.rings if filled else ()))
    box = bounds(floor.walls or tuple(point for ring in rings for point in ring))
    size = (box[2] - box[0], box[3] - box[1])
    left_mm = max(width_mm(text, SMALL_MM) for text in ("bottom", write_length(size[1], unit))) + FIGURES_MM + OFF_MM
    space = (paper.width_mm - 2 * paper.margin_mm - left_mm - BESIDE_MM, paper.tallest_mm)
    board = Board(frame_of(box, space, feet=is_imperial(unit)))
    _draw(board, floor)
    tags = list(_patches(board, filled)) if filled else []
    dimension(board, filled.rings if filled else rings, ("left", "bottom"), unit=unit, off_mm=OFF_MM)
    tag_all(board, tags)
    for ring in floor.damage:
        _named(board, ring)
    if floor.room is not None and floor.walls:
        name_room(board, floor.room)
    if floor.room is not None and floor.room.light_deg is not None:
        _light(board, floor.room.light_deg)
    width, height = board.frame.width_mm, board.frame.height_mm
    overall(board, (0.0, height + OFF_MM + 2), (width, height + OFF_MM + 2), write_length(size[0], unit))
    overall(board, (width + OFF_MM + 2, 0.0), (width + OFF_MM + 2, height), write_length(size[1], unit))
    pile_arrow(board, ARROW_AT_MM, floor.pile_deg, rows=_in_rows(floor, filled))
    heading = _heading(board, floor, filled, unit=unit, title=title)
    key = [*said, *_key(board, floor, filled, unit)]
    told = " ".join(stopped(line.replace("\t", ": ")) for line in (heading.title, *heading.under, *key))
    return board.finish(title.lower() or "floor", replace(heading, told=told), key=key, paper=paper)


def _in_rows(floor: Floor, filled: Filled | None) -> bool:
    return (floor.room is not None and floor.room.row_mm is not None) or (filled is not None and filled.in_rows)


def _draw(board: Board, floor: Floor) -> None:
    """The room itself, and the damage in it."""
    if floor.walls:
        board.add(Area((board.frame.ring(floor.walls),), Fill.PAPER, Pen.THICK))
    for ring in floor.damage:
        _damaged(board, ring)
    if floor.room is not None and floor.walls:
        _open_doorways(board, floor.room)
        draw_room(board, floor.room)


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
    left, bottom, right, top = box = bounds(board.frame.ring(ring))
    board.keep(box)
    word = Words("damage", ((left + right) / 2, (bottom + top) / 2), SMALL_MM, Anchor.MIDDLE, halo=True)
    if right - left > width_mm(word.text, SMALL_MM) + 2 and top - bottom > 2 * SMALL_MM:
        board.write(word)


def _patches(board: Board, filled: Filled) -> Iterator[Tag]:
    """Draws each patch: its edges by their finish, its seams. Gives the numbers to write in its parts, if several."""
    for patch, answer in filled.patches:
        for start, end, finish in zip(patch.ring, (*patch.ring[1:], patch.ring[0]), patch.edges, strict=True):
            a, b = board.frame.at(start), board.frame.at(end)
            board.add(*edge(a, b, finish, across(a, b)))
            if 0.0 in (a[0] - b[0], a[1] - b[1]):
                board.keep(
                    (
                        min(a[0], b[0]) - CLEAR_MM,
                        min(a[1], b[1]) - CLEAR_MM,
                        max(a[0], b[0]) + CLEAR_MM,
                        max(a[1], b[1]) + CLEAR_MM,
                    )
                )
        for joint in answer.seams:
            board.add(*seam(board.frame.at(joint.line[0]), board.frame.at(joint.line[1])))
    if len(filled.cuts) > 1:
        yield from (Tag(str(cut.number), board.frame.ring(cut.part.net), ()) for cut in filled.cuts)


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


def _heading(board: Board, floor: Floor, filled: Filled | None, *, unit: Unit, title: str) -> Heading:
    room = f"The floor of {floor.room.name}" if floor.room else "The room isn't known"
    patches = [f"{patch.name} {extent_text(patch.ring, unit)}" for patch, _ in filled.patches] if filled else []
    damage = [f"damage {extent_text(ring, unit)}" for ring in floor.damage]
    under = (", ".join((*damage, *patches)), f"pile {bearing_text(floor.pile_deg)}, {scale_text(board.frame.scale, unit)}")
    return Heading(title or room, tuple(line for line in ((room if title else ""), *under) if line), "")


def _key(board: Board, floor: Floor, filled: Filled | None, unit: Unit) -> Iterator[str]:
    if filled:
        cuts = filled.cuts
        yield from (f"{cut.number if len(cuts) > 1 else 'cut'}\t{_from(filled, cut, unit)}" for cut in cuts)
    if floor.damage:
        yield "Cross-hatched: the damage."
    if filled:
        used = {finish for patch, _ in filled.patches for finish in patch.edges}
        yield f"Edges drawn: {'; '.join(text for finish, text in SIGNS.items() if finish in used)}."
    if floor.room is not None and floor.walls and (signs := room_signs(board, floor.room)):
        yield signs
    if floor.room is not None and floor.room.light_deg is not None:
        yield "Thin arrow: the way light comes in."


def _from(filled: Filled, cut: Cut, unit: Unit) -> str:
    piece = filled.pieces.get(cut.piece)
    about = f" ({piece_line(piece)})" if piece else ""
    return f"from {cut.piece}{about}, net {extent_text(cut.part.net, unit)}"
