"""Many patches share the donors: a quick start, search that takes a few patches out and puts them in again, and a bound.

No plan can be better than every patch made alone from untouched stock: that is the bound. Where it is reached the plan is the
best possible; where it isn't, small jobs of rectangles are solved to the end by the exact solver.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from remnants.fitting.ask import Ask
from remnants.fitting.exact import solve_exactly
from remnants.fitting.field import Field
from remnants.fitting.layout import leaves
from remnants.fitting.one import Made, best_for, donors_of
from remnants.fitting.rules import Rules
from remnants.fitting.squeezing import squeezes
from remnants.geometry.outline import Outline, area_mm2
from remnants.model.match import Candidate
from remnants.packing import Watch

__all__ = ["Merit", "Shared", "Told", "merit_of", "share"]

Merit = tuple[int, int, int, int, int]
"""Patches not filled, then over those filled: sum of match grades, of wear steps, of parts, of points for how seams show."""

BEST: Merit = (0, 0, 0, 1, 0)
"""The best merit that a patch can have: whole, of the same lot."""

Told = Callable[[Merit, Merit], None]
"""Hears of each better plan: its merit and the bound."""

MOST_OUT = 4
"""Patches taken out at once."""

SQUEEZES, STEPS = 9, 4
"""Tries of making room on a donor to one change of that kind, and the steps of such a search that count as one."""

FEW_PROGRAMMES = 200
"""Linear programmes that one donor is worth once patches share donors: much that is cut away makes each of them long."""

MANY = 8
"""Patches from which on changes to the plan look at few places for each: more changes are worth more than the best place."""

EXACT_WORK = 0.6
"""Most that the exact solver may think about a job, in its own count of work: some 3 seconds on an ordinary machine."""


@dataclass(frozen=True)
class Shared:
    """What becomes of each patch (None: nothing), its merit, and a merit that no plan can beat.

    `fields` are the donors of each patch from untouched stock.
    """

    made: tuple[Made | None, ...]
    merit: Merit
    bound: Merit
    fields: tuple[Field, ...]

    @property
    def proved(self) -> bool:
        """True if no plan fills more, matches better, or has fewer parts or less showing seams."""
        return self.merit <= self.bound


def merit_of(made: Sequence[Made | None]) -> Merit:
    """The terms of merit that customers see; less is better."""
    filled = [each for each in made if each is not None]
    return (
        len(made) - len(filled),
        sum(each.match[0] for each in filled),
        sum(each.match[1] for each in filled),
        sum(len(leaves(each.layout)) for each in filled),
        sum(each.points for each in filled),
    )


def share(
    asks: Sequence[Ask],
    candidates: Sequence[Sequence[Candidate]],
    *,
    watch: Watch,
    seed: int = 0,
    told: Told = lambda _merit, _bound: None,
) -> Shared:
    """The best plan found for all patches together before the watch is over. Same input, seed and tries: same plan."""
    whole_stock = left_of(candidates, ())
    fields = tuple(Field(tuple(donors_of(ask.patch, own, whole_stock))) for ask, own in zip(asks, candidates, strict=True))
    alone = [best_for(ask, field) for ask, field in zip(asks, fields, strict=True)]
    bound = _bound(asks, alone)
    if _compatible(alone):
        return Shared(tuple(alone), merit_of(alone), bound, fields)
    search = _Search(asks, candidates, alone, bound, told)
    order = sorted(range(len(asks)), key=lambda i: (-abs(area_mm2(asks[i].shape.cut)), i))
    search.offer(search.put_in([None] * len(asks), order))
    if search.best_merit > bound and not watch.over():
        search.ask_exact(watch, seed)
    search.run(watch, random.Random(seed))
    return Shared(tuple(search.best), search.best_merit, search.bound, fields)


def left_of(candidates: Sequence[Sequence[Candidate]], made: Sequence[Made | None]) -> dict[str, Outline]:
    """What is left of every candidate by tag, each cut of the plans made a cutout."""
    left = {candidate.piece.tag: candidate.piece.outline for own in candidates for candidate in own}
    for each in made:
        for tag, cut in each.cuts if each is not None else ():
            left[tag] = replace(left[tag], cutouts=(*left[tag].cutouts, cut))
    return left


def _bound(asks: Sequence[Ask], alone: Sequence[Made | None]) -> Merit:
    """A merit that no plan can beat: each patch alone, and the best there is where a search gave something up."""
    floors = [BEST if ask.undecided else _floor(each) for ask, each in zip(asks, alone, strict=True)]
    unfilled, grade, wear, parts, points = (sum(terms) for terms in zip(*floors, strict=True))
    return unfilled, grade, wear, parts, points


def _floor(alone: Made | None) -> Merit:
    """A merit that no way to make one patch can beat."""
    *terms, points = merit_of([alone])
    unfilled, grade, wear, parts = terms
    return unfilled, grade, wear, parts, points if alone is None else alone.least_points


def _compatible(made: Sequence[Made | None]) -> bool:
    """True if no two patches use the same piece."""
    tags = [tag for each in made if each is not None for tag in {tag for tag, _ in each.cuts}]
    return len(tags) == len(set(tags))


class _Search:
    """The working state of one search; never leaves this module."""

    def __init__(
        self,
        asks: Sequence[Ask],
        candidates: Sequence[Sequence[Candidate]],
        alone: Sequence[Made | None],
        bound: Merit,
        told: Told,
    ) -> None:
        self.asks, self.candidates, self.alone, self.bound, self.told = asks, candidates, alone, bound, told
        self.asks_again = [replace(ask, programmes=FEW_PROGRAMMES) for ask in asks]
        self.quick = [replace(ask, rules=_quick(ask.rules)) if len(asks) >= MANY else ask for ask in self.asks_again]
        self.best: list[Made | None] = [None] * len(asks)
        self.best_merit = merit_of(self.best)
        self.best_rank = self.rank(self.best)

    def rank(self, made: Sequence[Made | None]) -> tuple[object, ...]:
        """Sorts plans: merit, then what is spoiled (to the square centimetre), then donors fetched."""
        filled = [each for each in made if each is not None]
        tags = {tag for each in filled for tag, _ in each.cuts}
        return *merit_of(made), sum(round(each.spoiled / 100) for each in filled), len(tags)

    def offer(self, made: Sequence[Made | None]) -> None:
        """Keeps a plan if it is better than the best."""
        rank = self.rank(made)
        if rank < self.best_rank:
            self.best[:] = made  # those who make room read the same list
            self.best_rank, self.best_merit = rank, merit_of(made)
            self.told(self.best_merit, self.bound)

    def put_in(self, made: Sequence[Made | None], order: Sequence[int], watch: Watch | None = None) -> list[Made | None]:
        """The plan with the patches of `order` made one after the other from what the rest leaves.

        With a `watch` it ends where somebody asks to stop, and looks less closely at what each place leaves.
        """
        plan = list(made)
        for index in order:
            if watch is not None and watch.stopped():
                break
            left = left_of(self.candidates, plan)
            own = donors_of(self.asks[index].patch, self.candidates[index], left)
            plan[index] = best_for(self.asks[index], Field(tuple(own))) if self.alone[index] is not None else None
        return plan

    def ask_exact(self, watch: Watch, seed: int) -> None:
        """The exact solver's word on a small job of rectangles: a better plan, a better bound, or both."""
        whole_stock = left_of(self.candidates, ())
        own = [donors_of(ask.patch, each, whole_stock) for ask, each in zip(self.asks, self.candidates, strict=True)]
        answer = solve_exactly(self.asks, own, work=EXACT_WORK, watch=watch, seed=seed)
        if answer is None:
            return
        self.offer(answer.made)
        more_parts = any(ask.patch.max_parts > 2 for ask in self.asks)  # it knows joins of two parts only
        if not more_parts:
            unfilled, grade, wear, seams, points = answer.bound
            proved = unfilled, grade, wear, len(self.asks) - unfilled + seams, points
            self.bound = min(max(self.bound, proved), self.best_merit)

    def run(self, watch: Watch, rng: random.Random) -> None:
        """Makes room on one donor after the other, and takes a few patches out and puts them in again, while the watch allows."""
        open_to = [index for index, each in enumerate(self.alone) if each is not None]
        rooms = squeezes(self.asks, self.candidates, self.alone, self.best, random.Random(rng.random()))
        while not watch.over() and len(open_to) > 1 and self.best_merit > self.bound:
            for step, plan in enumerate(islice(rooms, SQUEEZES * STEPS)):
                watch.count(int(step % STEPS == 0))
                if plan is not None:
                    self.offer(plan)
                if watch.over():
                    break
            watch.count()
            out = self._taken_out(rng, open_to)
            kept = [None if index in out else each for index, each in enumerate(self.best)]
            self.offer(self.put_in(kept, out, watch))

    def _taken_out(self, rng: random.Random, open_to: Sequence[int]) -> list[int]:
        """A few patches in a chance order: one that could be better, and others that hold donors it could use."""
        worse = [i for i in open_to if _worse(self.best[i], self.alone[i])] or list(open_to)
        first = rng.choice(worse)
        wanted = {candidate.piece.tag for candidate in self.candidates[first]}
        rivals = [
            i for i in open_to if i != first and self.best[i] is not None and wanted & {tag for tag, _ in _cuts(self.best[i])}
        ]
        others = rng.sample(rivals, min(len(rivals), rng.randint(1, MOST_OUT - 1))) if rivals else []
        out = [first, *others]
        if rng.random() < 0.5:
            rng.shuffle(out)
        return out


def _quick(rules: Rules) -> Rules:
    """The rules with fewer places and donors weighed against each other."""
    return replace(rules, placements=min(3, rules.placements), donors_weighed=min(2, rules.donors_weighed))


def _worse(made: Made | None, alone: Made | None) -> bool:
    """True if a patch is made less well than it could be alone."""
    return merit_of([made]) > merit_of([alone])


def _cuts(made: Made | None) -> tuple[tuple[str, object], ...]:
    return made.cuts if made is not None else ()
