"""Many patches share the donors: a quick start, search that takes a few patches out and puts them in again, and a bound.

No plan can be better than every patch made alone from untouched stock: that is the bound. Where it is reached the plan is the
best possible; where it isn't, small jobs are put to an exact solver: rectangles with all parts placed in it, others by columns.
"""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice

from remnants.fitting.patch.asked import donors_of
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.columns import solve_by_columns
from remnants.fitting.sharing.donors_left import fields_of, left_of
from remnants.fitting.sharing.exact import solve_exactly
from remnants.fitting.sharing.made_before import MadeBefore
from remnants.fitting.sharing.make_room import squeezes
from remnants.fitting.sharing.many_rectangles import FEWEST, lay_rectangles, rectangles_of, tries_for
from remnants.fitting.sharing.merit import carpet_name, merit_of, rooms_of, together
from remnants.geometry.outline import area_mm2
from remnants.model.match import Candidate
from remnants.model.merit import Merit, reaches, thrift_key
from remnants.packing import Watch

__all__ = ["Shared", "Told", "share"]

Told = Callable[[Merit, Merit], None]
"""Hears of each better plan: its merit and the bound."""

TRIES_TOGETHER = 6
"""Tries of the search where each patch by itself can't be better, and only what is seen together in a room might be."""

MOST_TOGETHER = 12
"""Patches up to which all are tried of one carpet."""

MOST_CARPETS = 12
"""Carpets up to which all patches of a job are tried of one alone."""

MOST_OUT = 4
"""Patches taken out at once."""

SQUEEZES, STEPS = 9, 4
"""Tries of making room on a donor to one change of that kind, and the steps of such a search that count as one."""

TIME_BEFORE_PACKING, TRIES_BEFORE_PACKING = 0.75, 60
"""The share of the time left that comes before rectangles are packed; of a search without an end so many tries."""

FEW_PROGRAMMES = 200
"""Linear programmes that one donor is worth once patches share donors: much that is cut away makes each of them long."""

MANY = 8
"""Patches from which on changes to the plan look at few places for each: more changes are worth more than the best place."""

EXACT_WORK = 0.6
"""Most that the exact solver may think about a job, in its own count of work: some 3 seconds on an ordinary machine."""


@dataclass(frozen=True)
class Shared:
    """What becomes of each patch (None: nothing), its merit, and a merit that no plan can beat.

    `fields` are the donors of each patch from untouched stock, `asks` the patches; `possible` tells which can be made alone.
    """

    made: tuple[Made | None, ...]
    merit: Merit
    bound: Merit
    fields: tuple[Field, ...]
    asks: tuple[Ask, ...] = ()
    possible: tuple[bool, ...] = ()

    @property
    def proved(self) -> bool:
        """True if no plan fills more, shows less or troubles fewer."""
        return reaches(self.merit, self.bound)


def share(
    asks: Sequence[Ask],
    candidates: Sequence[Sequence[Candidate]],
    *,
    watch: Watch,
    seed: int = 0,
    told: Told = lambda _merit, _bound: None,
    fields: tuple[Field, ...] = (),
    before: MadeBefore | None = None,
) -> Shared:
    """The best plan found for all patches together before the watch is over. Same input, seed and tries: same plan.

    `fields` are those of `fields_of`, where they are made already; `before` is what patches came to, of these same `candidates`.
    """
    fields, before = fields or fields_of(asks, candidates), before or MadeBefore()
    alone, asks = _alone(asks, candidates, fields, watch, before)
    possible = tuple(each is not None for each in alone)
    rooms = rooms_of(asks)
    bound = _bound(asks, alone)
    if _compatible(alone) and not together(alone, rooms):
        return Shared(tuple(alone), merit_of(alone, rooms), bound, fields, tuple(asks), possible)
    search = _Search(asks, candidates, alone, bound, told, rooms=rooms, before=before)
    order = sorted(range(len(asks)), key=lambda i: (-abs(area_mm2(asks[i].shape.cut)), i))
    search.offer(alone if _compatible(alone) else _one_by_one(alone))
    search.offer(search.put_in([None] * len(asks), order))
    search.try_one_carpet(order)
    if not (reaches(merit_of(search.best), search.apart) or watch.over() or asks[0].thrifty):
        search.ask_exact(watch, seed)
    search.run_and_pack(fields, order, watch=watch, seed=seed)
    return Shared(tuple(search.best), search.best_merit, search.bound, fields, tuple(asks), possible)


def _alone(
    asks: Sequence[Ask], candidates: Sequence[Sequence[Candidate]], fields: Sequence[Field], watch: Watch, before: MadeBefore
) -> tuple[list[Made | None], tuple[Ask, ...]]:
    """Each patch made alone, and the patches watched from now on.

    They share half of the time; the other half is for plans in which none takes another's piece.
    """
    made = []
    for index, (ask, own, field) in enumerate(zip(asks, candidates, fields, strict=True)):
        share = 1.0 if len(asks) == 1 else 0.5 / (len(asks) - index * 0.5)
        made.append(before.best_for(replace(ask, watch=watch.part(share)), own, partial(_as_it_is, field)))
    return made, tuple(replace(ask, watch=watch) for ask in asks)


