"""Making fillings: donors filled one after the other with what is worth most, and every filling kept."""

import math
import random
from collections.abc import Iterable, Sequence

import numpy as np

from remnants.packing.donors.best_filling import Held, best_fillings
from remnants.packing.donors.filling import fill
from remnants.packing.donors.kinds import Filling, Kinds

__all__ = ["Maker"]

TRIES = 6
TRIES_SHARED = 20
"""Fillings tried for each donor of a plan; those shared go to few donors with many parts rather than to many with few."""

WANTED = 20
"""Fillings that are taken from one look for those that are worth most."""

RATES = (0.5, 1.15)
"""What free area is taken to bring still, in shares of what a full donor costs: by chance between these."""

MOST_KINDS = 4
"""Kinds of donors looked at for each place in a plan."""


class Maker:
    """Fills donors, by chance and by worth, and keeps every filling in `pool` by what lies on it."""

    def __init__(self, kinds: Kinds, rng: random.Random) -> None:
        """The same state of `rng` makes the same fillings."""
        self.kinds = kinds
        self.random = rng
        self.pool: dict[tuple[int, tuple[int, ...]], Filling] = {}
        self.areas = [sort.area for sort in kinds.sorts]
        self._sizes = [(sort.width, sort.length) for sort in kinds.sorts]

    def keep(self, filling: Filling) -> None:
        """Remembers a filling, unless one with the same parts is known."""
        self.pool.setdefault((filling.kind, filling.sorts), filling)

    def complete(
        self, kept: Iterable[Filling], wanted: Sequence[int], worth: Sequence[float], limit: int | None, *, full: int
    ) -> list[Filling]:
        """Fillings, beside those kept, for what is wanted: until all is laid, donors run out or the next would pass the limit.

        `worth` is each sort's, `limit` a cost; `full` is how many donors a whole plan takes, about.
        """
        left, supply = list(wanted), list(self.kinds.supply)
        for filling in kept:
            supply[filling.kind] -= 1
        made: list[Filling] = []
        while any(left):
            found = self._next(left, supply, worth, limit, full)
            if found is None:
                break
            made.append(found)
            supply[found.kind] -= 1
            limit = None if limit is None else limit - self.kinds.kinds[found.kind].cost
            for sort in found.sorts:
                left[sort] -= 1
        return made

    def _next(
        self, left: Sequence[int], supply: Sequence[int], worth: Sequence[float], limit: int | None, full: int
    ) -> Filling | None:
        """The filling worth most for its cost among some tried; None when no donor is left for anything."""
        wanted = [sort for sort, count in enumerate(left) if count]
        able = [
            index
            for index, kind in enumerate(self.kinds.kinds)
            if supply[index] and (limit is None or kind.cost <= limit) and not kind.sorts.isdisjoint(wanted)
        ]
        if len(able) > MOST_KINDS:
            able = self.random.sample(able, MOST_KINDS)
        tries = math.ceil((TRIES + TRIES_SHARED // (1 + full)) / max(1, len(able)))
        best: Filling | None = None
        most = -1.0
        for index in able:
            held = [sort for sort in wanted if sort in self.kinds.kinds[index].sorts]
            order, mine = held, -1.0
            for attempt in range(tries):
                again = self._swapped(order) if 2 * attempt >= tries else self._order(held, worth)
                filling = self._fill(index, again, left)
                merit = sum(worth[sort] for sort in filling.sorts) / self.kinds.kinds[index].cost
                if merit >= mine:
                    order, mine = again, merit
                if merit > most:
                    best, most = filling, merit
                if len(filling.sorts) == sum(left) and len(able) == 1:
                    return filling
        return best

    def _order(self, held: Sequence[int], worth: Sequence[float]) -> list[int]:
        """An order by chance: mostly by worth, or by worth for the area, else by length or width."""
        rng = self.random
        way = rng.random()
        if way < 0.7:
            power = rng.choice((0.0, 0.0, 0.5, 1.0))
            keys = {sort: worth[sort] * math.exp(rng.gauss(0, 0.25)) / self.areas[sort] ** power for sort in held}
        else:
            side = 1 if way < 0.85 else 0
            keys = {sort: self._sizes[sort][side] * math.exp(rng.gauss(0, 0.15)) for sort in held}
        return sorted(held, key=keys.__getitem__, reverse=True)

    def _swapped(self, order: Sequence[int]) -> list[int]:
        """The order with two or three pairs changed over."""
        again = list(order)
        for _ in range(self.random.randint(2, 3)):
            one, other = self.random.randrange(len(again)), self.random.randrange(len(again))
            again[one], again[other] = again[other], again[one]
        return again

    def _fill(self, index: int, order: Sequence[int], left: Sequence[int]) -> Filling:
        """A donor of a kind filled in this order; kept."""
        kind = self.kinds.kinds[index]
        spots = fill((kind.width, kind.length), order, left, self._sizes, best=self.random.random() < 0.5)
        filling = Filling.of(index, spots)
        self.keep(filling)
        return filling

    def most_worth(
        self, index: int, left: Sequence[int], worth: Sequence[float], *, most: int, above: float
    ) -> list[tuple[float, Filling]]:
        """Fillings of a donor of a kind that are worth more than `above`, best first, by `most` outlines looked on from; kept."""
        kind = self.kinds.kinds[index]
        some = [sort for sort in sorted(kind.sorts) if left[sort] and worth[sort] > 0]
        if not some:
            return []
        held = Held(
            (kind.width, kind.length),
            np.array([self._sizes[sort][0] for sort in some]),
            np.array([self._sizes[sort][1] for sort in some]),
            np.array([left[sort] for sort in some]),
            np.array([worth[sort] for sort in some]),
        )
        rate = kind.cost / kind.area * self.random.uniform(*RATES)
        turned = self.random.random() < 0.5
        found = []
        for value, spots in best_fillings(held.turned if turned else held, rate=rate, most=most, wanted=WANTED):
            if value > above:
                laid = [(some[place], y, x) if turned else (some[place], x, y) for place, x, y in spots]
                filling = Filling.of(index, laid)
                self.keep(filling)
                found.append((value, filling))
        return found

    def full(self, filling: Filling) -> float:
        """The share of a donor that is covered."""
        return sum(self.areas[sort] for sort in filling.sorts) / self.kinds.kinds[filling.kind].area

    def fullness(self, fillings: Iterable[Filling]) -> float:
        """Greater the more the covered area stands on few full donors."""
        return sum(self.full(filling) ** 2 for filling in fillings)
