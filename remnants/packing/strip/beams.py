"""One beam after another, each for a length shorter than the best so far: first led by guides found by trial, then by chance.

Which guide suits a strip can't be told beforehand, and many narrow beams led each another way find more than a few wide ones.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass

from remnants.packing.strip.beam import Filled, Guide, fill_by_beam
from remnants.packing.strip.problem import Item, StripProblem
from remnants.packing.watch import Watch

__all__ = ["guide_by_chance", "shorten_by_beams", "shorten_quickly"]

Corners = tuple[tuple[int, int], ...]

LARGE_FIRST = Guide(waste=50.0, small=1.4, steps=0.3, level=-0.05, filled=-0.15, uneven=0.15)
EVEN = Guide(waste=33.0, small=0.2, uneven=0.05)
LONG_FIRST = Guide(waste=40.0, small=0.0, steps=0.2, narrow=0.2, short=1.6)
"""The guides; their figures were found by trial on strips cut up whole. The first is best at leaving no waste among few items,
the last at little waste among many, in beams of unlike skylines."""

FEW = 40


@dataclass(frozen=True, slots=True)
class _Way:
    """A guide, another that it passes to as the strip fills, whether the strip is filled from its side, whether a beam is of
    unlike skylines (see `fill_by_beam`), whether the bound is tried, and how many lengths above it are."""

    guide: Guide
    late: Guide | None = None
    turned: bool = False
    unlike: bool = False
    at_bound: bool = True
    above: int = 0


WAYS_FEW = _Way(LARGE_FIRST), _Way(LARGE_FIRST, turned=True)
WAYS_MANY = tuple(_Way(LONG_FIRST, turned=turned, unlike=True, at_bound=False, above=2) for turned in (False, True))


NARROWEST, ROUNDS, TIMES_WIDER = 100, 4, 5
"""Skylines kept by the first beams; and how often they are made so much wider."""

NARROWEST_MANY = 40
"""Skylines kept by the first beams among many items."""

SKYLINES_OF_ALL = 20_000
"""Guides by chance begin with so many skylines among all items together, a step for each."""

BY_CHANCE_MANY = 60
"""Guides by chance in each round among many items, where nothing else is tried."""

ABOVE_FEW = 6
"""Guides by chance in each wider round among few items, for less than the best."""

BY_CHANCE_FEW, CHANCE_FEW_FROM = 12, 2500
"""Among few items guides found by trial mostly do, in beams so wide; what they miss, chance tries in narrower ones after them."""

FIRST_STEP, LEAST_STEP, SMALLER_STEP = 0.35, 0.1, 0.75
"""A beam by chance aims below the best by such a share of what it lies above the bound: by less after each that found nothing."""

UNLIKE_STEP = 4
"""Beams of unlike skylines begin at such a part of what the best lies above the bound: mostly they reach it."""

Told = Callable[[Corners], None]


def shorten_quickly(problem: StripProblem, *, length: int, bound: int, watch: Watch, better: Told) -> None:
    """The first narrow beams of `shorten_by_beams` where there are many items; of few, nothing."""
    if len(problem.items) > FEW:
        _Search(problem, length, bound, watch, better).quickly()


def shorten_by_beams(problem: StripProblem, *, length: int, bound: int, watch: Watch, better: Told, begun: bool = False) -> None:
    """Tells `better` of each packing found that is shorter than `length`; ends at `bound`.

    The items must have no lattice. Beams grow wider until none had to leave a skyline out. The chance is always the same.
    `begun`: `shorten_quickly` was asked before, and isn't done again.
    """
    search = _Search(problem, length, bound, watch, better)
    few = len(problem.items) <= FEW
    if not few and not begun:
        search.quickly()
    most = NARROWEST if few else max(NARROWEST_MANY, SKYLINES_OF_ALL // len(problem.items))
    for _ in range(ROUNDS):
        search.cut_short = False
        if few:
            search.among_few(most)
        else:
            search.by_chance(BY_CHANCE_MANY, most, at_bound=False)
        if search.over() or not search.cut_short:
            return
        most *= TIMES_WIDER


class _Search:
    """The length of the best so far; never leaves this module."""

    def __init__(self, problem: StripProblem, length: int, bound: int, watch: Watch, better: Told) -> None:
        self._problem, self._best, self._bound = problem, length, bound
        self._watch, self._better = watch, better
        self._chance = random.Random(0)
        self._step = FIRST_STEP
        self.cut_short = False

    def over(self) -> bool:
        """True when there is nothing shorter, or no time."""
        return self._best <= self._bound or self._watch.over()

    def quickly(self) -> None:
        """Every way for many items, the narrowest beams."""
        for way in WAYS_MANY:
            self.halve(way, NARROWEST_MANY)

    def among_few(self, most: int) -> None:
        """For the bound, and for what lies above it: at first by a guide found by trial, then by chance in narrow beams."""
        for way in WAYS_FEW:
            self.halve(way, most)
        if most == NARROWEST:
            self.halve(_Way(EVEN, at_bound=False, above=5), most)
            return
        cut_short = self.cut_short  # that unlike skylines leave others out is no reason to grow wider
        self.by_chance(ABOVE_FEW, NARROWEST, at_bound=False)
        self.cut_short = cut_short
        if most >= CHANCE_FEW_FROM:
            self.by_chance(BY_CHANCE_FEW, most // TIMES_WIDER, at_bound=True)

    def halve(self, way: _Way, most: int) -> None:
        """One way, for the bound and then for lengths between it and the best."""
        low, share = self._bound, UNLIKE_STEP if way.unlike else 2
        target = low if way.at_bound else low + (self._best - low) // share
        for _ in range(way.at_bound + way.above):
            if target >= self._best or self.over():
                return
            if not self._found(target, way, most):
                low = target + 1
            target = low + (self._best - low) // share

    def by_chance(self, times: int, most: int, *, at_bound: bool) -> None:
        """Guides by chance: three of four for the bound where few items may leave no waste, else for less than the best."""
        for time in range(times):
            if self.over():
                return
            for_bound, turned = at_bound and time % 4 > 0, self._chance.random() < 0.5
            way = _Way(guide_by_chance(self._chance), guide_by_chance(self._chance), turned=turned, unlike=not for_bound)
            if for_bound:
                self._found(self._bound, way, most)
                continue
            step = max(1, round((self._best - self._bound) * self._step))
            found = self._found(max(self._bound, self._best - step), way, most)
            self._step = self._step if found else max(LEAST_STEP, self._step * SMALLER_STEP)

    def _found(self, length: int, way: _Way, most: int) -> bool:
        filled = _filled(self._problem, length, most, way, self._watch)
        self.cut_short |= filled.cut_short
        if filled.corners is None:
            return False
        self._best = max(y + item.length for (_, y), item in zip(filled.corners, self._problem.items, strict=True))
        self._better(filled.corners)
        return True


def guide_by_chance(chance: random.Random) -> Guide:
    """A guide by chance, within what was good on strips cut up whole; each lesser rule is left out as often as not."""

    def some(most: float) -> float:
        return chance.choice((0.0, 1.0)) * chance.uniform(0.0, most)

    return Guide(
        waste=10 ** chance.uniform(1.1, 1.8),
        small=some(1.5),
        steps=chance.uniform(0.12, 0.4),
        level=-some(0.3),
        filled=-some(0.3),
        uneven=some(0.12),
        narrow=chance.uniform(-0.2, 0.6),
        short=chance.uniform(0.9, 2.2),
    )


def _filled(problem: StripProblem, length: int, most: int, way: _Way, watch: Watch) -> Filled:
    if not way.turned:
        return fill_by_beam(problem, length, most=most, guide=way.guide, late=way.late, watch=watch, unlike=way.unlike)
    if any(item.length > length for item in problem.items):
        return Filled(None, False)
    across = StripProblem(length, tuple(Item(item.length, item.width) for item in problem.items))
    filled = fill_by_beam(across, problem.width, most=most, guide=way.guide, late=way.late, watch=watch, unlike=way.unlike)
    corners = None if filled.corners is None else tuple((y, x) for x, y in filled.corners)
    return Filled(corners, filled.cut_short)
