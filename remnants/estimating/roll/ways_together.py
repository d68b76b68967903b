"""Which way for each room: bearings and layouts chosen together, so that the whole takes least roll and has few drawbacks."""

import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from remnants.errors import NoPlan
from remnants.estimating.roll.room_ways import Bearing, group_bearings, stair_ways
from remnants.estimating.roll.work import Work
from remnants.estimating.rooms.run_through import run_throughs
from remnants.estimating.rooms.seams import join_seam
from remnants.geometry.tolerances import DUST_MM
from remnants.model.order_plan import Laying
from remnants.model.rooms import Floors
from remnants.packing import Watch

__all__ = ["Final", "finalists"]

CUTS_PER_TRY = 100
"""Cuts packed quickly that count for one try."""

FINALISTS = 3
MOST_KICKS, KICK_TRIES = 10, 4
"""Starts by chance, and how many tries one counts for."""
MOST_RUN_THROUGHS = 6
"""Doorways through which carpet is tried to run."""
PLAIN_SHARE = 0.6
SEARCH_SHARE = 0.5
"""Share of the time for choosing layouts; the rest is for packing the best of them."""


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
    groups = [group_bearings(work, group, watch) for group in work.floors.groups]
    groups += [[(stair_ways(work, flight, watch),)] for flight in work.floors.stairs]
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
    current, best = start, _merit(work, start, watch)
    seen.append((best, _flat(current)))
    better = True
    while better and not watch.over():
        better = False
        for index, bearings in enumerate(groups):
            for trial in _moves(bearings, current[index]):
                if watch.over():
                    return current, best
                whole = [*current[:index], trial, *current[index + 1 :]]
                merit = _merit(work, whole, watch)
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


def _merit(work: Work, whole: Whole, watch: Watch) -> float:
    """Roll by a quick packing, and drawbacks (mm). The more cuts, the more effort it counts for."""
    layings = _flat(whole)
    watch.count(sum(len(laying.cuts) for laying in layings) / CUTS_PER_TRY)
    return work.quick_mm(cut for laying in layings for cut in laying.cuts) + sum(laying.drawback_mm for laying in layings)