def _as_it_is(field: Field) -> Field:
    return field


def _one_by_one(alone: Sequence[Made | None]) -> list[Made | None]:
    """The plan in which each patch that is made alone keeps its pieces, where no earlier one has any of them."""
    taken: set[str] = set()
    plan: list[Made | None] = []
    for each in alone:
        tags = {tag for tag, _ in _cuts(each)}
        plan.append(None if taken & tags else each)
        taken |= tags if plan[-1] is not None else set()
    return plan


def _bound(asks: Sequence[Ask], alone: Sequence[Made | None]) -> Merit:
    """A merit that no plan can beat: each patch alone, and the best there is where a search gave something up."""
    floors = [
        Merit() if ask.undecided else Merit(1) if made is None else made.floor for ask, made in zip(asks, alone, strict=True)
    ]
    return Merit(
        sum(floor.unfilled for floor in floors),
        tuple(sorted((rank for floor in floors for rank in floor.sights), reverse=True)),
        tuple(sorted((points for floor in floors for points in floor.points), reverse=True)),
        sum(floor.seen_mm for floor in floors),
        max(floor.trouble for floor in floors),
    )


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
        *,
        rooms: Sequence[str],
        before: MadeBefore,
    ) -> None:
        self.asks, self.candidates, self.alone, self.bound, self.told = asks, candidates, alone, bound, told
        self.rooms, self.before = rooms, before
        self.offered, self.carpet = candidates, ""
        """All candidates, and the carpet that is tried alone, if any."""
        self.apart = _bound(asks, alone)
        self.asks_again = [replace(ask, programmes=FEW_PROGRAMMES) for ask in asks]
        self.quick = [replace(ask, rules=_quick(ask.rules)) if len(asks) >= MANY else ask for ask in self.asks_again]
        self.best: list[Made | None] = [None] * len(asks)
        self.best_merit = merit_of(self.best, rooms)
        self.best_rank = self.rank(self.best)

    def rank(self, made: Sequence[Made | None]) -> tuple[object, ...]:
        """Sorts plans: merit, then pieces cut, then the last square centimetre."""
        filled = [each for each in made if each is not None]
        tags = {tag for each in filled for tag, _ in each.cuts}
        merit = merit_of(made, self.rooms)
        key = thrift_key(merit) if self.asks[0].thrifty else merit.key
        return *key, len(tags), sum(round(each.spoiled / 100) for each in filled)

    def offer(self, made: Sequence[Made | None]) -> None:
        """Keeps a plan if it is better than the best."""
        rank = self.rank(made)
        if rank < self.best_rank:
            self.best[:] = made  # those who make room read the same list
            self.best_rank, self.best_merit = rank, merit_of(made, self.rooms)
            self.told(self.best_merit, self.bound)

    def put_in(self, made: Sequence[Made | None], order: Sequence[int], watch: Watch | None = None) -> list[Made | None]:
        """The plan with the patches of `order` made one after the other from what the rest leaves.

        With a `watch` it ends where somebody asks to stop, and looks less closely at what each place leaves.
        """
        plan = list(made)
        for index in order:
            if watch is not None and watch.stopped():
                break
            plan[index] = self.made(index, plan) if self.alone[index] is not None else None
        return plan

    def made(self, index: int, plan: Sequence[Made | None]) -> Made | None:
        """The best way to make a patch from what the plan leaves of the carpet that is tried."""
        ask, left = self.asks[index], partial(self._left, index, plan)
        return self.before.best_for(ask, self.offered[index], left, carpet=self.carpet, plan=plan)

    def _left(self, index: int, plan: Sequence[Made | None]) -> Field:
        left = left_of(self.candidates, plan)
        return Field(tuple(donors_of(self.asks[index].patch, self.candidates[index], left)))

    def ask_exact(self, watch: Watch, seed: int) -> None:
        """An exact solver's word on a small job: a better plan, a better bound, or both."""
        whole_stock = left_of(self.candidates, ())
        own = [donors_of(ask.patch, each, whole_stock) for ask, each in zip(self.asks, self.candidates, strict=True)]
        fields = [Field(tuple(each)) for each in own]
        answer = solve_by_columns(self.asks_again, fields, work=EXACT_WORK, watch=watch, seed=seed)
        if answer is not None:
            self.offer(answer.made)
            self.offer(self.put_in(answer.made, [index for index, each in enumerate(answer.made) if each is None], watch))
            self.bound = min(max(self.bound, answer.bound, key=_key), self.best_merit, key=_key)
        if answer is not None and reaches(merit_of(self.best), answer.bound):
            return
        answer = solve_exactly(self.asks, own, work=EXACT_WORK, watch=watch, seed=seed)
        if answer is not None:
            self.offer(answer.made)
            if all(ask.patch.max_parts <= 2 for ask in self.asks):  # it knows joins of two parts only
                self.bound = min(max(self.bound, answer.bound, key=_key), self.best_merit, key=_key)

    def run(self, watch: Watch, rng: random.Random) -> None:
        """Makes room on one donor after the other, and takes a few patches out and puts them in again, while the watch allows."""
        open_to = [index for index, each in enumerate(self.alone) if each is not None]
        rooms = squeezes(self.asks, self.candidates, self.alone, self.best, random.Random(rng.random()))
        while not watch.over() and len(open_to) > 1 and not self.settled(watch):
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

    def run_and_pack(self, fields: Sequence[Field], order: Sequence[int], *, watch: Watch, seed: int) -> None:
        """The search by itself, so that no answer is worse for what follows; then packing, and the search from there.

        Packing has tries of its own; of the time it takes half of what is left then.
        """
        packable = not self.asks[0].thrifty and len(rectangles_of(self.asks, self.alone)) >= FEWEST
        packs = tries_for(watch.tries_left()) if packable else ()
        self.run(_before_packing(watch) if packs else watch, random.Random(seed))
        for tries in packs:
            if reaches(self.best_merit, self.bound) or watch.timed_out():
                return
            half = watch.part(0.5)
            plans = list(lay_rectangles(self.asks, fields, self.alone, self.best, watch=half, tries=tries, seed=seed))
            for plan in sorted(plans, key=lambda plan: self.at_best(plan).key):
                if reaches(self.at_best(plan), self.best_merit):  # what is left out may take long to join
                    self.offer(self.put_in(plan, [index for index in order if plan[index] is None], watch))
        if packs:
            self.run(watch, random.Random(seed + 1))

    def at_best(self, plan: Sequence[Made | None]) -> Merit:
        """What a plan comes to where each patch that it leaves out is made as well as alone."""
        merit = merit_of([each or own for each, own in zip(plan, self.alone, strict=True)])
        return replace(merit, sights=tuple(sorted((*merit.sights, *together(plan, self.rooms)), reverse=True)))

    def try_one_carpet(self, order: Sequence[int]) -> None:
        """Patches that are seen together, all made of one carpet, for each that all of them could have."""
        if len(set(self.rooms)) == len(self.rooms) or len(self.asks) > MOST_TOGETHER:
            return
        names = [{carpet_name(candidate.piece) for candidate in own} for own in self.candidates]
        shared = sorted(set[tuple[str, str, str, int, str]].intersection(*names))
        whole_stock = self.candidates
        floors = []
        for name in shared if len(shared) <= MOST_CARPETS else ():
            self.candidates = [[each for each in offered if carpet_name(each.piece) == name] for offered in whole_stock]
            self.carpet = repr(name)
            alone = [None if possible is None else self.made(index, ()) for index, possible in enumerate(self.alone)]
            floors.append(_bound(self.asks, alone))
            self.offer(alone if _compatible(alone) else self.put_in([None] * len(self.asks), order))
            self.candidates, self.carpet = whole_stock, ""
        whole_only = all(ask.patch.max_parts == 1 for ask in self.asks)  # two carpets that meet in a patch are told at their seam
        if whole_only and len(set(self.rooms)) == 1 and len(shared) <= MOST_CARPETS:
            mixed = replace(self.bound, sights=tuple(sorted((*self.bound.sights, (0, 0)), reverse=True)))
            self.bound = max(self.bound, min((mixed, *floors), key=_key), key=_key)

    def settled(self, watch: Watch) -> bool:
        """True if nothing better is possible, or only in how carpets of one room go together and that was tried for a while."""
        if reaches(self.best_merit, self.bound):
            return True
        return watch.tries >= TRIES_TOGETHER and reaches(merit_of(self.best), self.apart)

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


def _before_packing(watch: Watch) -> Watch:
    """What the search has before packing: all tries and most of the time; so many tries where there is no end to either."""
    return watch.sooner(TIME_BEFORE_PACKING) if watch.limited() else watch.part(1.0, tries=TRIES_BEFORE_PACKING)


def _quick(rules: FitRules) -> FitRules:
    """The rules with fewer places and donors weighed against each other."""
    return replace(rules, placements=min(3, rules.placements), donors_weighed=min(2, rules.donors_weighed))


def _worse(made: Made | None, alone: Made | None) -> bool:
    """True if a patch is made less well than it could be alone."""
    return not reaches(merit_of([made]), merit_of([alone]))


def _key(merit: Merit) -> tuple[object, ...]:
    return merit.key


def _cuts(made: Made | None) -> tuple[tuple[str, object], ...]:
    return made.cuts if made is not None else ()
