"""How much roll a few rectangular rooms can't go below however they are seamed: mostly just what the shortest choice takes.

`least_length` bounds every floor by columns and rows; this packs what is common to all ways of laying, and so is nearer where it
can be asked: no pattern, no joins end to end, no flight, no carpet that runs through a doorway.
"""

import math

from remnants.estimating.pattern_places import microns
from remnants.estimating.roll.bearings import bearings_of
from remnants.estimating.roll.work import Work
from remnants.estimating.rooms.room_at_bearing import Site
from remnants.estimating.rooms.run_through import run_throughs
from remnants.geometry import TOLERANCE_MM
from remnants.packing import DividedProblem, Divisible, Watch, divided_bound

__all__ = ["least_of_rectangles_mm"]

MOST_ROOMS = 8
"""Of more rooms there are too many sums of lengths, mostly of fewer already."""

MOST_PROGRAMMES = 40
"""Programmes solved at most."""


def least_of_rectangles_mm(work: Work, *, least_mm: float, known_mm: float) -> float:
    """A nearer bound (mm) than `least_mm`, at most `known_mm`, the roll of an order; `least_mm` where none can be told."""
    rules, roll = work.rules, work.roll
    if known_mm <= least_mm + TOLERANCE_MM or roll.repeat or rules.cross_seams or not _few(work):
        return least_mm
    items = []
    for turn, group in enumerate(work.floors.groups):
        bearings = bearings_of(group)
        for room in group:
            sites = [Site(room, pile, roll=roll, rules=rules, construction=work.construction) for pile in bearings]
            if not all(site.is_rectangle for site in sites):
                return least_mm
            items.append(Divisible(tuple(_size(work, site) for site in sites), turn))
    trims = min(trim for room in work.floors.rooms for trim in room.trims_mm)
    least = rules.least_fill_mm + rules.seam_mm + min(trims, rules.seam_mm) - 2 * TOLERANCE_MM
    width = microns(roll.width_mm + 2 * TOLERANCE_MM) + microns(roll.width_mm) // 500_000
    problem = DividedProblem(width, tuple(items), microns(2 * rules.seam_mm), max(1, microns(least)))
    watch = Watch(tries=MOST_PROGRAMMES, stop=work.watch.timed_out)
    found = divided_bound(problem, bound=math.floor(least_mm * 1000), known=microns(known_mm), watch=watch) / 1000
    return max(least_mm, min(found, known_mm))


def _few(work: Work) -> bool:
    floors = work.floors
    return 0 < len(floors.rooms) <= MOST_ROOMS and not floors.stairs and not any(run_throughs(floors))


def _size(work: Work, site: Site) -> tuple[int, int]:
    """Width with its trims, and the length to cut (µm)."""
    left, low, right, high = site.outer
    return math.floor(round((right - left) * 1000, 3)), microns(work.rules.cut_length_mm(high - low, None))
