"""The search over plans: building them filling by filling, taking some apart, and rounding the best mix of all fillings seen.

Every filling that comes up is kept. Linear programming over them tells what each sort of part is worth; that worth steers the
next fillings, also those looked for because they are worth more than their donor. The best mix, rounded by chance and completed,
or taken filling by filling and mixed again, is where most better plans come from.
"""

import math
import random
from collections.abc import Callable, Sequence

from remnants.packing.donors.choice import Worth, choose, weigh
from remnants.packing.donors.diving import HOPE, dive
from remnants.packing.donors.end_to_end import EndToEnd
from remnants.packing.donors.kinds import Filling, Kinds, Lay
from remnants.packing.donors.looking import Looker
from remnants.packing.donors.many_fillings import Maker
from remnants.packing.donors.mixing import Mixer
from remnants.packing.watch import Watch

__all__ = ["Search"]

BUILT, TAKEN_APART, ROUNDED = 3, 30, 30
"""Plans made anew, changes to the best plan, and at most so many mixes rounded in one round."""

LAID_FIRST, LAID_LATER = 10, 4
"""Beams over few donors laid end to end, in the first round and in each after it."""

ROUNDED_SHARED = 400
"""Of parts alike, mixes rounded are fewer where a plan takes many donors and so long to complete: this over their number."""

PRESSED = 30
"""Changes to the best rounded mix, if it lacks parts."""

MOST_FILLINGS, KEPT_FILLINGS = 5000, 2500
"""When more are kept than the first, all but the second are forgotten."""

CHOOSE_EVERY, CHOOSE_EFFORT = 4, 0.5
"""Rounds between two exact choices, and the work put into one, in the solver's own deterministic seconds."""

ALIKE = 8
"""Where there are so many times as many parts as sorts, one filling serves many donors: then it pays to look long for the best
and to dive into their mix. Of parts mostly unlike, plans are found sooner by chance."""

WIDENED = 6
"""So often in one round fillings worth more are looked for and all are mixed again."""

DIVED = 400
"""Fillings that a dive begins with: those that cost least beyond their worth."""

DUST = 1e-6
"""What the linear programme leaves of a share that is none."""

FAINT = 1e-3
"""Of what a sort was worth, so much is left at the least."""

QUIET_ROUNDS = 12
"""Without a limit, so many rounds without a better plan end the search."""

HEAT = 0.01
"""How much worse, in full donors squared, a change may leave the plan."""

Told = Callable[[Lay], None]


