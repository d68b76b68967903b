"""What is to be laid: rooms with their doorways and light, and flights of stairs. Frozen, checked when made; lengths mm."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from remnants.errors import BadInput, Fault
from remnants.geometry import TOLERANCE_MM, Outline, Point
from remnants.geometry.bands import holds, on_line
from remnants.model import Wanted

__all__ = ["Doorway", "Floors", "Laid", "Room", "RoomPart", "Stairs"]


@dataclass(frozen=True, slots=True)
class Doorway:
    """An opening from `start` to `end` on a wall of its room (room axes, mm), perhaps to another room.

    Through one that is `shut` (a door that stays closed, a cupboard's) the two floors are not seen together. The pile should
    face the `entry`. `depth_mm` of wall on this side of it is carpeted with the room, and part of its outline. `beyond` names
    what lies behind one that leads to no other room here: a kitchen, or a room laid in another carpet.
    """

    start: Point
    end: Point
    to: str = ""
    shut: bool = False
    entry: bool = False
    depth_mm: float = 0.0
    beyond: str = ""

    @property
    def middle(self) -> Point:
        """The middle of the opening (mm)."""
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2


@dataclass(frozen=True, slots=True)
class RoomPart:
    """A room asked for that is laid as part of another, and by how much it is moved into the axes of that (mm)."""

    name: str
    shift: Point


@dataclass(frozen=True)
class Room:
    """A floor in axes that all rooms share the bearing of: +y is one and the same way. Islands are cutouts of the outline.

    `trims_mm[i]` is the trim at wall edge i of the counter-clockwise ring (also used round islands: the greatest of them).
    `pile_deg` None leaves the bearing free; `light_deg` is the bearing from which light comes in. `traffic` are walked lines.
    A `hidden` floor (a closet) is not seen together with any other. Rooms laid as one name their `parts`, and the `openings`
    between them through which the carpet runs. `at` is where its axes' (0, 0) lies in the house, if somebody said.
    """

    name: str
    outline: Outline
    trims_mm: tuple[float, ...]
    pile_deg: float | None = None
    doorways: tuple[Doorway, ...] = ()
    light_deg: float | None = None
    traffic: tuple[tuple[Point, ...], ...] = ()
    hidden: bool = False
    motif: Point | None = None
    openings: tuple[Doorway, ...] = ()
    parts: tuple[RoomPart, ...] = ()
    at: Point | None = None

    def __post_init__(self) -> None:
        faults = [] if self.name.strip() else [Fault("name", "the room needs a name")]
        faults += self._faults_of_trims()
        faults += [
            Fault(f"doorways[{index}]", what)
            for index, door in enumerate(self.doorways)
            if (what := self._fault_of_doorway(door))
        ]
        faults += [
            Fault(f"islands[{index}]", "this island reaches outside the walls; draw it inside")
            for index, ring in enumerate(self.outline.cutouts)
            if not holds(Outline(self.outline.ring), ring)
        ]
        for name, value in (("pile", self.pile_deg), ("light", self.light_deg)):
            if value is not None and not math.isfinite(value):
                faults.append(Fault(name, f"{value!r} is no bearing: give degrees clockwise from +y"))
        if faults:
            raise BadInput(faults)

    def _faults_of_trims(self) -> list[Fault]:
        if len(self.trims_mm) != len(self.outline.ring):
            counts = f"{len(self.trims_mm)} trims for {len(self.outline.ring)} wall edges"
            return [Fault("trims", f"{counts}: give one for each, or one for all")]
        return [
            Fault(f"trims[{index}]", f"{value!r} mm is no trim: give zero or more")
            for index, value in enumerate(self.trims_mm)
            if not (math.isfinite(value) and value >= 0)
        ]

    def _fault_of_doorway(self, door: Doorway) -> str:
        if math.dist(door.start, door.end) <= TOLERANCE_MM:
            return "the doorway has no width"
        ring = self.outline.ring
        edges = zip(ring, (*ring[1:], ring[0]), strict=True)
        on_one = any(on_line(door.start, a, b) and on_line(door.end, a, b) for a, b in edges)
        return "" if on_one else "the doorway is off the wall: both its ends must lie on one wall edge"


class Laid(StrEnum):
    """How stairs are covered: in runs over many steps, or each step with its own piece."""

    RUN = "run"
    STEPS = "steps"


@dataclass(frozen=True)
class Stairs:
    """A flight, lengths mm. Each step takes tread + riser + `nosing_mm` (what goes round the nosing) + `tuck_mm`.

    `side_mm` is turned under at each side, `run_mm` added once to every run. `width_step_mm` and `step_step_mm` round the width
    and each step up to whole steps of a size (0 for none). `winders` are (width, length) to be cut for each turning step,
    measured at its furthest points. A run may be cut into up to `most_runs` at the foot of a riser.
    The flight is seen together with the room that it `joins`.
    """

    name: str
    steps: int
    width_mm: float
    tread_mm: float
    riser_mm: float
    nosing_mm: float = 0.0
    tuck_mm: float = 0.0
    side_mm: float = 0.0
    run_mm: float = 0.0
    width_step_mm: float = 0.0
    step_step_mm: float = 0.0
    winders: tuple[tuple[float, float], ...] = ()
    laid: Laid = Laid.RUN
    most_runs: int = 1
    joins: str = ""

    def __post_init__(self) -> None:
        faults = [] if self.name.strip() else [Fault("name", "the stairs need a name")]
        if self.steps < 0 or self.steps + len(self.winders) == 0:
            faults.append(Fault("steps", f"{self.steps!r} steps: give at least one, or winders"))
        if self.most_runs < 1:
            faults.append(Fault("most_runs", f"{self.most_runs!r} runs: give at least one"))
        sizes = (("width", self.width_mm), ("tread", self.tread_mm), ("riser", self.riser_mm))
        faults += [
            Fault(name, f"{value!r} mm is no size: give one above zero")
            for name, value in sizes
            if not (math.isfinite(value) and value > 0)
        ]
        extras = ("nosing", "tuck", "side", "run", "width_step", "step_step")
        faults += [
            Fault(name, f"{value!r} mm: give zero or more")
            for name in extras
            if not (math.isfinite(value := getattr(self, f"{name}_mm")) and value >= 0)
        ]
        if faults:
            raise BadInput(faults)

    @property
    def cut_width_mm(self) -> float:
        """Width to cut, sides turned under and rounded up (mm)."""
        return _rounded_up(self.width_mm + 2 * self.side_mm, self.width_step_mm)

    @property
    def step_mm(self) -> float:
        """Length that one step takes (mm)."""
        return _rounded_up(self.tread_mm + self.riser_mm + self.nosing_mm + self.tuck_mm, self.step_step_mm)


@dataclass(frozen=True)
class Floors:
    """Everything to be laid in one carpet. Raises BadInput with the rooms: a name twice, a doorway to nowhere, piles at odds."""

    name: str
    rooms: tuple[Room, ...] = ()
    stairs: tuple[Stairs, ...] = ()
    wanted: Wanted = field(default_factory=Wanted)
    unit: str = "mm"

    def __post_init__(self) -> None:
        faults = [] if self.rooms or self.stairs else [Fault("rooms", "there is nothing to lay; give a room or stairs")]
        named = [(f"rooms[{index}].name", room.name) for index, room in enumerate(self.rooms)]
        named += [(f"stairs[{index}].name", flight.name) for index, flight in enumerate(self.stairs)]
        faults += [Fault(place, f"{name!r} is the name of two floors; give each its own") for place, name in _again(named)]
        known = {room.name for room in self.rooms}
        for index, room in enumerate(self.rooms):
            for number, door in enumerate(room.doorways):
                if door.to and (door.to == room.name or door.to not in known):
                    place = f"rooms[{index}].doorways[{number}].to"
                    faults.append(Fault(place, f"{room.name!r} has a doorway to {door.to!r}, which is no other room here"))
        faults += [
            Fault(f"stairs[{index}].joins", f"{flight.name!r} joins {flight.joins!r}, which is no room here")
            for index, flight in enumerate(self.stairs)
            if flight.joins and flight.joins not in known
        ]
        if not faults:
            faults += [
                Fault("rooms", f"{' and '.join(names)} are connected but their piles are fixed at odds; give them one bearing")
                for group in self.groups
                if len({room.pile_deg % 360 for room in group if room.pile_deg is not None}) > 1
                for names in [[repr(room.name) for room in group if room.pile_deg is not None]]
            ]
        if faults:
            raise BadInput(faults)

    @cached_property
    def groups(self) -> tuple[tuple[Room, ...], ...]:
        """Rooms connected by doorways, in the order given: all carpet of a group runs one way."""
        leader = {room.name: room.name for room in self.rooms}

        def first(name: str) -> str:
            while leader[name] != name:
                name = leader[name]
            return name

        for room in self.rooms:
            for door in room.doorways:
                if door.to in leader:
                    one, other = first(room.name), first(door.to)
                    leader[other if one != other else one] = one
        heads = dict.fromkeys(first(room.name) for room in self.rooms)
        return tuple(tuple(room for room in self.rooms if first(room.name) == head) for head in heads)

    @property
    def joins(self) -> tuple[tuple[str, Doorway], ...]:
        """The doorways in which the carpets of two rooms meet, each with the room that names it first."""
        found: list[tuple[str, Doorway]] = []
        counts: dict[tuple[str, str], int] = {}
        for room in self.rooms:
            for door in room.doorways:
                if door.to:
                    nth = counts[room.name, door.to] = counts.get((room.name, door.to), 0) + 1
                    if nth > counts.get((door.to, room.name), 0) or door.to == room.name:
                        found.append((room.name, door))
        return tuple(found)

    @property
    def area_mm2(self) -> float:
        """Floor area of the rooms, islands left out (mm²)."""
        return sum(room.outline.usable_area_mm2 for room in self.rooms)


def _rounded_up(value: float, step: float) -> float:
    return step * math.ceil(round(value / step, 9)) if step else value


def _again(named: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """Those whose name one before them has."""
    seen: set[str] = set()
    for place, name in named:
        if name in seen:
            yield place, name
        seen.add(name)
