"""Looking for fillings that are worth more than their donor: what a best mix of fillings lacks (column generation)."""

from collections.abc import Sequence

from remnants.packing.donors.choice import Worth
from remnants.packing.donors.kinds import Filling
from remnants.packing.donors.many_fillings import Maker
from remnants.packing.watch import Watch

__all__ = ["Looker"]

NARROW, WIDEST = 20, 320
"""Outlines looked on from at first, and at most: twice as many each time that nothing turned up."""

LOOK_TRIES, WIDE_TRY = 2, 30
"""One look counts for so many tries, and for one more with so many outlines looked on from: about their share of time."""

MOST_KINDS = 3
"""Kinds of donors looked at each time; a kind more than once where there are fewer."""

NEARLY = 0.02
"""A filling is kept too that lacks only this share of its donor's cost: plans in whole donors use such."""

DUST = 1e-6
"""What the linear programme leaves of a cost that is none."""


class Looker:
    """Looks with more effort the less turns up; what it finds its maker keeps."""

    def __init__(self, maker: Maker, watch: Watch) -> None:
        """What is looked at is counted on `watch`."""
        self.maker = maker
        self._watch = watch
        self._wide = NARROW

    def better(self, mix: Worth, left: Sequence[int], supply: Sequence[int]) -> list[Filling]:
        """Fillings of donors in supply with what is left, worth more than they cost in the mix; what nearly is so is kept."""
        kinds = self.maker.kinds.kinds
        some = [index for index, count in enumerate(supply) if count]
        if len(some) > MOST_KINDS:
            some = self.maker.random.sample(some, MOST_KINDS)
        better = []
        for index in some * (MOST_KINDS // max(1, len(some))):
            if self._watch.over():
                break
            self._watch.count(LOOK_TRIES + self._wide / WIDE_TRY)
            price = kinds[index].cost - mix.of_kind[index]
            least = price - NEARLY * kinds[index].cost
            found = self.maker.most_worth(index, left, mix.of_sort, most=self._wide, above=least)
            better += [filling for worth, filling in found if worth > price + DUST]
        if not better:
            self._wide = min(2 * self._wide, WIDEST)
        return better