class Search:
    """The best plan so far, every filling seen, and what each sort is worth; the same seed and tries go the same way."""

    def __init__(self, kinds: Kinds, *, least: int, start: Sequence[Lay], watch: Watch, seed: int, told: Told) -> None:
        """`start` are plans to begin with, one at least; `least` is a cost that no plan beats."""
        self.kinds = kinds
        self.least = least
        self.watch = watch
        self.random = random.Random(seed)
        self.told = told
        self.best = min(start, key=lambda lay: lay.rank)
        self.now = self.best
        self.rounds = 0
        self.maker = Maker(kinds, self.random)
        self.mixer = Mixer(kinds)
        self.looker = Looker(self.maker, watch)
        self.end_to_end = EndToEnd(kinds, seed=seed)
        self.alike = sum(kinds.demand) >= ALIKE * len(kinds.sorts)
        for filling in (filling for lay in start for filling in lay.fillings):
            self.maker.keep(filling)
        area = sum(kind.area * len(kind.donors) for kind in kinds.kinds)
        cost = sum(kind.cost * len(kind.donors) for kind in kinds.kinds)
        self.worth = [sort.area * cost / area for sort in kinds.sorts]

    def over(self) -> bool:
        """True when the best plan can't be better, or the watch says so."""
        return self.best.rank <= (0, self.least) or self.watch.over()

    def run(self) -> Lay:
        """Searches until it is over and gives the best plan."""
        quiet = 0
        while not self.over() and (self.watch.limited() or quiet < QUIET_ROUNDS):
            before = self.best.rank
            for step in (self._lay_end_to_end, self._build, self._take_apart, self._round):
                if not self.over():
                    step()
            quiet = 0 if self.best.rank < before else quiet + 1
        return self.best

    def _complete(
        self, kept: Sequence[Filling], wanted: Sequence[int], worth: Sequence[float], limit: int | None = None
    ) -> list[Filling]:
        """Fillings beside those kept for what is wanted, within the limit of cost; counts as a try."""
        self.watch.count()
        return self.maker.complete(kept, wanted, worth, limit, full=len(self.best.fillings))

    def _take(self, lay: Lay) -> None:
        """Takes a plan that is better than the best."""
        if lay.rank < self.best.rank:
            self.best = self.now = lay
            self.told(lay)

    def _lay_end_to_end(self) -> None:
        """Plans of all parts at once, on one donor less than the best where that leaves few."""
        for _ in range(LAID_LATER if self.rounds else LAID_FIRST):
            missing, cost = self.best.rank
            fewer = len(self.kinds.kinds[0].donors) if missing else cost // self.kinds.kinds[0].cost - 1
            if self.over() or not self.end_to_end.few(fewer):
                return
            self._take(self.kinds.lay(self.end_to_end.lay(fewer, watch=self.watch)))

    def _build(self) -> None:
        """Plans made anew, by worth with a little noise."""
        for _ in range(BUILT):
            if self.over():
                return
            worth = [value * self.random.uniform(0.9, 1.1) for value in self.worth]
            lay = self.kinds.lay(self._complete((), self.kinds.demand, worth))
            if lay.rank == self.now.rank and self.maker.fullness(lay.fillings) > self.maker.fullness(self.now.fillings):
                self.now = lay
            self._take(lay)

    def _take_apart(self) -> None:
        """Changes to the plan at hand, which may make it a little worse."""
        for _ in range(TAKEN_APART):
            if self.over() or not self.now.fillings:
                return
            lay = self._changed(self.now)
            gain = self.maker.fullness(lay.fillings) - self.maker.fullness(self.now.fillings)
            if lay.rank < self.now.rank or (lay.rank == self.now.rank and gain > -HEAT * self.random.random()):
                self.now = lay
                self._take(lay)

    def _press(self, lay: Lay) -> None:
        """Changes to a plan that costs less than the best but lacks some parts, while the area that it lacks does not grow."""
        lacks = self._lacks(lay)
        for _ in range(PRESSED):
            if self.over() or not lay.fillings:
                return
            changed = self._changed(lay)
            if (new := self._lacks(changed)) <= lacks:
                lay, lacks = changed, new
                self._take(lay)
            if not lacks:
                return

    def _changed(self, lay: Lay) -> Lay:
        """A plan that costs no more: a few of its fillings, rather the weak ones, made anew with what is missing."""
        some = self._some(lay.fillings)
        kept = [filling for index, filling in enumerate(lay.fillings) if index not in some]
        old = [lay.fillings[index] for index in sorted(some)]
        left = list(lay.missing)
        for sort in (sort for filling in old for sort in filling.sorts):
            left[sort] += 1
        worth: Sequence[float] = self.maker.areas
        if self.random.random() < 0.5:
            worth = [value * self.random.uniform(0.8, 1.2) for value in self.worth]
        limit = sum(self.kinds.kinds[filling.kind].cost for filling in old)
        return self.kinds.lay([*kept, *self._complete(kept, left, worth, limit)])

    def _lacks(self, lay: Lay) -> int:
        """The area of the parts missing."""
        return sum(area * count for area, count in zip(self.maker.areas, lay.missing, strict=True))

    def _some(self, fillings: Sequence[Filling]) -> set[int]:
        """Two to four fillings by place: half the time the emptiest, else any."""
        count = min(self.random.randint(2, 4), len(fillings))
        places = range(len(fillings))
        if self.random.random() < 0.5:
            return set(self.random.sample(places, count))
        return set(sorted(places, key=lambda place: self.maker.full(fillings[place]) * self.random.uniform(0.7, 1.3))[:count])

    def _round(self) -> None:
        """The best mix of all fillings, rounded by chance and completed."""
        fillings, mix = self._widen()
        self.worth = [(old + max(new, FAINT * old)) / 2 for old, new in zip(self.worth, mix.of_sort, strict=True)]
        fillings, mix = self._without_the_worst(fillings, mix)
        nearest: Lay | None = self._dive(fillings, mix)
        likely = [place for place, share in enumerate(mix.shares) if share > DUST]
        for _ in range(min(ROUNDED, 1 + ROUNDED_SHARED // max(1, len(self.best.fillings))) if self.alike else ROUNDED):
            if self.over():
                return
            order = sorted(likely, key=lambda place: -mix.shares[place] * self.random.random())
            most = self.random.uniform(0.5, 1) * len(self.best.fillings)
            left, supply = list(self.kinds.demand), list(self.kinds.supply)
            kept: list[Filling] = []
            for filling in (fillings[place] for place in order):
                if len(kept) < most and supply[filling.kind] and _holds(left, filling.sorts):
                    kept.append(filling)
                    supply[filling.kind] -= 1
                    for sort in filling.sorts:
                        left[sort] -= 1
            spent = sum(self.kinds.kinds[filling.kind].cost for filling in kept)
            missing, cost = self.best.rank
            limit = None if missing else cost - 1 - spent
            lay = self.kinds.lay([*kept, *self._complete(kept, left, self.worth, limit)])
            self._take(lay)
            if nearest is None or self._lacks(lay) < self._lacks(nearest):
                nearest = lay
        if nearest is not None and nearest.rank[0] > 0:
            self._press(nearest)
        self.rounds += 1
        if self.rounds % CHOOSE_EVERY == 0:
            self._choose(fillings, mix)

    def _widen(self) -> tuple[list[Filling], Worth]:
        """All fillings and their best mix; of parts alike after such as cost less than what lies on them is worth, while some
        turn up."""
        fillings = list(self.maker.pool.values())
        if not self.alike:
            return fillings, weigh(self.kinds, fillings)
        mix = self.mixer.mix(fillings, self.worth)
        for _ in range(WIDENED):
            if self.over() or not self.looker.better(mix, self.kinds.demand, self.kinds.supply):
                break
            fillings = list(self.maker.pool.values())
            mix = self.mixer.mix(fillings, mix.of_sort)
        return fillings, mix

    def _dive(self, fillings: Sequence[Filling], mix: Worth) -> Lay | None:
        """A plan out of the best mix, one donor less as long as that goes; then one short of parts, or None without hope."""
        missing, cost = self.best.rank
        limit = None if missing else cost - 1
        if not self.alike or (limit is not None and mix.cost > limit + HOPE):
            return None
        near = sorted(range(len(fillings)), key=lambda place: mix.excess[place])[:DIVED]
        lay = self.kinds.lay(dive(self.looker, [fillings[place] for place in near], limit, over=self.over))
        self._take(lay)
        return self._dive(fillings, mix) if lay is self.best else lay

    def _without_the_worst(self, fillings: list[Filling], mix: Worth) -> tuple[list[Filling], Worth]:
        """When too many fillings are kept, only those that cost least beyond their worth."""
        if len(fillings) <= MOST_FILLINGS:
            return fillings, mix
        places = sorted(range(len(fillings)), key=lambda place: mix.excess[place])[:KEPT_FILLINGS]
        kept = [fillings[place] for place in places]
        self.maker.pool = {(filling.kind, filling.sorts): filling for filling in kept}
        return kept, Worth(
            mix.cost,
            mix.of_sort,
            mix.of_kind,
            tuple(mix.shares[place] for place in places),
            tuple(mix.excess[place] for place in places),
        )

    def _choose(self, fillings: Sequence[Filling], mix: Worth) -> None:
        """The exact choice among the fillings that a better plan can hold: their cost over their worth leaves room for one."""
        missing, cost = self.best.rank
        room = math.inf if missing else cost - 1 - mix.cost + DUST
        able = [filling for filling, excess in zip(fillings, mix.excess, strict=True) if excess <= room]
        if room < 0 or self.over():
            return
        self.watch.count()
        lay = choose(self.kinds, able, rank=self.best.rank, effort=CHOOSE_EFFORT, watch=self.watch)
        if lay:
            self._take(lay)


def _holds(left: Sequence[int], sorts: Sequence[int]) -> bool:
    """True when so many of each of the sorts are left; `sorts` is sorted, a sort once for each part."""
    return all(left[sort] > (place - sorts.index(sort)) for place, sort in enumerate(sorts))
