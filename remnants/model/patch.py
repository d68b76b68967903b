"""What must be filled: patches, their edges, and the job they belong to."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from remnants.errors import BadInput, Fault
from remnants.geometry.inside import reach_outside_mm
from remnants.geometry.outline import Point, Ring
from remnants.model.finish import Finish
from remnants.model.match import Grade
from remnants.model.piece import MOST_DEG, MOST_WORN
from remnants.model.repair_room import RepairRoom, name_key, names_twice
from remnants.model.shade import Lab
from remnants.model.shade_steps import steps_in
from remnants.model.style import Construction
from remnants.units import Unit, write_length

__all__ = ["LEAST_PART_MM", "MOST_PARTS", "Allowance", "Finish", "Job", "MayUse", "Patch", "Wanted", "faults_in_room"]

MOST_PARTS = 4
MOST_ALLOWANCE_MM = 10_000.0
"""More carpet than this outside an edge is a slip of the pen."""

LEAST_PART_MM = 1.0
"""A part narrower than this is no part, whatever a job allows (common practice, no source)."""

MOST_NAMED = 6
"""Rooms of a job that are named where a patch names another."""


class MayUse(StrEnum):
    """Carpet that is left alone unless the job says that it may be used."""

    IN_VIEW = "in view"
    """Laid in the job's house where it is seen."""
    OTHER_CUSTOMERS = "other customers"
    """Kept with another customer."""
    OTHER_HOUSES = "other houses"
    """Laid in another house."""


