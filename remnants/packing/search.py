"""The search over plans: building them filling by filling, taking some apart, and rounding the best mix of all fillings seen.

Every filling that comes up is kept. Linear programming over them tells what each sort of part is worth; that worth steers the
next fillings, and its best mix, rounded by chance and completed, is where most better plans come from.
"""

import math
import random
from collections.abc import Callable, Iterable, Sequence

from remnants.packing.choice import Worth, choose, weigh
from remnants.packing.filling import fill
from remnants.packing.kinds import Filling, Kinds, Lay
from remnants.packing.watch import Watch

__all__ = ["Search"]

BUILT, TAKEN_APART, ROUNDED = 5, 150, 25
"""Plans made anew, changes to the best plan, and mixes rounded in one round."""

TRIES = 6
"""Fillings tried for each donor of a plan."""

MOST_KINDS = 4
"""Kinds of donors looked at for each place in a plan."""

MOST_FILLINGS, KEPT_FILLINGS = 7000, 4000
CHOOSE_EVERY = 3
CHOOSE_EFFORT = 2.0
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
        self.mix_cost = 0.0
        self.pool: dict[tuple[int, tuple[int, ...]], Filling] = {}
        for filling in (filling for lay in start for filling in lay.fillings):
            self._keep(filling)
        self._sizes = [(sort.width, sort.length) for sort in kinds.sorts]
        self._areas = [sort.area for sort in kinds.sorts]
        area = sum(kind.area * len(kind.donors) for kind in kinds.kinds)
        cost = sum(kind.cost * len(kind.donors) for kind in kinds.kinds)
        self.worth = [sort.area * cost / area for sort in kinds.sorts]

    def over(self) -> bool:
        """True when the best plan can't be better, or the watch says so."""
        return self.best.rank <= (0, self.least) or self.watch.over()

    def run(self) -> Lay:
        """Searches until it is over and gives the best plan."""
        rounds = quiet = 0
        while not self.over() and (self.watch.limited() or quiet < QUIET_ROUNDS):
            before = self.best.rank
            for step in (self._build, self._take_apart, self._round):
                if not self.over():
                    step()
            rounds += 1
            if rounds % CHOOSE_EVERY == 0 and self._may_choose() and not self.over():
                self._choose()
            quiet = 0 if self.best.rank < before else quiet + 1
        return self.best

    def _may_choose(self) -> bool:
        """True when the best mix leaves room for a better plan from the fillings kept."""
        missing, cost = self.best.rank
        return missing > 0 or self.mix_cost <= cost - 1 + 1e-6

    def _keep(self, filling: Filling) -> None:
        self.pool.setdefault((filling.kind, filling.sorts), filling)

    def _take(self, lay: Lay) -> None:
        """Takes a plan that is better than the best."""
        if lay.rank < self.best.rank:
            self.best = self.now = lay
            self.told(lay)

    def _build(self) -> None:
        """Plans made anew, by worth with a little noise."""
        for _ in range(BUILT):
            if self.over():
                return
            worth = [value * self.random.uniform(0.9, 1.1) for value in self.worth]
            lay = self.kinds.lay(self._complete((), self.kinds.demand, worth))
            if lay.rank == self.now.rank and self._fullness(lay.fillings) > self._fullness(self.now.fillings):
                self.now = lay
            self._take(lay)

    def _take_apart(self) -> None:
        """Changes to the plan at hand: a few of its fillings, the weak ones rather, made anew from their parts."""
        for _ in range(TAKEN_APART):
            if self.over() or not self.now.fillings:
                return
            some = self._some(self.now.fillings)
            kept = [filling for index, filling in enumerate(self.now.fillings) if index not in some]
            old = [self.now.fillings[index] for index in sorted(some)]
            left = list(self.now.missing)
            for sort in (sort for filling in old for sort in filling.sorts):
                left[sort] += 1
            worth: Sequence[float] = self._areas
            if self.random.random() < 0.5:
                worth = [value * self.random.uniform(0.8, 1.2) for value in self.worth]
            limit = sum(self.kinds.kinds[filling.kind].cost for filling in old)
            new = self._complete(kept, left, worth, limit)
            lay = self.kinds.lay([*kept, *new])
            gain = self._fullness(new) - self._fullness(old)
            if lay.rank < self.now.rank or (lay.rank == self.now.rank and gain > -HEAT * self.random.random()):
                self.now = lay
                self._take(lay)

    def _some(self, fillings: Sequence[Filling]) -> set[int]:
        """Two to four fillings by place: half the time the emptiest, else any."""
        count = min(self.random.randint(2, 4), len(fillings))
        places = range(len(fillings))
        if self.random.random() < 0.5:
            return set(self.random.sample(places, count))
        return set(sorted(places, key=lambda place: self._full(fillings[place]) * self.random.uniform(0.7, 1.3))[:count])

    def _round(self) -> None:
        """The best mix of all fillings, rounded by chance and completed."""
        fillings = list(self.pool.values())
        mix = weigh(self.kinds, fillings)
        self.mix_cost = mix.cost
        self.worth = [(old + max(new, 1e-3 * old)) / 2 for old, new in zip(self.worth, mix.of_sort, strict=True)]
        fillings, mix = self._without_the_worst(fillings, mix)
        likely = [place for place, share in enumerate(mix.shares) if share > 1e-6]
        for _ in range(ROUNDED):
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
            self._take(self.kinds.lay([*kept, *self._complete(kept, left, self.worth, limit)]))

    def _without_the_worst(self, fillings: list[Filling], mix: Worth) -> tuple[list[Filling], Worth]:
        """When too many fillings are kept, only those that cost least beyond their worth."""
        if len(fillings) <= MOST_FILLINGS:
            return fillings, mix
        places = sorted(range(len(fillings)), key=lambda place: mix.excess[place])[:KEPT_FILLINGS]
        kept = [fillings[place] for place in places]
        self.pool = {(filling.kind, filling.sorts): filling for filling in kept}
        return kept, Worth(
            mix.cost,
            mix.of_sort,
            tuple(mix.shares[place] for place in places),
            tuple(mix.excess[place] for place in places),
        )

    def _choose(self) -> None:
        """The exact choice among all fillings kept."""
        self.watch.count()
        lay = choose(
            self.kinds,
            list(self.pool.values()),
            rank=self.best.rank,
            effort=CHOOSE_EFFORT,
            seconds=self.watch.seconds_left(),
        )
        if lay:
            self._take(lay)

    def _complete(
        self, kept: Iterable[Filling], wanted: Sequence[int], worth: Sequence[float], limit: int | None = None
    ) -> list[Filling]:
        """Fillings, beside those kept, for what is wanted: until all is laid, donors run out or the next would pass the limit."""
        self.watch.count()
        left, supply = list(wanted), list(self.kinds.supply)
        for filling in kept:
            supply[filling.kind] -= 1
        made: list[Filling] = []
        while any(left):
            found = self._next(left, supply, worth, limit)
            if found is None:
                break
            made.append(found)
            supply[found.kind] -= 1
            limit = None if limit is None else limit - self.kinds.kinds[found.kind].cost
            for sort in found.sorts:
                left[sort] -= 1
        return made

    def _next(self, left: Sequence[int], supply: Sequence[int], worth: Sequence[float], limit: int | None) -> Filling | None:
        """The filling worth most for its cost among some tried; None when no donor is left for anything."""
        wanted = [sort for sort, count in enumerate(left) if count]
        able = [
            index
            for index, kind in enumerate(self.kinds.kinds)
            if supply[index] and (limit is None or kind.cost <= limit) and not kind.sorts.isdisjoint(wanted)
        ]
        if len(able) > MOST_KINDS:
            able = self.random.sample(able, MOST_KINDS)
        best: Filling | None = None
        most = -1.0
        for index in able:
            kind = self.kinds.kinds[index]
            held = [sort for sort in wanted if sort in kind.sorts]
            for _ in range(math.ceil(TRIES / len(able))):
                filling = self._fill(index, held, left, worth)
                merit = sum(worth[sort] for sort in filling.sorts) / kind.cost
                if merit > most:
                    best, most = filling, merit
                if len(filling.sorts) == sum(left) and len(able) == 1:
                    return filling
        return best

    def _fill(self, index: int, held: Sequence[int], left: Sequence[int], worth: Sequence[float]) -> Filling:
        """A donor filled in an order by chance: mostly by worth, or by worth for the area, else by length or width."""
        rng = self.random
        way = rng.random()
        if way < 0.7:
            power = rng.choice((0.0, 0.0, 0.5, 1.0))
            keys = {sort: worth[sort] * math.exp(rng.gauss(0, 0.25)) / self._areas[sort] ** power for sort in held}
        else:
            side = 1 if way < 0.85 else 0
            keys = {sort: self._sizes[sort][side] * math.exp(rng.gauss(0, 0.15)) for sort in held}
        order = sorted(held, key=keys.__getitem__, reverse=True)
        kind = self.kinds.kinds[index]
        spots = fill((kind.width, kind.length), order, left, self._sizes, best=rng.random() < 0.5)
        filling = Filling.of(index, spots)
        self._keep(filling)
        return filling

    def _full(self, filling: Filling) -> float:
        """The share of a donor that is covered."""
        return sum(self._areas[sort] for sort in filling.sorts) / self.kinds.kinds[filling.kind].area

    def _fullness(self, fillings: Iterable[Filling]) -> float:
        """Greater the more the covered area stands on few full donors."""
        return sum(self._full(filling) ** 2 for filling in fillings)


def _holds(left: Sequence[int], sorts: Sequence[int]) -> bool:
    """True when so many of each of the sorts are left; `sorts` is sorted, a sort once for each part."""
    return all(left[sort] > (place - sorts.index(sort)) for place, sort in enumerate(sorts))
