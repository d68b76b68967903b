"""Damage and its room as the search for an outline sees them: pile up (+y), lengths mm."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from remnants.geometry.lattice import Lattice, Rows
from remnants.geometry.outline import Point, Ring
from remnants.geometry.segments import Line, edges_of
from remnants.geometry.turn import levelled_ring, turned_point, turned_ring, whole_turn
from remnants.model.damage import Damage
from remnants.model.finish import Finish
from remnants.model.patch import Job, Patch
from remnants.model.style import Style
from remnants.units import MM_PER_IN, Unit, is_imperial

__all__ = ["Place", "place_of"]


@dataclass(frozen=True)
class Place:
    """What lies round the damage. `room` is () where its outline isn't known; `finishes[i]` that of its edge i.

    `rows` are the gaps between rows of tufts across the pile, then the marks of a tape along it: cuts run on them. `pattern` is
    the repeat and the point that it is counted from, where both are known. `doors` are the stretches of wall that people walk
    through.
    """

    damage: tuple[Ring, ...]
    margin_mm: float
    pile_deg: float
    rows: tuple[Rows, Rows]
    has_rows: bool
    least_mm: float
    room: Ring = ()
    finishes: tuple[Finish, ...] = ()
    doors: tuple[Line, ...] = ()
    lanes: tuple[tuple[Point, ...], ...] = ()
    hidden: tuple[Ring, ...] = ()
    pattern: tuple[Lattice, Point] | None = None
    motif: Point | None = None

    @cached_property
    def walls(self) -> tuple[tuple[Line, Finish], ...]:
        """The room's edges, each with its finish."""
        return tuple(zip(edges_of(self.room, closed=True), self.finishes, strict=True)) if self.room else ()


def place_of(job: Job, patch: Patch, damage: Damage, styles: Sequence[Style]) -> Place:
    """The place of one patch's damage; `styles` are those of its candidates, the likeliest first."""
    turn = whole_turn(-patch.pile_deg)
    room = job.room_of(patch)
    step_mm = MM_PER_IN / 16 if is_imperial(Unit(job.unit)) else 1.0
    row_mm = (room.row_mm if room else None) or next((style.row_mm for style in styles if style.row_mm), None)
    start = turned_point(room.row_from, turn) if room and room.row_from else (0.0, 0.0)
    rows = Rows(row_mm or step_mm, start[0] if row_mm else 0.0), Rows(step_mm)
    repeat = next((style.repeat for style in styles if style.repeat), None)
    motif = turned_point(patch.motif, turn) if patch.motif else None
    pattern = (Lattice(repeat.across_mm, repeat.along_mm, repeat.drop), motif) if repeat and motif else None
    rings = tuple(levelled_ring(turned_ring(ring, turn)) for ring in damage.rings)
    told = rings, damage.margin_mm, patch.pile_deg, rows, row_mm is not None, job.min_part_mm
    if room is None or not room.ring:
        return Place(*told, pattern=pattern, motif=motif)
    doors = tuple(_turned(room.line_of(door), turn) for door in room.doorways if not door.shut)
    return Place(
        *told,
        levelled_ring(turned_ring(room.ring, turn)),
        room.edges,
        doors,
        tuple(turned_ring(lane, turn) for lane in room.lanes),
        tuple(levelled_ring(turned_ring(ring, turn)) for ring in room.hidden),
        pattern,
        motif,
    )


def _turned(line: Line, degrees: float) -> Line:
    return turned_point(line[0], degrees), turned_point(line[1], degrees)
