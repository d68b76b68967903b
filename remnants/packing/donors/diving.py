"""A plan out of the best mix of fillings: whole donors of it are taken, what is left is mixed again, and so on down."""

from collections.abc import Callable, Sequence

from remnants.packing.donors.choice import Worth, weigh
from remnants.packing.donors.kinds import Filling
from remnants.packing.donors.looking import Looker

__all__ = ["HOPE", "dive"]

HOPE = 0.2
"""How much a mix may cost over the limit when fillings still to be found may bring it down."""

LOOKS = 2
"""So often better fillings are looked for before some are taken."""

FAR = 0.3
"""What costs so much beyond its worth is not mixed again."""

EVEN = 0.5
"""Among shares of the mix, chance may take one half as large as the largest."""

DUST = 1e-6
"""What the linear programme leaves of a share that is none."""


def dive(looker: Looker, fillings: Sequence[Filling], limit: int | None, *, over: Callable[[], bool]) -> list[Filling]:
    """Fillings, beginning with the best mix of those given, that cost no more than the limit; some parts may be missing."""
    kinds = looker.maker.kinds
    left, supply = list(kinds.demand), list(kinds.supply)
    pool, kept, spent = list(fillings), list[Filling](), 0
    while any(left) and any(supply) and not over():
        mix = weigh(kinds, pool, wanted=left, there=supply)
        for _ in range(LOOKS):
            better = looker.better(mix, left, supply)
            if not better:
                break
            pool += better
            mix = weigh(kinds, pool, wanted=left, there=supply)
        if limit is not None and spent + mix.cost > limit + HOPE:
            break
        taken = _whole(looker, pool, mix)
        for filling in taken:
            cost = kinds.kinds[filling.kind].cost
            if supply[filling.kind] and (limit is None or spent + cost <= limit):
                kept.append(filling)
                supply[filling.kind] -= 1
                spent += cost
                for sort in filling.sorts:
                    left[sort] = max(0, left[sort] - 1)
        if not taken or limit == spent:
            break
        pool = [
            filling
            for filling, excess in zip(pool, mix.excess, strict=True)
            if excess <= FAR * kinds.kinds[filling.kind].cost and any(left[sort] for sort in filling.sorts)
        ]
    return kept


def _whole(looker: Looker, pool: Sequence[Filling], mix: Worth) -> list[Filling]:
    """What the mix takes of whole donors; of one of the likeliest one donor when it takes of all less."""
    shares = list(zip(pool, mix.shares, strict=True))
    whole = [filling for filling, share in shares for _ in range(int(share + DUST))]
    likely = [(share * looker.maker.random.uniform(EVEN, 1), filling) for filling, share in shares if share > DUST]
    if whole or not likely:
        return whole
    return [max(likely, key=lambda each: each[0])[1]]
