"""Which way for each room: bearings and layouts chosen together, so that the whole takes least roll and has few drawbacks."""

import math
import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from remnants.errors import NoPlan
from remnants.estimating.pattern_places import item_of, microns
from remnants.estimating.rooms.layings import lay_room, lay_stairs
from remnants.estimating.rooms.run_through import run_throughs
from remnants.estimating.rooms.seams import join_seam
from remnants.geometry import TOLERANCE_MM, Point
from remnants.geometry.tolerances import DUST_MM
from remnants.geometry.turn import between, turned_point
from remnants.model import Construction
from remnants.model.order_plan import ROLL, Cut, Laying, Placed
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors, Room, Stairs
from remnants.packing import StripPacking, StripProblem, Watch, lower_bound, pack_roughly, pack_strip
from remnants.units import Unit, write_length

__all__ = ["Final", "Told", "Work", "bearings_of", "finalists"]

Corners = Sequence[tuple[int, int]]

Told = Callable[[float, float], None]
"""Is told of each better plan: roll taken and the least possible for its cuts (mm)."""

WAYS_KEPT = 6
MOST_WAYS = 300
WAYS_IN_HASTE = 4
"""Ways of a room looked at even when there is no time left: an order is always given."""
MOST_BEARINGS = 4
FINALISTS = 3
MOST_KICKS, KICK_TRIES = 10, 4
"""Starts by chance, and how many tries one counts for."""
MOST_RUN_THROUGHS = 6
"""Doorways through which carpet is tried to run."""
PLAIN_SHARE = 0.6
SEARCH_SHARE = 0.5
"""Share of the time for choosing layouts; the rest is for packing the best of them."""

Bearing = tuple[tuple[Laying, ...], ...]
"""For every room of a group, its ways at one bearing."""


@dataclass(frozen=True)
class Work:
    """What does not change during a search: the floors `asked` for, and as they are to be laid (some rooms perhaps as one)."""

    asked: Floors
    floors: Floors
    roll: Roll
    rules: OrderRules
    construction: Construction
    seed: int
    watch: Watch
    told: Told
    known: dict[tuple[str, float], list[Laying]] = field(default_factory=dict, compare=False)
    """Ways of rooms at a bearing that were looked at already: other rooms may be laid as one meanwhile."""

    def problem(self, cuts: Iterable[Cut]) -> StripProblem:
        """The cuts as the packer knows them."""
        width = self.roll.width_mm
        return StripProblem(microns(width), tuple(item_of(cut, self.roll.repeat, width) for cut in cuts))

    def pack(self, cuts: Iterable[Cut], watch: Watch) -> StripPacking:
        """The cuts laid on the roll."""
        return pack_strip(
            self.problem(cuts), watch=watch, seed=self.seed, told=lambda length, bound: self.told(length / 1000, bound / 1000)
        )

    def quick(self, cuts: Iterable[Cut]) -> tuple[float, Corners]:
        """Roughly the roll that the cuts take (mm), and their corners on it (µm)."""
        length, corners = pack_roughly(self.problem(cuts))
        return length / 1000, corners

    def quick_mm(self, cuts: Iterable[Cut]) -> float:
        """Roughly the roll that the cuts take (mm)."""
        return self.quick(cuts)[0]

    def bound_mm(self, cuts: Iterable[Cut]) -> float:
        """Roll that the cuts take at least (mm), found without search."""
        return lower_bound(self.problem(cuts)) / 1000

    def tell(self, cuts: Iterable[Cut]) -> None:
        """Tells how the search stands with these cuts."""
        chosen = tuple(cuts)
        self.told(self.quick_mm(chosen), self.bound_mm(chosen))

    def on_roll(self, cuts: Iterable[Cut], corners: Corners) -> tuple[Placed, ...]:
        """The cuts with their corners (µm) on the roll."""
        return tuple(Placed(cut, ROLL, (x / 1000, y / 1000)) for cut, (x, y) in zip(cuts, corners, strict=True))


@dataclass(frozen=True)
class Final:
    """The floors as laid (some rooms perhaps as one), how, and by a quick packing the roll and drawbacks together (mm)."""

    floors: Floors
    layings: tuple[Laying, ...]
    merit_mm: float

    @property
    def drawback_mm(self) -> float:
        """What the drawbacks weigh (mm)."""
        return sum(laying.drawback_mm for laying in self.layings)


