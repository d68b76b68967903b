"""The front door: from floors, stock and rules to the order. Rooms are laid in the ways that together take least roll."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from remnants.estimating.combine import Told, Work, finalists
from remnants.estimating.leftovers import leftovers_of
from remnants.estimating.plan import ROLL, Cut, Laying, OrderPlan, Placed, Sum
from remnants.estimating.rooms import Floors
from remnants.estimating.rules import Roll, Rules
from remnants.estimating.stock_use import Option, lay_on_stock, options, usable_stock, views
from remnants.model import Candidate, Construction, PassedOver
from remnants.packing import StripPacking, Watch

__all__ = ["Told", "order_from_roll", "order_with_stock"]

MOST_OPTIONS = 8
"""Options of stock tried in every combination; more are taken one by one, largest first."""


def order_from_roll(
    floors: Floors,
    roll: Roll,
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """The order with everything cut from new roll.

    Raises NoPlan when a room can't be laid within the rules, naming it.
    """
    work = Work(floors, roll, rules, construction, seed, watch, told)
    best: OrderPlan | None = None
    layings_found = finalists(work)
    for index, layings in enumerate(layings_found):
        cuts = [cut for laying in layings for cut in laying.cuts]
        packing = work.pack(cuts, watch.part(1 / (len(layings_found) - index)))
        plan = _plan(work, layings, cuts, packing)
        best = plan if best is None or (plan.merit_mm, len(plan.seams)) < (best.merit_mm, len(best.seams)) else best
    assert best is not None, "every floor has a way to be laid"
    return best


def order_with_stock(
    plan: OrderPlan,
    floors: Floors,
    stock: Sequence[Candidate],
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """The same layings with what stock can give: the least roll; `plan` itself where stock gives nothing."""
    work = Work(floors, plan.roll, rules, construction, seed, watch, told)
    usable, passed = usable_stock(stock, plan.roll)
    groups = views(floors, plan.layings)
    cuts = [cut for group in groups for cut in group]
    best: tuple[tuple[float, int, float], tuple[Placed, ...]] = ((plan.length_mm, 0, 0.0), ())
    for chosen in _choices(list(options(groups, usable, plan.roll)), watch):
        placed = lay_on_stock(chosen, plan.roll)
        if placed is None:
            continue
        names = {each.cut.name for each in placed}
        rest = [cut for cut in cuts if cut.name not in names]
        spoiled = sum(each.piece.outline.usable_area_mm2 for each in usable if each.piece.tag in {p.source for p in placed})
        merit = work.quick_mm(rest), len({each.source for each in placed}), spoiled
        if merit < best[0]:
            best = merit, placed
    if not best[1]:
        return _with(plan, passed)
    names = {each.cut.name for each in best[1]}
    rest = [cut for cut in cuts if cut.name not in names]
    return _plan(work, plan.layings, rest, work.pack(rest, watch), from_stock=best[1], stock=usable, passed=passed)


def _choices(found: Sequence[Option], watch: Watch) -> Iterable[tuple[Option, ...]]:
    """Sets of options that take no cut twice: all of them where they are few, else the largest one by one."""
    possible = [option for option in found if _may_suffice(option)]
    possible.sort(key=lambda option: -sum(cut.width_mm * cut.length_mm for cut in option.cuts))
    if len(possible) > MOST_OPTIONS:
        taken: tuple[Option, ...] = ()
        for option in possible:
            yield (option,)
            if _apart((*taken, option)):
                taken = (*taken, option)
                yield taken
        possible = possible[:MOST_OPTIONS]
    for size in range(1, len(possible) + 1):
        for chosen in combinations(possible, size):
            if watch.over():
                return
            if _apart(chosen):
                yield chosen


def _may_suffice(option: Option) -> bool:
    """False when the pieces are too small in all, which needs no search."""
    needed = sum(cut.width_mm * cut.length_mm for cut in option.cuts)
    return needed <= sum(each.piece.outline.usable_area_mm2 for each in option.stock) + 1.0


def _apart(chosen: Sequence[Option]) -> bool:
    names = [cut.name for option in chosen for cut in option.cuts]
    return len(names) == len(set(names))


def _plan(
    work: Work,
    layings: tuple[Laying, ...],
    rest: Sequence[Cut],
    packing: StripPacking,
    *,
    from_stock: tuple[Placed, ...] = (),
    stock: Sequence[Candidate] = (),
    passed: tuple[PassedOver, ...] = (),
) -> OrderPlan:
    placed = (
        tuple(Placed(cut, ROLL, (x / 1000, y / 1000)) for cut, (x, y) in zip(rest, packing.corners, strict=True)) + from_stock
    )
    roll, length = work.roll, packing.length / 1000
    ordered = roll.ordered_mm(length)
    left = leftovers_of(placed, roll.width_mm, ordered, stock, work.rules)
    kept = sum(each.outline.usable_area_mm2 for each in left if each.usable and each.piece == ROLL)
    sums = []
    for price in work.rules.prices:
        cost, credit = price.of(roll.width_mm, ordered), price.credited(kept, roll.width_mm)
        sums.append(Sum(cost, credit, type(cost)(cost.minor - credit.minor, cost.currency)))
    area = work.floors.area_mm2 + sum(cut.width_mm * cut.length_mm for cut in _stair_cuts(layings))
    return OrderPlan(
        roll, layings, placed, length, packing.bound / 1000, ordered, area, left, tuple(sums), passed, packing.why.value
    )


def _stair_cuts(layings: Sequence[Laying]) -> list[Cut]:
    return [cut for laying in layings for cut in laying.cuts if cut.net is None]


def _with(plan: OrderPlan, passed: tuple[PassedOver, ...]) -> OrderPlan:
    return replace(plan, passed_over=passed)
