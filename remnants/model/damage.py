"""Damage in a room, as people bring it: what must go, and the least carpet round it. The patch is then proposed."""

import math
from dataclasses import dataclass

from remnants.errors import BadInput, Fault
from remnants.geometry.inside import reach_outside_mm
from remnants.geometry.outline import Ring
from remnants.model.patch import MOST_ALLOWANCE_MM, Job
from remnants.model.repair_room import RepairRoom
from remnants.units import Unit, write_length

__all__ = ["USUAL_MARGIN_MM", "Damage", "DamagedJob", "faults_of_damage"]

USUAL_MARGIN_MM = 25.4
"""Sound carpet cut away round the damage where a job tells nothing: 1 in (common practice, no source)."""


@dataclass(frozen=True)
class Damage:
    """What must go: one ring or several (mm, the axes of the patch), and how much carpet round each at least."""

    rings: tuple[Ring, ...]
    margin_mm: float = USUAL_MARGIN_MM

    def __post_init__(self) -> None:
        faults = [] if self.rings else [Fault("damage", "nothing is damaged: give one outline, or several")]
        if not (math.isfinite(self.margin_mm) and 0 <= self.margin_mm <= MOST_ALLOWANCE_MM):
            faults.append(Fault("margin", f"{self.margin_mm!r} mm is no margin: give zero to {MOST_ALLOWANCE_MM / 1000:g} m"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True)
class DamagedJob:
    """A job of which some patches are told by their damage alone.

    `damages` stand in the order of the job's patches, None for one that has an outline of its own. The ring of a damaged patch
    is its first damage: it stands in until an outline is proposed, and is never to be cut. Raises BadInput for damage outside
    the room.
    """

    job: Job
    damages: tuple[Damage | None, ...]

    def __post_init__(self) -> None:
        faults = []
        if len(self.damages) != len(self.job.patches):
            faults.append(Fault("patches", f"{len(self.damages)} damages for {len(self.job.patches)} patches"))
        for index, (patch, damage) in enumerate(zip(self.job.patches, self.damages, strict=False)):
            outside = faults_of_damage(damage, self.job.room_of(patch), Unit(self.job.unit)) if damage else []
            faults += BadInput(outside).at(f"patches[{index}]").faults if outside else ()
        if faults:
            raise BadInput(faults)

    @property
    def damaged(self) -> tuple[int, ...]:
        """The places of the patches whose outline is to be proposed."""
        return tuple(index for index, damage in enumerate(self.damages) if damage is not None)


def faults_of_damage(damage: Damage, room: RepairRoom | None, unit: Unit) -> list[Fault]:
    """What of the damage lies outside its room, as far as that is described; places `damage`, or `damage[1]` of several."""
    if room is None or not room.ring:
        return []
    several = len(damage.rings) > 1
    beyond = [(index, reach_outside_mm(ring, room.ring)) for index, ring in enumerate(damage.rings)]
    return [
        Fault(
            f"damage[{index}]" if several else "damage",
            f"the damage reaches {write_length(far, unit)} out of {room.name!r}: measure both from the same corner",
        )
        for index, far in beyond
        if far
    ]
