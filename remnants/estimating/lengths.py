"""The full-width lengths that come off a roll: cuts set so that a crosscut parts no cut wherever that costs no carpet."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from remnants.geometry import TOLERANCE_MM
from remnants.model.order_plan import ROLL, OrderPlan, Placed

__all__ = ["Length", "in_lengths", "lengths_of"]

MOST_SET_ANEW = 9
"""Cuts of one length that are set in every way; of more the length stays as it was packed."""

Run = list[Placed]


@dataclass(frozen=True)
class Length:
    """A length to take off a roll across its whole width: where it starts along it, how long it is, and the cuts in it (mm).

    The cuts lie where they do on the length: its corner is (0, 0).
    """

    number: int
    roll: str
    start_mm: float
    length_mm: float
    cuts: tuple[Placed, ...]


def lengths_of(plan: OrderPlan) -> tuple[Length, ...]:
    """Every length of the order, in the order in which they come off their rolls. What is waste behind a cut stays with it."""
    found: list[Length] = []
    off_roll = [each for each in plan.placed if each.source == ROLL]
    for taken in plan.taken:
        on_it = [replace(each, at=(each.at[0], plan.along_mm(each))) for each in off_roll if plan.roll_of(each) == taken]
        runs = _runs(on_it)
        starts = [0.0, *(min(each.at[1] for each in run) for run in runs[1:]), taken.length_mm]
        for run, start, end in zip(runs, starts, starts[1:], strict=False):
            cuts = tuple(replace(each, at=(each.at[0], each.at[1] - start)) for each in run)
            found.append(Length(len(found) + 1, taken.name, start, end - start, cuts))
    return tuple(found)


def in_lengths(placed: Sequence[Placed], width_mm: float, order: Mapping[str, int]) -> tuple[Placed, ...]:
    """The cuts of one roll in as many lengths as go without more roll, each room's one after another: goods without a pattern.

    `order` tells for every cut, by its name, when it is wanted: breadths that lie side by side come off the roll side by side.
    """
    runs = [anew for run in _runs(placed) for anew in _set_anew(run, width_mm, order)]
    runs.sort(key=lambda run: min(order[each.cut.name] for each in run))
    made: list[Placed] = []
    start = 0.0
    for run in runs:
        low = min(each.at[1] for each in run)
        made += [replace(each, at=(each.at[0], each.at[1] - low + start)) for each in run]
        start += _high(run) - low
    return tuple(made)


def _runs(placed: Sequence[Placed]) -> list[Run]:
    """The cuts in runs between which a crosscut parts none of them."""
    runs: list[Run] = []
    for each in sorted(placed, key=lambda one: (one.at[1], one.at[0])):
        if runs and each.at[1] < _high(runs[-1]) - TOLERANCE_MM:
            runs[-1].append(each)
        else:
            runs.append([each])
    return runs


def _high(run: Run) -> float:
    return max(each.at[1] + each.cut.length_mm for each in run)


def _set_anew(run: Run, width_mm: float, order: Mapping[str, int]) -> list[Run]:
    """The run as several that together are no longer, if they go; else as it is."""
    if not 1 < len(run) <= MOST_SET_ANEW:
        return [run]
    cuts = sorted(run, key=lambda each: order[each.cut.name])

    @cache
    def level(chosen: int) -> Run | None:
        return _level([each for place, each in enumerate(cuts) if chosen >> place & 1], width_mm)

    @cache
    def best(left: int) -> tuple[float, int, tuple[int, ...]]:
        """Length taken, levels (counted below zero) and the levels themselves of the cuts in `left`."""
        if not left:
            return 0.0, 0, ()
        first, rest = left & -left, left & (left - 1)
        found: tuple[float, int, tuple[int, ...]] = (math.inf, 0, ())
        more = rest
        while True:
            made = level(first | more)
            if made:
                length, count, levels = best(left & ~(first | more))
                found = min(found, (round(length + _high(made), 3), count - 1, (first | more, *levels)))
            if not more:
                return found
            more = (more - 1) & rest

    length, _, levels = best((1 << len(cuts)) - 1)
    taken = _high(run) - min(each.at[1] for each in run)
    if length > taken + TOLERANCE_MM or len(levels) < 2:
        return [run]
    return [made for chosen in levels if (made := level(chosen))]


def _level(cuts: Run, width_mm: float) -> Run | None:
    """The cuts side by side over the longest one's length, short ones behind one another; None where they are too wide."""
    high = max(each.cut.length_mm for each in cuts)
    columns: list[tuple[float, float]] = []
    homes: list[tuple[Placed, int, float]] = []
    wanted = {each.cut.name: place for place, each in enumerate(cuts)}
    for each in sorted(cuts, key=lambda one: -one.cut.width_mm):
        long = each.cut.length_mm
        place = next((n for n, (_, used) in enumerate(columns) if used + long <= high + TOLERANCE_MM), len(columns))
        if place == len(columns):
            columns.append((each.cut.width_mm, 0.0))
        homes.append((each, place, columns[place][1]))
        columns[place] = columns[place][0], columns[place][1] + long
    if sum(wide for wide, _ in columns) > width_mm + TOLERANCE_MM:
        return None
    first = [min(wanted[each.cut.name] for each, home, _ in homes if home == place) for place in range(len(columns))]
    before = [[wide for (wide, _), start in zip(columns, first, strict=True) if start < own] for own in first]
    lefts = [sum(each) for each in before]
    return [replace(each, at=(lefts[place], low)) for each, place, low in homes]
