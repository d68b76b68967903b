"""A proposed outline in its room: damage, walls, doorways, the lanes people walk, light, what furniture covers, rows."""

from collections.abc import Mapping
from typing import NamedTuple

from remnants.geometry.outline import Ring
from remnants.model import DamagedJob, Piece, Proposal, RepairRoom, Style
from remnants.report.board import Paper
from remnants.report.drawing import Drawing
from remnants.report.floor_view import Filled, Floor, floor_drawing
from remnants.units import Unit

__all__ = ["outline_drawings"]

SCREEN = Paper()


class _Place(NamedTuple):
    """A room with outlines: what stands for it, and the bearing of its pile."""

    room: RepairRoom | None
    pile_deg: float
    patches: list[int]
    damage: list[Ring]
    said: list[str]


def outline_drawings(
    proposal: Proposal,
    asked: DamagedJob,
    *,
    number: int,
    pieces: Mapping[str, Piece],
    styles: Mapping[str, Style],
    unit: Unit | None = None,
    paper: Paper = SCREEN,
    reasons: bool = True,
) -> tuple[Drawing, ...]:
    """A drawing for each room in which the proposal, the `number`th from 1, has outlines. Lengths in `unit`, or the job's.

    `pieces` by tag and `styles` by name may lack some: they are named beside the tags of the donors. With `reasons` the key tells
    why each side ends where it does.
    """
    shown = unit or Unit(asked.job.unit)
    filled = Filled(proposal.plan, proposal.job, pieces, styles)
    return tuple(
        floor_drawing(
            Floor(place.room, tuple(place.damage), place.pile_deg),
            unit=shown,
            paper=paper,
            filled=filled.only(place.patches),
            title=f"Outline {number}: {', '.join(proposal.job.patches[index].name for index in place.patches)}",
            said=place.said if reasons else (),
        )
        for place in _places(proposal, asked)
    )


def _places(proposal: Proposal, asked: DamagedJob) -> list[_Place]:
    """The rooms of the outlines, in their order; a patch that names no room lies in one of its own."""
    told = {patch.name: damage for patch, damage in zip(asked.job.patches, asked.damages, strict=True)}
    outlined = {each.patch: each for each in proposal.outlines}
    places: dict[str, _Place] = {}
    for index, patch in enumerate(proposal.job.patches):
        if patch.name not in outlined:
            continue
        each = outlined[patch.name]
        room = proposal.job.room_of(patch)
        key = " ".join(patch.wanted.room.casefold().split()) or each.damage_of
        place = places.setdefault(key, _Place(room, patch.pile_deg, [], [], []))
        place.patches.append(index)
        damage = told[each.damage_of]
        place.damage.extend(ring for ring in (damage.rings if damage else ()) if ring not in place.damage)
        place.said.append(f"{patch.name}\t" + " ".join(f"{stop.words}." for stop in each.stops))
    return list(places.values())
