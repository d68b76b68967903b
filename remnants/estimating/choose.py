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

__all__ = ["Told", "order_from_roll", "order_with_stock"]


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
    use = best_use(work, cuts, options(groups, usable, plan.roll), plan.length_mm, watch.part(0.5))
    if not use.placed:
        return replace(plan, passed_over=passed)
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
