"""The front door of packing on donors: a quick start, a bound, and search, each while the watch allows."""

import math
from collections.abc import Callable
from dataclasses import replace

from remnants.geometry.tolerances import WHOLE
from remnants.packing.donors.kinds import Filling, Kinds, Lay, kinds_of
from remnants.packing.donors.least_count import least_donors
from remnants.packing.donors.problem import DonorPacking, DonorProblem
from remnants.packing.donors.search import Search
from remnants.packing.rectpack_bins import Way, pack_bins
from remnants.packing.strip.problem import WhyStopped
from remnants.packing.watch import Watch

__all__ = ["pack_donors"]

Told = Callable[[int, int, int], None]


def pack_donors(
    problem: DonorProblem, *, watch: Watch, seed: int = 0, told: Told = lambda _missing, _cost, _bound: None
) -> DonorPacking:
    """Lays the parts on the donors: first as many as can be, then at the least cost found before the watch is over.

    `told(parts missing, cost, bound)` hears of each better plan. Same problem, seed and tries: same plan; more time or tries
    never give a worse one. A quick plan is made whatever the watch says; without a limit the search ends when it finds no more.
    """
    can = [index for index, part in enumerate(problem.parts) if _fits_some(problem, index)]
    kinds = kinds_of(replace(problem, parts=tuple(problem.parts[index] for index in can)))
    lost = len(problem.parts) - len(can)
    bound = _least_cost(kinds)

    def tell(lay: Lay) -> None:
        told(lost + sum(lay.missing), lay.cost, bound)

    start = _start(kinds, bound, watch)
    best = min(start, key=lambda lay: lay.rank)
    tell(best)
    if can:
        best = Search(kinds, least=bound, start=start, watch=watch, seed=seed, told=tell).run()
    spots = tuple(replace(spot, part=can[spot.part]) for spot in kinds.spots(best))
    placed = {spot.part for spot in spots}
    unplaced = tuple(index for index in range(len(problem.parts)) if index not in placed)
    tries = round(watch.tries)
    return DonorPacking(spots, unplaced, best.cost, bound, _why(best, bound, watch), tries, watch.seconds_used(), seed)


def _fits_some(problem: DonorProblem, index: int) -> bool:
    part = problem.parts[index]
    return any(
        part.width <= donor.width and part.length <= donor.length
        for place, donor in enumerate(problem.donors)
        if part.donors is None or place in part.donors
    )


def _why(best: Lay, bound: int, watch: Watch) -> WhyStopped:
    if best.rank <= (0, bound):
        return WhyStopped.BEST_POSSIBLE
    return WhyStopped.ASKED if watch.stopped() else WhyStopped.LIMIT


def _least_cost(kinds: Kinds) -> int:
    """What placing every part costs at least: by area, and by the number of donors as large as the largest that parts need."""
    sizes = [(sort.width, sort.length) for sort in kinds.sorts for _ in sort.parts]
    if not sizes:
        return 0
    widest, longest = max(kind.width for kind in kinds.kinds), max(kind.length for kind in kinds.kinds)
    costs = sorted(kind.cost for kind in kinds.kinds for _ in kind.donors)
    by_count = sum(costs[: least_donors(sizes, widest, longest)])
    area, cost = sum(width * length for width, length in sizes), 0.0
    for kind in sorted(kinds.kinds, key=lambda kind: kind.cost / kind.area):
        share = min(float(len(kind.donors)), area / kind.area)
        cost += share * kind.cost
        area -= math.ceil(share * kind.area)
        if area <= 0:
            break
    return max(by_count, math.ceil(cost - WHOLE))


def _start(kinds: Kinds, bound: int, watch: Watch) -> list[Lay]:
    """Plans to begin with: none of the parts laid, and what rectpack lays, in one way at least; it knows no ties to donors."""
    plans = [kinds.lay(())]
    if not kinds.sorts or any(_is_tied(kinds, index) for index in range(len(kinds.kinds))):
        return plans
    for way in Way:
        if way is not Way.AREA_BEST and watch.over():
            break
        watch.count()
        plans.append(_laid_by_rectpack(kinds, way))
        if plans[-1].rank <= (0, bound):
            break
    return plans


def _is_tied(kinds: Kinds, index: int) -> bool:
    """True when some sort that is small enough for a kind may not lie on it."""
    kind = kinds.kinds[index]
    small = sum(sort.width <= kind.width and sort.length <= kind.length for sort in kinds.sorts)
    return small > len(kind.sorts)


def _laid_by_rectpack(kinds: Kinds, way: Way) -> Lay:
    """rectpack's plan, the donors that give most area for their cost first."""
    parts = [index for index, sort in enumerate(kinds.sorts) for _ in sort.parts]
    order = sorted(range(len(kinds.kinds)), key=lambda index: kinds.kinds[index].cost / kinds.kinds[index].area)
    donors = [index for index in order for _ in kinds.kinds[index].donors[: len(parts)]]
    laid = pack_bins(
        [(kinds.sorts[sort].width, kinds.sorts[sort].length) for sort in parts],
        [(kinds.kinds[kind].width, kinds.kinds[kind].length) for kind in donors],
        way,
    )
    spots: dict[int, list[tuple[int, int, int]]] = {}
    for donor, part, x, y in laid.spots:
        spots.setdefault(donor, []).append((parts[part], x, y))
    return kinds.lay(Filling.of(donors[donor], on) for donor, on in sorted(spots.items()))
