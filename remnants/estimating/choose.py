"""The front door: from floors, stock and rules to the order. Rooms are laid in the ways that together take least roll."""

from collections.abc import Sequence
from dataclasses import replace

from remnants.estimating.combine import Told, Work, finalists
from remnants.estimating.leftovers import leftovers_of
from remnants.estimating.plan import ROLL, Cut, Laying, OrderPlan, Placed, Sum
from remnants.estimating.rooms import Floors
from remnants.estimating.rules import Roll, Rules
from remnants.estimating.stock_choice import best_use
from remnants.estimating.stock_use import options, usable_stock, views
from remnants.model import Candidate, Construction, PassedOver
from remnants.packing import StripPacking, Watch

__all__ = ["Told", "order_from_roll", "order_with_stock", "orders_from_roll"]


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
    """The order with everything cut from new roll: least roll and drawbacks together.

    Raises NoPlan when a room can't be laid within the rules, naming it.
    """
    return orders_from_roll(floors, roll, rules=rules, watch=watch, construction=construction, seed=seed, told=told)[0]


def orders_from_roll(
    floors: Floors,
    roll: Roll,
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> tuple[OrderPlan, ...]:
    """A few orders with everything cut from new roll, each laid in another way, best first. Raises NoPlan as above."""
    work = Work(floors, roll, rules, construction, seed, watch, told)
    found = finalists(work)
    plans = []
    for index, layings in enumerate(found):
        cuts = [cut for laying in layings for cut in laying.cuts]
        plans.append(_plan(work, layings, cuts, work.pack(cuts, watch.part(1 / (len(found) - index)))))
    return tuple(sorted(plans, key=lambda plan: (plan.merit_mm, len(plan.seams))))


def order_with_stock(
    plans: Sequence[OrderPlan],
    floors: Floors,
    stock: Sequence[Candidate],
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """One of these orders with what stock can give: least roll, then least drawbacks; the first where stock gives nothing."""
    work = Work(floors, plans[0].roll, rules, construction, seed, watch, told)
    usable, passed = usable_stock(stock, work.roll)
    best = replace(plans[0], passed_over=passed)
    for index, plan in enumerate(plans):
        part = watch.part(1 / (len(plans) - index))
        found = _with_stock(work, plan, usable, passed, watch=part)
        if found and (found.length_mm, found.merit_mm) < (best.length_mm, best.merit_mm):
            best = found
    return best


def _with_stock(
    work: Work, plan: OrderPlan, usable: Sequence[Candidate], passed: tuple[PassedOver, ...], *, watch: Watch
) -> OrderPlan | None:
    """The same layings with what stock can give; None where that shortens nothing."""
    groups = views(work.floors, plan.layings)
    cuts = [cut for group in groups for cut in group]
    use = best_use(work, cuts, options(groups, usable, plan.roll), plan.length_mm, watch.part(0.5))
    if not use.placed:
        return None
    packing = work.pack(use.rest, watch)
    return _plan(work, plan.layings, use.rest, packing, from_stock=use.placed, stock=usable, passed=passed)


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
