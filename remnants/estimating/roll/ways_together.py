"""Which way for each room: bearings and layouts chosen together, so that the whole takes least roll and has few drawbacks."""

import math
import random
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import chain, islice, product

from remnants.errors import NoPlan
from remnants.estimating.roll.choices import Final, Seen, frontier
from remnants.estimating.roll.room_ways import Bearing, group_bearings, stair_ways
from remnants.estimating.roll.seams_anywhere import seams_anywhere
from remnants.estimating.roll.widths_left import widths_left
from remnants.estimating.roll.work import Work
from remnants.estimating.rooms.run_through import run_throughs
from remnants.estimating.rooms.seams import with_joins
from remnants.geometry.tolerances import DUST_MM
from remnants.model.order_plan import Laying
from remnants.packing import Watch

__all__ = ["finalists"]

CUTS_PER_TRY, MANY_CUTS = 300, 150
"""Cuts packed quickly that count for one try; of so many at once it is three halves, as each is looked at beside all others."""

FINALISTS = 3

MOST_WHOLES = 3000
"""So many wholes are all looked at."""

MOST_CORE = 1000
"""Wholes looked at of the ways best alone, where there are too many of all."""

ANYWHERE_SHARE = 0.25
"""Share of what is left after the search among usual places, for seams wherever the roll wants them."""

MERIT_SHARE, EACH_SHARE, CALM_TIMES = 0.5, 0.2, 6.0
"""Shares of the search for the best by merit, and of what is left for each look from elsewhere; how much more drawbacks weigh
where fewer are looked for."""

MOST_KICKS, KICK_TRIES = 10, 4
"""Starts by chance, and how many tries one counts for."""
MOST_RUN_THROUGHS = 6
"""Doorways through which carpet is tried to run."""
PLAIN_SHARE = 0.6
SEARCH_SHARE = 0.5
"""Share of the time for choosing layouts; the rest is for packing the best of them."""


def finalists(work: Work) -> list[Final]:
    """The few combinations of bearings and ways that look best by a quick packing, best first.

    Among them the one with least drawbacks, and the choices from the fewest seams to the shortest roll.

    First with a join in every doorway between rooms, then with carpet that runs through one doorway after another while that is
    better. Raises NoPlan when connected rooms can't be laid within the rules, naming them.
    """
    work = replace(work, beside_mm=widths_left(work.asked, work.roll, work.rules))
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
    kept = dict.fromkeys((*found[:FINALISTS], calm, *frontier(found)))
    return sorted(kept, key=lambda final: final.merit_mm)


def _found_if_any(work: Work, watch: Watch) -> list[Final]:
    try:
        return _found(work, watch)
    except NoPlan:
        return []


def _found(work: Work, watch: Watch) -> list[Final]:
    """The best few ways to lay these floors, best first, the one with least drawbacks, and those of the frontier."""
    groups = [group_bearings(work, group, watch) for group in work.floors.groups]
    groups += [[(stair_ways(work, flight, watch),)] for flight in work.floors.stairs]
    seen = sorted(dict.fromkeys(_search(work, groups, watch)), key=lambda each: each.merit_mm)
    calm = min(seen, key=lambda each: (each.drawback_mm, each.merit_mm))
    kept = dict.fromkeys((*seen[:FINALISTS], calm, *frontier(seen)))
    return [_final(work, each.merit_mm, each.layings) for each in kept]


def _final(work: Work, merit_mm: float, layings: tuple[Laying, ...]) -> Final:
    """With the joins in doorways, which weigh the same whatever the layings are."""
    joined = [with_joins(laying, work.floors, work.rules, work.construction) for laying in layings]
    added = sum(each.drawback_mm - laying.drawback_mm for each, laying in zip(joined, layings, strict=True))
    return Final(work.floors, tuple(joined), merit_mm + added)


Whole = list[tuple[Laying, ...]]
"""For every group the layings chosen."""

Groups = Sequence[list[Bearing]]


def _search(work: Work, groups: Groups, watch: Watch) -> list[Seen]:
    """Every whole where they are few; else down from the most promising, by merit, by roll alone and by drawbacks above all."""
    seen = _of_usual_places(work, groups, watch)
    return [*seen, *seams_anywhere(work, groups, seen, work.watch.part(ANYWHERE_SHARE))]