def finalists(work: Work) -> list[Final]:
    """The few combinations of bearings and ways that look best by a quick packing, best first, and the one with least drawbacks.

    First with a join in every doorway between rooms, then with carpet that runs through one doorway after another while that is
    better. Raises NoPlan when connected rooms can't be laid within the rules, naming them.
    """
    watch = work.watch.part(SEARCH_SHARE)
    waiting, tries = list(run_throughs(work.floors)), MOST_RUN_THROUGHS
    found = _found(work, watch.part(PLAIN_SHARE if waiting else 1.0))
    best = found[0]
    while waiting and tries > 0 and not watch.over():
        tries -= 1
        more = _found_if_any(replace(work, floors=waiting.pop(0)), watch.part(1 / (tries + 1)))
        found += more
        if more and more[0].merit_mm < best.merit_mm - DUST_MM:
            best = more[0]
            waiting = list(run_throughs(best.floors))
    found.sort(key=lambda final: final.merit_mm)
    calm = min(found, key=lambda final: (final.drawback_mm, final.merit_mm))
    return list(dict.fromkeys((*found[:FINALISTS], calm)))


def _found_if_any(work: Work, watch: Watch) -> list[Final]:
    try:
        return _found(work, watch)
    except NoPlan:
        return []


def _found(work: Work, watch: Watch) -> list[Final]:
    """The best few ways to lay these floors, best first, and the one with least drawbacks."""
    groups = [_group_bearings(work, group, watch) for group in work.floors.groups]
    groups += [[(tuple(_best_ways(work, _stair_ways(work, flight), watch)),)] for flight in work.floors.stairs]
    finals = [_final(work, merit, layings) for merit, layings in _search(work, groups, watch)]
    finals = sorted(dict.fromkeys(finals), key=lambda final: final.merit_mm)
    calm = min(finals, key=lambda final: (final.drawback_mm, final.merit_mm))
    return list(dict.fromkeys((*finals[:FINALISTS], calm)))


def _final(work: Work, merit_mm: float, layings: tuple[Laying, ...]) -> Final:
    """With the joins in doorways, which weigh the same whatever the layings are."""
    joined, added = [], 0.0
    for laying in layings:
        doors = [door for room, door in work.floors.joins if room == laying.room]
        weights, construction = work.rules.weights, work.construction
        joins = [
            join_seam(laying.room, door, pile_deg=laying.pile_deg, construction=construction, weights=weights) for door in doors
        ]
        drawback = sum(weight for _, weight in joins)
        seams = (*laying.seams, *(seam for seam, _ in joins))
        joined.append(replace(laying, seams=seams, drawback_mm=laying.drawback_mm + drawback))
        added += drawback
    return Final(work.floors, tuple(joined), merit_mm + added)


def _group_bearings(work: Work, group: Sequence[Room], watch: Watch) -> list[Bearing]:
    """The ways of connected rooms at each bearing at which all of them can be laid, the most promising bearing first."""
    found: list[Bearing] = []
    stuck: set[str] = set()
    for bearing in _bearings_asked(work, group):
        ways = [_ways_known(work, room, bearing, watch) for room in group]
        if all(ways):
            found.append(tuple(tuple(each) for each in ways))
        stuck |= {room.name for room, each in zip(group, ways, strict=True) if not each}
    if not found:
        raise NoPlan(_why_not(work, sorted(stuck)))
    return sorted(found, key=lambda each: sum(_alone(work, ways[0]) for ways in each))


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


def _stair_ways(work: Work, flight: Stairs) -> Iterable[Laying]:
    """Ways to cover a flight. Raises NoPlan when a cut is wider than the roll."""
    width = max([flight.cut_width_mm if flight.steps else 0.0, *(width for width, _ in flight.winders)])
    if width > work.roll.width_mm + TOLERANCE_MM:
        needed, wide = (write_length(each, Unit(work.floors.unit)) for each in (width, work.roll.width_mm))
        raise NoPlan(f"{flight.name!r} takes a cut {needed} wide, the roll is {wide} wide: take a wider roll")
    return lay_stairs(flight, work.rules, work.roll)


def _bearings_asked(work: Work, group: Sequence[Room]) -> list[float]:
    """The same bearings whether rooms of the group are laid as one or not."""
    name = group[0].parts[0].name if group[0].parts else group[0].name
    return bearings_of(next(each for each in work.asked.groups if name in {room.name for room in each}))


def _ways_known(work: Work, room: Room, bearing: float, watch: Watch) -> list[Laying]:
    if (room.name, bearing) not in work.known:
        work.known[room.name, bearing] = _best_ways(work, _ways(work, room, bearing), watch)
    return work.known[room.name, bearing]


def _ways(work: Work, room: Room, bearing: float) -> Iterable[Laying]:
    return lay_room(room, bearing, roll=work.roll, rules=work.rules, construction=work.construction)


def _best_ways(work: Work, ways: Iterable[Laying], watch: Watch) -> list[Laying]:
    """The few ways of a room that may end up in the best order: least roll alone, and least area."""
    seen: list[Laying] = []
    for way in islice(ways, MOST_WAYS):
        seen.append(way)
        if len(seen) >= WAYS_IN_HASTE and watch.over():
            break
    rough = sorted(seen, key=lambda way: _area_mm(work, way) + way.drawback_mm)
    alone: list[tuple[float, int]] = []
    for place, way in enumerate(rough):  # no way takes less roll than its area, so the rest can't be among the best
        if len(alone) == WAYS_KEPT and _area_mm(work, way) + way.drawback_mm >= alone[-1][0]:
            break
        alone = sorted([*alone, (_alone(work, way), place)])[:WAYS_KEPT]
    return [rough[place] for place in dict.fromkeys([*(place for _, place in alone), *range(min(WAYS_KEPT, len(rough)))])]


