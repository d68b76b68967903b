"""A proposed outline in its room: damage, walls, doorways, the lanes people walk, light, what furniture covers, rows."""

import math
from collections.abc import Sequence

from remnants.geometry.outline import Point, Ring, bounds
from remnants.geometry.segments import edges_of
from remnants.model import Damage, DamagedJob, Finish, Outlined, Proposal, RepairRoom
from remnants.report.board import SMALL_MM, Board, Heading, Paper
from remnants.report.drawing import Anchor, Area, Drawing, Fill, Pen, Words
from remnants.report.layout import Tag, board_for, dimension, surround, tag_all
from remnants.report.marks import across, edge, pointed
from remnants.report.room_view import draw_room, name_room, room_signs
from remnants.report.scan import hatching
from remnants.report.wording import bearing_text, extent_text, scale_text, stopped
from remnants.units import Unit, write_length

__all__ = ["outline_drawings"]

SCREEN = Paper()
DAMAGE_HATCH = (1.2, 45.0, -45.0)
ROUND_MM = 150.0
"""Floor drawn round an outline whose room isn't known."""
LIGHT_MM = 12.0
"""Length of the arrow that tells where light comes from (paper mm)."""

SIGNS = {
    Finish.SEAM: "seam: a line with stitches",
    Finish.WALL: "wall: doubled heavy",
    Finish.TRANSITION: "another floor: heavy and broken",
    Finish.FREE: "free: thin",
}


def outline_drawings(
    proposal: Proposal,
    asked: DamagedJob,
    *,
    number: int,
    unit: Unit | None = None,
    paper: Paper = SCREEN,
) -> tuple[Drawing, ...]:
    """A drawing for each room in which the proposal, the `number`th from 1, has outlines. Lengths in `unit`, or the job's."""
    shown = unit or Unit(asked.job.unit)
    by_room: dict[str, list[Outlined]] = {}
    damages: dict[str, list[Damage]] = {}
    of_patch = {patch.name: (patch, damage) for patch, damage in zip(asked.job.patches, asked.damages, strict=True)}
    for outlined in proposal.outlines:
        patch, damage = of_patch[outlined.damage_of]
        key = " ".join(patch.wanted.room.casefold().split()) or patch.name
        by_room.setdefault(key, []).append(outlined)
        if damage is not None and damage not in damages.setdefault(key, []):
            damages[key].append(damage)
    rooms = {key: asked.job.room_of(of_patch[outlines[0].damage_of][0]) for key, outlines in by_room.items()}
    piles = {key: of_patch[outlines[0].damage_of][0].pile_deg for key, outlines in by_room.items()}
    return tuple(
        _drawn(outlines, damages[key], rooms[key], piles[key], number=number, unit=shown, paper=paper, words=proposal.words)
        for key, outlines in by_room.items()
    )


def _drawn(
    outlines: Sequence[Outlined],
    damages: Sequence[Damage],
    room: RepairRoom | None,
    pile_deg: float,
    *,
    number: int,
    unit: Unit,
    paper: Paper,
    words: Sequence[str],
) -> Drawing:
    known = room if room is not None and room.ring else None
    box = bounds(known.ring) if known else _round([outlined.ring for outlined in outlines])
    size = (box[2] - box[0], box[3] - box[1])
    board = board_for(box, write_length(size[1], unit), unit=unit, paper=paper)
    frame = board.frame
    if known:
        board.add(Area((frame.ring(known.ring),), Fill.PAPER, Pen.PLAIN))
        draw_room(board, known)
    for ring in (ring for damage in damages for ring in damage.rings):
        spacing, *angles = DAMAGE_HATCH
        for angle in angles:
            board.lines(hatching([frame.ring(ring)], spacing, angle), Pen.HAIR)
        board.add(Area((frame.ring(ring),), Fill.NONE, Pen.THIN))
    for outlined in outlines:
        _draw_edges(board, outlined)
    dimension(board, [outlined.ring for outlined in outlines], ("left", "lower"), unit=unit, off_mm=5.5)
    tag_all(board, [_tag(board, index, outlined, unit) for index, outlined in enumerate(outlines, 1)])
    if known:
        name_room(board, known)
    light = known.light_deg if known else None
    if light is not None:
        _draw_light(board, light)
    has_rows = room is not None and room.row_mm is not None
    surround(board, (write_length(size[0], unit), write_length(size[1], unit)), pile_deg, rows=has_rows, off_mm=9.0)
    names = ", ".join(outlined.patch for outlined in outlines)
    under = (f"pile {bearing_text(pile_deg)}, {scale_text(frame.scale, unit)}", *words[:1])
    key = [*(f"{index}\t{_told(outlined, unit)}" for index, outlined in enumerate(outlines, 1)), _signs(board, outlines, known)]
    title = f"Outline {number}: {names}"
    told = " ".join(stopped(line.replace("\t", ": ")) for line in (title, *words, *key[:-1]))
    return board.finish(f"outline {number} {names}", Heading(title, under, told), key=key, paper=paper)


def _round(rings: Sequence[Ring]) -> tuple[float, float, float, float]:
    left, lower, right, upper = bounds([point for ring in rings for point in ring])
    return left - ROUND_MM, lower - ROUND_MM, right + ROUND_MM, upper + ROUND_MM


def _draw_edges(board: Board, outlined: Outlined) -> None:
    for (start, end), finish in zip(edges_of(outlined.ring, closed=True), outlined.edges, strict=True):
        a, b = board.frame.at(start), board.frame.at(end)
        board.add(*edge(a, b, finish, across(a, b)))


def _tag(board: Board, index: int, outlined: Outlined, unit: Unit) -> Tag:
    return Tag(str(index), board.frame.ring(outlined.ring), (extent_text(outlined.ring, unit),))


def _draw_light(board: Board, light_deg: float) -> None:
    """An arrow into the upper left corner of the frame, the way the light comes in."""
    step = math.sin(math.radians(light_deg)), math.cos(math.radians(light_deg))
    tip = (-LIGHT_MM - 8.0, board.frame.height_mm + LIGHT_MM + 10.0)
    start = (tip[0] + step[0] * LIGHT_MM, tip[1] + step[1] * LIGHT_MM)
    board.add(*pointed(tip, start))
    at: Point = (min(tip[0], start[0]), min(tip[1], start[1]) - 3.5)
    board.write(Words("light", at, SMALL_MM, Anchor.START))


def _told(outlined: Outlined, unit: Unit) -> str:
    return f"{outlined.patch}, {extent_text(outlined.ring, unit)}. " + " ".join(f"{stop.words}." for stop in outlined.stops)


def _signs(board: Board, outlines: Sequence[Outlined], room: RepairRoom | None) -> str:
    shown = [text for finish, text in SIGNS.items() if any(finish in outlined.edges for outlined in outlines)]
    edges = f"Edges drawn: {'; '.join(shown)}. Cross-hatched: the damage. Seen from above; sizes are net, without allowance."
    return " ".join(filter(None, (edges, room_signs(board, room) if room is not None else "")))
