"""The rooms of a plan: which of its outlines are rooms, which lie in one, what they are called, where their doorways are.

Nothing is chosen in silence: what is left out is told, and what may be meant in two ways is said. Lengths are millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

from remnants.errors import BadFile, Fault
from remnants.exchange.plans.drawn import Drawn, LayerSeen
from remnants.exchange.plans.known import refuse_senseless
from remnants.exchange.plans.names import named
from remnants.exchange.plans.openings import Opening, Opens, opening_of, opens_on
from remnants.exchange.plans.outlines import Outlines, outlines_of
from remnants.exchange.plans.said import PlanSaid
from remnants.exchange.plans.sorting import Sorted, sorted_rooms
from remnants.geometry import Point, Ring
from remnants.geometry.net import overlaps
from remnants.limits import DRAWING_CORNERS
from remnants.units import Unit, to_unit, write_area

__all__ = ["PlanRead", "PlanRoom", "plan_rooms", "rooms_file"]

LEAST_SHARED_MM2 = 10_000.0
"""Rooms that share less than this (a hand's breadth square) were drawn by an unsteady hand, and are not told of."""


@dataclass(frozen=True)
class PlanRoom:
    """A room of a plan: its ring, counter-clockwise, its islands, its doorways with the room each leads to (or "")."""

    name: str
    layer: str
    ring: Ring
    islands: tuple[Ring, ...] = ()
    doorways: tuple[tuple[Opens, str], ...] = ()


@dataclass(frozen=True)
class PlanRead:
    """What was read out of a plan: rooms by layer, the larger first; all its layers; what was left out or closed."""

    rooms: tuple[PlanRoom, ...]
    layers: tuple[LayerSeen, ...]
    notes: tuple[str, ...]


def plan_rooms(drawn: Drawn, name: str, said: PlanSaid, unit: Unit) -> PlanRead:
    """The rooms of a plan called `name`, sizes told in `unit`.

    Raises BadFile: a layer that it doesn't have, no room, too many, one of a size that no room has, layers to choose from, an
    outline that crosses itself.
    """
    said = _by_their_names(drawn, name, said)
    openings = [(door, opening_of(door)) for door in drawn.doors]
    sure = [opening.lines[0] for _, opening in openings if opening and opening.sure]
    found = outlines_of(drawn, said, sure, unit)
    made = sorted_rooms(found, drawn, name, said, unit)
    corners = sum(len(ring) for room in made.rooms for ring in (room.found.ring, *room.islands))
    if len(made.rooms) > said.most or corners > DRAWING_CORNERS * said.most:
        large = f"over {said.most} rooms, or {DRAWING_CORNERS * said.most} corners"
        raise BadFile([Fault(name, f"{large}; keep only the rooms to be laid in it, or choose their layers")])
    if drawn.by_length:
        refuse_senseless([room.found.ring for room in made.rooms], name, drawn.remedy, unit)
    rooms, notes = _with_doorways(_named(made, drawn), [each for _, each in openings if each], drawn)
    notes = [*drawn.notes, *found.notes, *made.notes, *notes, *_overlaps_told(rooms, unit), *_loose_told(found, made, drawn)]
    return PlanRead(_near_origin(rooms), drawn.layers, tuple(notes))


def rooms_file(read: PlanRead, name: str, unit: Unit) -> dict[str, Any]:
    """What was read as a rooms file (JSON values), in `unit`: all rooms in the drawing's axes, so that each lies where it is."""
    return {"unit": unit.value, "order": PurePath(name).stem[:80], "rooms": [_entry(room, unit) for room in read.rooms]}


def _entry(room: PlanRoom, unit: Unit) -> dict[str, Any]:
    entry: dict[str, Any] = {"name": room.name, "outline": _corners(room.ring, unit), "at": [0, 0]}
    entry["islands"] = [_corners(ring, unit) for ring in room.islands]
    doors = [
        {"edge": opens.edge, "from": to_unit(opens.start_mm, unit), "width": to_unit(opens.width_mm, unit)}
        | ({"depth": to_unit(opens.depth_mm, unit)} if to_unit(opens.depth_mm, unit) else {})
        | ({"to": to} if to else {})
        for opens, to in room.doorways
    ]
    return entry | ({"doorways": doors} if doors else {})


def _corners(ring: Ring, unit: Unit) -> list[list[float]]:
    return [[to_unit(x, unit), to_unit(y, unit)] for x, y in ring]


def _by_their_names(drawn: Drawn, name: str, said: PlanSaid) -> PlanSaid:
    """The layers said for as the plan writes them, capitals apart. Raises BadFile for one that it doesn't have."""
    known = {layer.name.lower(): layer.name for layer in drawn.layers}
    missing = [layer for layer in (*said.layers, *said.islands) if layer.lower() not in known]
    if missing:
        told = ", ".join(f"{layer!r}" for layer in sorted(known.values())[:20]) or "none"
        raise BadFile([Fault(name, f"there is nothing on a layer {missing[0]!r}; its layers are {told}")])
    layers, islands = (tuple(known[layer.lower()] for layer in told) for told in (said.layers, said.islands))
    return replace(said, layers=layers, islands=islands)


def _named(made: Sorted, drawn: Drawn) -> list[PlanRoom]:
    fallback = [room.found.spot.layer for room in made.rooms]
    names = named([room.found.ring for room in made.rooms], fallback, drawn.texts)
    return [
        PlanRoom(name, room.found.spot.layer, room.found.ring, room.islands) for name, room in zip(names, made.rooms, strict=True)
    ]


def _with_doorways(rooms: list[PlanRoom], doors: Sequence[Opening], drawn: Drawn) -> tuple[list[PlanRoom], list[str]]:
    """The rooms with the doors that open on them, and what is told of doors that open on none."""
    rings = [room.ring for room in rooms]
    held: list[list[tuple[Opens, str]]] = [[] for _ in rooms]
    astray: list[Opening] = []
    for door in doors:
        ends = opens_on(door, rings)
        if not ends:
            astray.append(door)
        if any(_is_taken(held[index], opens) for index, opens in ends):
            continue
        for (index, opens), other in zip(ends, ends[::-1], strict=True):
            held[index].append((opens, rooms[other[0]].name if len(ends) > 1 else ""))
    made = [replace(room, doorways=tuple(sorted(ways, key=_by_place))) for room, ways in zip(rooms, held, strict=True)]
    if not astray:
        return made, []
    count = "1 door stands" if len(astray) == 1 else f"{len(astray)} doors stand"
    return made, [f"{count} at no room's wall, and is left out: {astray[0].spot}"]


def _by_place(way: tuple[Opens, str]) -> tuple[int, float]:
    return way[0].edge, way[0].start_mm


def _is_taken(held: Sequence[tuple[Opens, str]], opens: Opens) -> bool:
    """Whether a doorway lies where another one is, as where a door was drawn twice."""
    end = opens.start_mm + opens.width_mm
    return any(
        each.edge == opens.edge and each.start_mm < end and opens.start_mm < each.start_mm + each.width_mm for each, _ in held
    )


def _overlaps_told(rooms: Sequence[PlanRoom], unit: Unit) -> list[str]:
    return [
        f"{rooms[one].name} and {rooms[two].name} overlap by {write_area(shared, unit)}: both count; draw each within its walls"
        for one, two, shared in overlaps([room.ring for room in rooms])
        if shared > LEAST_SHARED_MM2
    ]


def _loose_told(found: Outlines, made: Sorted, drawn: Drawn) -> list[str]:
    layers = {room.found.spot.layer for room in made.rooms if room.found.joined}
    told = []
    for layer in sorted({layer for layer, _ in found.loose} & layers):
        ends = [path[0] for each, path in found.loose if each == layer]
        first = f"{'1 line ends' if len(ends) == 1 else f'{len(ends)} lines end'} loose on layer {layer!r}"
        told.append(f"{first}, such as at {drawn.place(ends[0])}: a room may be missing there; see that all are found")
    return told


def _near_origin(rooms: Sequence[PlanRoom]) -> tuple[PlanRoom, ...]:
    """The rooms moved together to where a floor may lie, if they were drawn in the coordinates of a map."""
    far = max(abs(value) for room in rooms for point in room.ring for value in point)
    if far <= FAR_MM:
        return tuple(rooms)
    dx, dy = (min(point[axis] for room in rooms for point in room.ring) for axis in (0, 1))

    def moved(ring: Ring) -> Ring:
        return tuple(_shifted(point, (dx, dy)) for point in ring)

    return tuple(replace(room, ring=moved(room.ring), islands=tuple(map(moved, room.islands))) for room in rooms)


FAR_MM = 500_000.0
"""From so far off its origin on a drawing's rooms are moved to it: files take places within a kilometre."""


def _shifted(point: Point, by: Point) -> Point:
    return round(point[0] - by[0], 6), round(point[1] - by[1], 6)
