"""The ways of rooms and stairs that an order is chosen from: at each bearing the few that may end up in the best one."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import islice

from remnants.errors import NoPlan
from remnants.estimating.roll.bearings import bearings_of
from remnants.estimating.roll.work import Work
from remnants.estimating.roll_lengths import fits_one_roll, longest_told
from remnants.estimating.rooms.layings import lay_room, lay_stairs
from remnants.geometry import TOLERANCE_MM
from remnants.model import SeamKind
from remnants.model.order_plan import Laying
from remnants.model.rooms import Room, Stairs
from remnants.packing import Watch
from remnants.units import Unit, write_length

__all__ = ["Bearing", "group_bearings", "stair_ways"]

WAYS_KEPT = 6
MOST_WAYS = 300
WAYS_IN_HASTE = 4
"""Ways of a room looked at even when there is no time left: an order is always given."""
SEAMS_KEPT, LOOKED_AT = 8, 40
"""Numbers of side and cross seams of which a room keeps ways for the choices, and ways packed alone for each."""
MOST_BESIDE = 8
"""Ways kept that have a cut as wide as another floor leaves beside it."""

Bearing = tuple[tuple[Laying, ...], ...]
"""For every room of a group, its ways at one bearing."""


def group_bearings(work: Work, group: Sequence[Room], watch: Watch) -> list[Bearing]:
    """The ways of connected rooms at each bearing at which all of them can be laid, the most promising bearing first.

    Raises NoPlan, naming the rooms that can't be laid.
    """
    found: list[Bearing] = []
    stuck: set[str] = set()
    for bearing in _bearings_asked(work, group):
        ways = [_ways_known(work, room, bearing, watch) for room in group]
        if all(ways):
            found.append(tuple(tuple(each) for each in ways))
        stuck |= {room.name for room, each in zip(group, ways, strict=True) if not each}
    if not found:
        raise NoPlan(_too_long(work, [room for room in group if room.name in stuck]) or _why_not(work, sorted(stuck)))
    return sorted(found, key=lambda each: sum(_alone(work, ways[0]) for ways in each))


def _too_long(work: Work, rooms: Sequence[Room]) -> str:
    """How long a length the first of these rooms takes that could be laid if only rolls were longer; "" for none."""
    roll, unit = work.roll, Unit(work.floors.unit)
    if roll.comes_in_lengths:
        for room in rooms:
            bearings = _bearings_asked(work, [room])
            ways = [way for bearing in bearings for way in islice(_any_ways(work, room, bearing), WAYS_IN_HASTE)]
            if ways and not any(fits_one_roll(way, roll) for way in ways):
                least = min(work.bound_mm(way.cuts) for way in ways)
                told = f"{room.name!r} takes at least {write_length(least, unit)} of one roll; {longest_told(roll, unit)}"
                return f"{told}, and no room is joined from two: get a longer one, or allow it more joins"
    return ""


def _why_not(work: Work, names: Sequence[str]) -> str:
    """What keeps these rooms from being laid, as far as it can be told, and what to do."""
    unit, roll, rules = Unit(work.floors.unit), work.roll, work.rules
    wide = write_length(roll.width_mm, unit)
    told = f"{' and '.join(repr(name) for name in names)} can't be laid from a roll {wide} wide"
    if roll.width_mm - 2 * rules.seam_mm < rules.least_fill_mm:
        least = write_length(rules.least_fill_mm, unit)
        return (
            f"{told}: between seams it leaves less than the narrowest fill, {least}; take a wider roll or allow a narrower fill"
        )
    if roll.repeat and roll.repeat.across_mm > roll.width_mm - 2 * rules.seam_mm:
        across = write_length(roll.repeat.across_mm, unit)
        return f"{told}: its pattern comes round only every {across} across, so its breadths can't meet; take a wider roll"
    return f"{told} within the rules: allow a narrower fill or another pile bearing, or take a wider roll"


def stair_ways(work: Work, flight: Stairs, watch: Watch) -> tuple[Laying, ...]:
    """The few ways to cover a flight. Raises NoPlan when a cut is wider than the roll."""
    width = max([flight.cut_width_mm if flight.steps else 0.0, *(width for width, _ in flight.winders)])
    if width > work.roll.width_mm + TOLERANCE_MM:
        needed, wide = (write_length(each, Unit(work.floors.unit)) for each in (width, work.roll.width_mm))
        raise NoPlan(f"{flight.name!r} takes a cut {needed} wide, the roll is {wide} wide: take a wider roll")
    ways = [way for way in lay_stairs(flight, work.rules, work.roll) if fits_one_roll(way, work.roll)]
    if not ways:
        told = longest_told(work.roll, Unit(work.floors.unit))
        raise NoPlan(f"{flight.name!r} takes a longer run than there is: {told}; get a longer roll, or allow more runs")
    return tuple(_best_ways(work, ways, watch))


def _bearings_asked(work: Work, group: Sequence[Room]) -> list[float]:
    """The same bearings whether rooms of the group are laid as one or not."""
    name = group[0].parts[0].name if group[0].parts else group[0].name
    return bearings_of(next(each for each in work.asked.groups if name in {room.name for room in each}))


def _ways_known(work: Work, room: Room, bearing: float, watch: Watch) -> list[Laying]:
    """The few best ways of a room, looked up where a room like it was laid before, by whatever name."""
    doors = tuple((door.start, door.end, door.shut, door.depth_mm) for door in room.doorways)
    seen = (room.light_deg, room.traffic, room.motif, room.openings)
    like = (room.outline, room.trims_mm, doors, seen, bearing)
    if like not in work.known:
        work.known[like] = room.name, _best_ways(work, _ways(work, room, bearing), watch)
    name, ways = work.known[like]
    return ways if name == room.name else [_renamed(way, name, room.name) for way in ways]


def _renamed(laying: Laying, old: str, name: str) -> Laying:
    """The same for a room like the old one."""
    cuts = tuple(replace(cut, name=name + cut.name[len(old) :], room=name) for cut in laying.cuts)
    return replace(laying, room=name, cuts=cuts, seams=tuple(replace(seam, room=name) for seam in laying.seams))


def _ways(work: Work, room: Room, bearing: float) -> Iterable[Laying]:
    return (way for way in _any_ways(work, room, bearing) if fits_one_roll(way, work.roll))


def _any_ways(work: Work, room: Room, bearing: float) -> Iterable[Laying]:
    return lay_room(room, bearing, roll=work.roll, rules=work.rules, construction=work.construction, fills_mm=work.beside_mm)


def _best_ways(work: Work, ways: Iterable[Laying], watch: Watch) -> list[Laying]:
    """The few ways of a room that may end up in the best order: least roll alone, and least area."""
    seen: list[Laying] = []
    for way in islice(ways, MOST_WAYS):
        seen.append(way)
        if len(seen) >= WAYS_IN_HASTE and watch.timed_out():
            break
    rough = sorted(seen, key=lambda way: _area_mm(work, way) + way.drawback_mm)
    alone: list[tuple[float, int]] = []
    for place, way in enumerate(rough):  # no way takes less roll than its area, so the rest can't be among the best
        if len(alone) == WAYS_KEPT and _area_mm(work, way) + way.drawback_mm >= alone[-1][0]:
            break
        alone = sorted([*alone, (_alone(work, way), place)])[:WAYS_KEPT]
    kept = [*(place for _, place in alone), *range(min(WAYS_KEPT, len(rough)))]
    return [rough[place] for place in dict.fromkeys([*kept, *_choices(work, rough), *_beside(work, rough)])]


def _choices(work: Work, ways: Sequence[Laying]) -> list[int]:
    """The places of those that may serve where seams matter less or more: of each number of seams the shortest alone, and the
    one whose widest cut is the narrowest, as most goes beside it."""
    by_seams: dict[tuple[int, int], list[int]] = {}
    for place, way in enumerate(ways):
        crossing = sum(seam.seam.kind is SeamKind.CROSS for seam in way.seams)
        by_seams.setdefault((len(way.seams), crossing), []).append(place)
    kept: list[int] = []
    for _, places in sorted(by_seams.items())[:SEAMS_KEPT]:
        kept.append(min(places[:LOOKED_AT], key=lambda place: (work.quick_mm(ways[place].cuts), place)))
        kept.append(min(places, key=lambda place: (max(cut.width_mm for cut in ways[place].cuts), place)))
    return kept


def _beside(work: Work, ways: Sequence[Laying]) -> list[int]:
    """The places of those with a cut as wide as another floor leaves on the roll: of each width and number of seams the best."""
    first: dict[tuple[float, int], int] = {}
    for place, way in enumerate(ways):
        for left in work.beside_mm:
            if any(abs(cut.width_mm - left) <= TOLERANCE_MM for cut in way.cuts):
                first.setdefault((left, len(way.seams)), place)
    return sorted(first.values())[:MOST_BESIDE]


def _area_mm(work: Work, way: Laying) -> float:
    return sum(cut.width_mm * cut.length_mm for cut in way.cuts) / work.roll.width_mm


def _alone(work: Work, way: Laying) -> float:
    return work.quick_mm(way.cuts) + way.drawback_mm