def _area_mm(work: Work, way: Laying) -> float:
    return sum(cut.width_mm * cut.length_mm for cut in way.cuts) / work.roll.width_mm


def _alone(work: Work, way: Laying) -> float:
    return work.quick_mm(way.cuts) + way.drawback_mm


Whole = list[tuple[Laying, ...]]
"""For every group the layings chosen."""


Seen = list[tuple[float, tuple[Laying, ...]]]
"""Wholes looked at, each with its merit (mm)."""


def _search(work: Work, groups: Sequence[list[Bearing]], watch: Watch) -> Seen:
    """Goes down from the most promising ways, then again and again from the best so far with two moves made by chance."""
    chance = random.Random(work.seed)
    seen: Seen = []
    best, merit = _descend(work, groups, [tuple(ways[0] for ways in bearings[0]) for bearings in groups], watch, seen)
    for _ in range(MOST_KICKS):
        work.tell(cut for laying in _flat(best) for cut in laying.cuts)
        if watch.over():
            break
        watch.count(KICK_TRIES)
        start = list(best)
        for index in (chance.randrange(len(groups)) for _ in range(2)):
            start[index] = chance.choice([start[index], *_moves(groups[index], start[index])])
        found, found_merit = _descend(work, groups, start, watch, seen)
        if found_merit < merit - DUST_MM:
            best, merit = found, found_merit
    return seen


def _descend(work: Work, groups: Sequence[list[Bearing]], start: Whole, watch: Watch, seen: Seen) -> tuple[Whole, float]:
    """Changes one room's way, or one group's bearing, at a time while the whole gets better; adds every whole to `seen`."""
    current, best = start, _merit(work, start)
    seen.append((best, _flat(current)))
    better = True
    while better and not watch.over():
        better = False
        for index, bearings in enumerate(groups):
            for trial in _moves(bearings, current[index]):
                if watch.over():
                    return current, best
                whole = [*current[:index], trial, *current[index + 1 :]]
                merit = _merit(work, whole)
                seen.append((merit, _flat(whole)))
                if merit < best - DUST_MM:
                    current, best, better = whole, merit, True
    return current, best


def _moves(bearings: Sequence[Bearing], chosen: tuple[Laying, ...]) -> Iterable[tuple[Laying, ...]]:
    """The group at another bearing, or with one room laid in another way."""
    for ways in bearings:
        if chosen[0].pile_deg != ways[0][0].pile_deg:
            yield tuple(each[0] for each in ways)
            continue
        for index, each in enumerate(ways):
            yield from ((*chosen[:index], way, *chosen[index + 1 :]) for way in each if way is not chosen[index])


def _flat(whole: Whole) -> tuple[Laying, ...]:
    return tuple(laying for group in whole for laying in group)


def _merit(work: Work, whole: Whole) -> float:
    layings = _flat(whole)
    return work.quick_mm(cut for laying in layings for cut in laying.cuts) + sum(laying.drawback_mm for laying in layings)


def bearings_of(group: Sequence[Room]) -> list[float]:
    """Pile bearings to try for connected rooms: the fixed one, else along and across their longest walls, facing the entry."""
    fixed = next((room.pile_deg for room in group if room.pile_deg is not None), None)
    if fixed is not None:
        return [fixed % 360]
    lengths: dict[float, float] = {}
    for room in group:
        ring = room.outline.ring
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            bearing = round(_bearing(a, b) % 90, 6) % 90
            lengths[bearing] = lengths.get(bearing, 0.0) + abs(complex(b[0] - a[0], b[1] - a[1]))
    longest = sorted(lengths, key=lambda bearing: (-lengths[bearing], bearing))[: MOST_BEARINGS // 2]
    return [_toward_entry(group, bearing + quarter) for bearing in longest for quarter in (0.0, 90.0)]


def _bearing(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[0] - a[0], b[1] - a[1]))


def _toward_entry(group: Sequence[Room], bearing: float) -> float:
    """The bearing or its opposite: the pile faces the entry, where one is known (CRI and trade training: where possible)."""
    for room in group:
        for door in room.doorways:
            if door.entry:
                low, high = room.outline.bounds[:2], room.outline.bounds[2:]
                middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
                way = turned_point((door.middle[0] - middle[0], door.middle[1] - middle[1]), between(bearing, 0.0))
                return bearing if way[1] >= 0 else bearing + 180.0
    return bearing