def _of_usual_places(work: Work, groups: Groups, watch: Watch) -> list[Seen]:
    wholes = math.prod(sum(math.prod(map(len, ways)) for ways in bearings) for bearings in groups)
    if wholes <= MOST_WHOLES:
        return _every(work, groups, watch)
    seen: list[Seen] = []
    first = [tuple(ways[0] for ways in bearings[0]) for bearings in groups]
    best = _by_chance(work, groups, watch.part(MERIT_SHARE), seen, first)
    seen += _every_core(work, groups, watch.part(EACH_SHARE))
    for weigh in (CALM_TIMES, 0.0):
        starts = best, [_least(work, bearings, weigh) for bearings in groups]
        found = [_descend(work, groups, start, watch.part(EACH_SHARE), seen, weigh=weigh) for start in starts]
    shortest = min(found, key=lambda each: each[1])[0]
    _by_chance(work, groups, watch, seen, shortest, weigh=0.0)
    return seen


def _every_core(work: Work, groups: Groups, watch: Watch) -> list[Seen]:
    """Every whole of the few ways of each group that are best alone, by seams and by roll: one change at a time misses some."""
    most = int(MOST_CORE ** (1 / len(groups)))
    if most < 2:
        return []
    few: list[list[tuple[Laying, ...]]] = []
    for bearings in groups:
        wholes = [whole for ways in bearings for whole in islice(product(*ways), MOST_CORE)]
        length = {whole: sum(work.quick_mm(way.cuts) for way in whole) for whole in wholes}
        by_length = sorted(wholes, key=lambda whole: length[whole])
        by_merit = sorted(wholes, key=lambda whole: length[whole] + sum(way.drawback_mm for way in whole))
        by_seams = sorted(wholes, key=lambda whole: sum(len(way.seams) for way in whole))
        few.append(list(dict.fromkeys(chain.from_iterable(zip(by_seams, by_merit, by_length, strict=True))))[:most])
    seen: list[Seen] = []
    for whole in product(*few):
        if watch.over():
            break
        seen.append(_look(work, list(whole), watch))
    return seen


def _least(work: Work, bearings: Sequence[Bearing], weigh: float) -> tuple[Laying, ...]:
    """Of every room of a group the way that is best alone, where drawbacks weigh so, at the bearing where that is least."""

    def alone(way: Laying) -> float:
        return work.quick_mm(way.cuts) + weigh * way.drawback_mm

    wholes = [tuple(min(ways, key=alone) for ways in rooms) for rooms in bearings]
    return min(wholes, key=lambda whole: sum(map(alone, whole)))


def _every(work: Work, groups: Groups, watch: Watch) -> list[Seen]:
    choices = [[whole for ways in bearings for whole in product(*ways)] for bearings in groups]
    seen: list[Seen] = []
    for whole in product(*choices):
        seen.append(_look(work, list(whole), watch))
        if watch.timed_out():
            break
    best = min(seen, key=lambda each: each.merit_mm)
    work.tell(cut for laying in best.layings for cut in laying.cuts)
    return seen


def _by_chance(work: Work, groups: Groups, watch: Watch, seen: list[Seen], start: Whole, *, weigh: float = 1.0) -> Whole:
    """Goes down from the start, then again and again from the best so far with two moves made by chance."""
    chance = random.Random(work.seed)
    best, merit = _descend(work, groups, start, watch, seen, weigh=weigh)
    for _ in range(MOST_KICKS):
        work.tell(cut for laying in _flat(best) for cut in laying.cuts)
        if watch.over():
            break
        watch.count(KICK_TRIES)
        kicked = list(best)
        for index in (chance.randrange(len(groups)) for _ in range(2)):
            kicked[index] = chance.choice([kicked[index], *_moves(groups[index], kicked[index])])
        found, found_merit = _descend(work, groups, kicked, watch, seen, weigh=weigh)
        if found_merit < merit - DUST_MM:
            best, merit = found, found_merit
    return best


def _descend(
    work: Work, groups: Groups, start: Whole, watch: Watch, seen: list[Seen], *, weigh: float = 1.0
) -> tuple[Whole, float]:
    """Changes one room's way, or one group's bearing, at a time while roll and drawbacks, weighed so, get less."""

    def looked(whole: Whole) -> float:
        seen.append(_look(work, whole, watch))
        return seen[-1].length_mm + weigh * seen[-1].drawback_mm

    current, best = start, looked(start)
    better = True
    while better and not watch.over():
        better = False
        for index, bearings in enumerate(groups):
            for trial in _moves(bearings, current[index]):
                if watch.over():
                    return current, best
                whole = [*current[:index], trial, *current[index + 1 :]]
                merit = looked(whole)
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


def _look(work: Work, whole: Whole, watch: Watch) -> Seen:
    """The whole by a quick packing. The more cuts, the more effort it counts for."""
    layings = _flat(whole)
    cuts = sum(len(laying.cuts) for laying in layings)
    watch.count(cuts / CUTS_PER_TRY + (cuts / MANY_CUTS) ** 2)
    return Seen(work.quick_mm(cut for laying in layings for cut in laying.cuts), layings)
