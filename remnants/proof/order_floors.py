"""Questions about what an order is for: are the floors that it lays those that were asked for, each of them once?"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from remnants.errors import Fault
from remnants.model.rooms import Room, RoomPart
from remnants.proof.lines import TOLERANCE_MM, Edge
from remnants.proof.motion import apart_deg, brought
from remnants.proof.order_case import OrderCase, OrderQuestion
from remnants.proof.regions import Region, gaps, overlap_mm, region_of, sticks_out_mm, touching
from remnants.proof.remains import NEAR_MM

__all__ = ["QUESTIONS"]

Part = tuple[Room, RoomPart, Region]
"""A room asked for, where it lies in the room that it is laid in, and its region there, islands left out."""


def floors_asked(case: OrderCase) -> Iterator[Fault]:
    """Are the rooms and stairs laid those that were asked for, none left out, none twice, none changed?"""
    rooms = {room.name: room for room in case.asked.rooms}
    parts = Counter(part.name for room in case.plan.floors.rooms for part in _parts_told(room))
    if parts != Counter(rooms.keys()):
        yield Fault("rooms", f"rooms {sorted(parts.elements())} are laid, asked were {sorted(rooms)}")
    flights = [[replace(flight, joins="") for flight in floors.stairs] for floors in (case.plan.floors, case.asked)]
    if flights[0] != flights[1]:
        yield Fault("stairs", "the stairs laid are not those asked for")
    for room in case.plan.floors.rooms:
        same = rooms.get(room.name)
        if not room.parts and same is not None and replace(room, doorways=()) != replace(same, doorways=()):
            yield Fault(room.name, "is not the room that was asked for")


def cuts_placed(case: OrderCase) -> Iterator[Fault]:
    """Is every floor laid once, and does every cut come from one place?"""
    named = [room.name for room in case.plan.floors.rooms] + [flight.name for flight in case.plan.floors.stairs]
    laid = [laying.room for laying in case.plan.layings]
    if Counter(named) != Counter(laid):
        yield Fault("layings", f"laid {sorted(laid)}, asked {sorted(named)}")
    wanted = Counter((cut.name, cut) for laying in case.plan.layings for cut in laying.cuts)
    found = Counter((placed.cut.name, placed.cut) for placed in case.plan.placed)
    for name, cut in wanted.keys() | found.keys():
        if (wanted[name, cut], found[name, cut]) != (1, 1):
            what = f"each cut must come from one place: laid {wanted[name, cut]} times, cut {found[name, cut]} times"
            yield Fault(name, what)


def as_one(case: OrderCase) -> Iterator[Fault]:
    """Are rooms laid as one the rooms that they are made of, side by side, with all their floor?"""
    for room, parts in _merged(case):
        whole = region_of(room.outline.ring, room.outline.cutouts)
        for _, part, region in parts:
            if out := sticks_out_mm(region, whole, NEAR_MM):
                yield Fault(room.name, f"{part.name} reaches {out:.2f} mm outside it")
        for (_, one, here), (_, other, there) in combinations(parts, 2):
            if deep := overlap_mm(here, there, NEAR_MM):
                yield Fault(room.name, f"{one.name} and {other.name} lie {deep:.2f} mm over each other")
        islands = [region_of(ring) for ring in room.outline.cutouts]
        if gaps(region_of(room.outline.ring), [region for _, _, region in parts] + islands, NEAR_MM):
            yield Fault(room.name, "does not cover the rooms that it is made of")


def as_one_pile(case: OrderCase) -> Iterator[Fault]:
    """Do rooms laid as one keep the pile that was asked for each?"""
    for room, parts in _merged(case):
        for asked, part, _ in parts:
            if asked.pile_deg is not None and (room.pile_deg is None or apart_deg(asked.pile_deg, room.pile_deg) > SAME_DEG):
                yield Fault(room.name, f"has lost the pile of {part.name}")


def as_one_trims(case: OrderCase) -> Iterator[Fault]:
    """Do rooms laid as one keep the trim at each wall, and room to slit the carpet along the walls between them?"""
    for room, parts in _merged(case):
        whole = region_of(room.outline.ring)
        trims = dict(zip(_numbers(room), room.trims_mm, strict=True))
        for asked, part, region in parts:
            own = dict(zip(_numbers(asked), asked.trims_mm, strict=True))
            for touch in touching(whole, _outer(region)):
                if touch.same_way and trims[touch.edge.number] < own[touch.other.number] - TOLERANCE_MM:
                    yield Fault(room.name, f"its edge {touch.edge.number} has lost the trim of {part.name}")
        strips = [(edge, _strip(edge, trims[edge.number])) for edge in whole.edges if trims[edge.number] > TOLERANCE_MM]
        for (one, here), (other, there) in combinations(strips, 2):
            if one.ux * other.ux + one.uy * other.uy < FACING and overlap_mm(here, there):
                yield Fault(room.name, "a wall between its rooms is thinner than the trims of both its sides")


SAME_DEG = 1e-6
"""Bearings of piles this near are equal."""

FACING = -0.999
"""Cosine of the angle from which on two edges face each other."""


def _parts_told(room: Room) -> tuple[RoomPart, ...]:
    return room.parts or (RoomPart(room.name, (0.0, 0.0)),)


def _merged(case: OrderCase) -> Iterator[tuple[Room, list[Part]]]:
    asked = {room.name: room for room in case.asked.rooms}
    for room in case.plan.floors.rooms:
        if room.parts:
            known = [(asked[part.name], part) for part in room.parts if part.name in asked]
            yield room, [(one, part, _moved(one, part)) for one, part in known]


def _moved(room: Room, part: RoomPart) -> Region:
    rings = [brought(ring, 0.0, part.shift) for ring in (room.outline.ring, *room.outline.cutouts)]
    return region_of(rings[0], rings[1:])


def _outer(region: Region) -> Region:
    return Region(region.rings[:1])


def _numbers(room: Room) -> range:
    return range(len(room.outline.ring))


def _strip(edge: Edge, wide_mm: float) -> Region:
    """What lies outside an edge, so wide."""
    x, y = edge.uy * wide_mm, -edge.ux * wide_mm
    return Region((((edge.ax, edge.ay), (edge.ax + x, edge.ay + y), (edge.bx + x, edge.by + y), (edge.bx, edge.by)),))


QUESTIONS: tuple[OrderQuestion, ...] = (floors_asked, cuts_placed, as_one, as_one_pile, as_one_trims)