@dataclass(frozen=True, slots=True)
class Allowance:
    """Carpet added outside a net edge, by its finish, mm, square to the edge. A free edge gets none.

    Defaults (common practice, no source): 1 in at a seam, 3 in at a wall or transition, in every unit the same.
    """

    seam_mm: float = 25.4
    wall_mm: float = 76.2
    transition_mm: float = 76.2

    def __post_init__(self) -> None:
        faults = [
            Fault(name, f"{value!r} mm is no allowance: give zero to {MOST_ALLOWANCE_MM / 1000:g} m")
            for name, value in (("seam", self.seam_mm), ("wall", self.wall_mm), ("transition", self.transition_mm))
            if not 0 <= value <= MOST_ALLOWANCE_MM
        ]
        if faults:
            raise BadInput(faults)

    def of(self, finish: Finish) -> float:
        """Allowance of an edge with this finish, mm."""
        match finish:
            case Finish.SEAM:
                return self.seam_mm
            case Finish.WALL:
                return self.wall_mm
            case Finish.TRANSITION:
                return self.transition_mm
            case Finish.FREE:
                return 0.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which carpet is asked for, as typed. An empty text asks for any.

    `lab` is the measured shade of the carpet there, `worn` its wear (0 new to 4 heavily worn), `room` where it lies.
    `substitute` allows another style of the same `construction` (by default the asked style's own) in a near shade.
    `shade_steps` are those to pieces that were measured in one photograph with that carpet (see `shade_steps.steps_in`).
    `lowest_grade` is the worst match grade accepted; None takes a close shade, or a substitute where one is allowed.
    """

    style: str = ""
    colour: str = ""
    lot: str = ""
    lab: Lab | None = None
    substitute: bool = False
    construction: Construction | None = None
    lowest_grade: Grade | None = None
    worn: int | None = None
    room: str = ""
    shade_steps: str = ""

    def __post_init__(self) -> None:
        steps_in(self.shade_steps)
        faults = []
        if self.worn is not None and not 0 <= self.worn <= MOST_WORN:
            faults.append(Fault("worn", f"{self.worn!r} is no grade of wear: give 0 (new) to {MOST_WORN} (heavily worn)"))
        if self.lowest_grade is Grade.NO_MATCH:
            faults.append(Fault("lowest_grade", "give same-lot, this-house, lot-not-known, other-lot, close-shade or substitute"))
        if faults:
            raise BadInput(faults)

    @property
    def lowest(self) -> Grade:
        """The worst match grade accepted."""
        if self.lowest_grade is not None:
            return self.lowest_grade
        return Grade.SUBSTITUTE if self.substitute else Grade.CLOSE_SHADE


@dataclass(frozen=True)
class Patch:
    """An area to fill, in room axes (mm). `edges[i]` is the finish from corner i to i + 1 of the counter-clockwise `ring`.

    `pile_deg` is the way its pile must lay, clockwise from +y; `turns` the allowed differences between a part's pile and it.
    `traffic_deg` and `light_deg`, where known, are the bearings along which people walk and window light falls.
    `use` are tags of pieces that must each give a part of it; `note` is for who cuts it. `seam_shift_mm`, where a
    person moves its first seam: how far (mm) the way the pile lays, or to
    the right with the pile up. `photo_bar_mm` is how far off it may be, and is larger by already, where it was measured from the
    photograph of that digest, whose marker page lies with its middle at `photo_at` (mm) and its top turned by `photo_turn_deg`.
    """

    name: str
    ring: Ring
    pile_deg: float
    edges: tuple[Finish, ...]
    wanted: Wanted = field(default_factory=Wanted)
    motif: Point | None = None
    max_parts: int = 2
    turns: tuple[float, ...] = (0.0,)
    traffic_deg: float | None = None
    light_deg: float | None = None
    use: tuple[str, ...] = ()
    note: str = ""
    seam_shift_mm: float | None = None
    photo_bar_mm: float | None = None
    photo_digest: str = ""
    photo_at: Point | None = None
    photo_turn_deg: float | None = None

    def __post_init__(self) -> None:
        faults = []
        if len(self.edges) != len(self.ring):
            counts = f"{len(self.edges)} finishes for {len(self.ring)} edges"
            faults.append(Fault("edges", f"{counts}: give one for each, or one word for all"))
        if not abs(self.pile_deg) <= MOST_DEG:
            faults.append(Fault("pile", f"{self.pile_deg!r} is no bearing: give degrees clockwise from the room's +y"))
        if not 1 <= self.max_parts <= MOST_PARTS:
            faults.append(Fault("max_parts", f"{self.max_parts!r} parts can't be planned: give 1 to {MOST_PARTS}"))
        if not self.turns or not all(abs(turn) <= MOST_DEG for turn in self.turns):
            faults.append(Fault("turns", f"{list(self.turns)!r} are no turns: give degrees, such as [0] or [0, 180]"))
        bearings = (("traffic", self.traffic_deg), ("light", self.light_deg), ("photo_turn", self.photo_turn_deg))
        for where, bearing in bearings:
            if bearing is not None and not math.isfinite(bearing):
                faults.append(Fault(where, f"{bearing!r} is no bearing: give degrees clockwise from the room's +y"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True)
class Job:
    """Patches to be filled together, and the rules they share. Lengths mm. `unit` is the one its file speaks in.

    `house` is the address (empty: the name up to its first comma), `customer` the shop's reference of whom the job is for.
    Tags in `use` must give carpet, those in `avoid` give none; `may_use` tells which carpet may be used that else is left alone.
    `branch` is the branch or van that asks, of a shop with several (empty: not told).
    `rooms` are those that patches lie in, as far as they are described.
    `tape_error_mm` is what a tape may be wrong by, 1/4 in (common practice, no source).
    """

    name: str
    patches: tuple[Patch, ...]
    allowance: Allowance = field(default_factory=Allowance)
    min_part_mm: float = 150.0
    unit: Unit = Unit.MM
    house: str = ""
    customer: str = ""
    may_use: frozenset[MayUse] = frozenset()
    avoid: tuple[str, ...] = ()
    use: tuple[str, ...] = ()
    rooms: tuple[RepairRoom, ...] = ()
    tape_error_mm: float = 6.35
    branch: str = ""

    def __post_init__(self) -> None:
        faults = [] if self.patches else [Fault("patches", "the job has no patches; give at least one")]
        if not (math.isfinite(self.min_part_mm) and self.min_part_mm >= 0):
            faults.append(Fault("min_part", f"{self.min_part_mm!r} mm is no width: give zero or more"))
        if not (math.isfinite(self.tape_error_mm) and self.tape_error_mm >= 0):
            faults.append(Fault("tape_error", f"{self.tape_error_mm!r} mm is no error of a tape: give zero or more"))
        if "," in self.house:
            what = f"{self.house!r} has a comma: give the address only up to it, as it stands first in the place of pieces there"
            faults.append(Fault("house", what))
        both = {tag.casefold() for tag in self.use} & {tag.casefold() for tag in self.avoid}
        faults += [Fault("use", f"{tag!r} is to be avoided as well: say one of the two") for tag in sorted(both)]
        faults += names_twice(room.name for room in self.rooms)
        if self.rooms and not faults:
            known = {name_key(room.name): room for room in self.rooms}
            faults += [
                fault
                for index, patch in enumerate(self.patches)
                for fault in BadInput(faults_in_room(patch, known, self.unit)).at(f"patches[{index}]").faults
            ]
        if faults:
            raise BadInput(faults)

    def room_of(self, patch: Patch) -> RepairRoom | None:
        """The room that a patch lies in, as far as the job describes it."""
        key = name_key(patch.wanted.room)
        return next((room for room in self.rooms if name_key(room.name) == key), None)


def faults_in_room(patch: Patch, rooms: Mapping[str, RepairRoom | None], unit: Unit) -> list[Fault]:
    """What is amiss with where a patch lies: a room that isn't among those told (by `name_key`), or outside its room's walls.

    A room that is None is known by its name alone.
    """
    key = name_key(patch.wanted.room)
    if not key:
        return []
    if key not in rooms:
        names = [repr(room.name if room else name) for name, room in rooms.items()]
        told = ", ".join(names[:MOST_NAMED]) + (" and so on" if len(names) > MOST_NAMED else "")
        what = f"{patch.wanted.room!r} is none of the job's rooms, {told}: name one of them, or tell this room in rooms as well"
        return [Fault("room", what)]
    room = rooms[key]
    beyond_mm = reach_outside_mm(patch.ring, room.ring) if room and room.ring else 0.0
    if not room or not beyond_mm:
        return []
    what = f"{patch.name!r} reaches {write_length(beyond_mm, unit)} out of {room.name!r}: measure both from the same corner"
    return [Fault("", f"{what}, as a patch lies in the axes of its room's outline")]
