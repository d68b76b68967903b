"""The front door: from floors, stock and rules to the order. Rooms are laid in the ways that together take least roll."""

from collections.abc import Sequence
from dataclasses import replace

from remnants.errors import NoPlan
from remnants.estimating.cut_steps import exact_length_mm
from remnants.estimating.roll.bearings import bearings_of
from remnants.estimating.roll.least_length import least_mm
from remnants.estimating.roll.least_of_rectangles import least_of_rectangles_mm
from remnants.estimating.roll.ways_together import finalists
from remnants.estimating.roll.work import Told, Work
from remnants.estimating.rolls import OnRolls, lot_key, on_rolls, set_in_lengths
from remnants.estimating.rooms.seams import between_lots
from remnants.estimating.stock.calmer import with_fewer_seams
from remnants.estimating.stock.choice import bound_with_stock_mm, possible_options, uses_of_stock, worth_of
from remnants.estimating.stock.leftovers import kept_mm2, leftovers_of, spent_mm2
from remnants.estimating.stock.what_fits import lot_of, most_from_stock, options, usable_stock, views
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.tolerances import DUST_MM
from remnants.model import Candidate, Construction
from remnants.model.money import Money, Price
from remnants.model.order_plan import Cut, Laying, OrderPlan, Placed, RoomSeam, Sum, Taken
from remnants.model.order_rules import OrderRules, Roll
from remnants.model.rooms import Floors
from remnants.packing import Watch

__all__ = ["Told", "choices", "order_from_roll", "order_with_stock", "orders_from_roll"]


def order_from_roll(
    floors: Floors,
    roll: Roll,
    *,
    rules: OrderRules,
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
    rules: OrderRules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> tuple[OrderPlan, ...]:
    """A few orders with everything cut from new roll, each laid in another way, best first. Raises NoPlan as above.

    Among them are the `choices`.
    """
    work = Work(floors, floors, roll, rules, construction, seed, watch, told)
    found = finalists(work)
    plans: list[OrderPlan] = []
    refused: list[str] = []
    for index, final in enumerate(found):
        cuts = [cut for laying in final.layings for cut in laying.cuts]
        laid = replace(work, floors=final.floors)
        try:
            on = on_rolls(laid, cuts, watch.part(max(FIRST_SHARE * (index == 0), 1 / (len(found) - index))))
        except NoPlan as error:
            refused.append(str(error))
            continue
        plans.append(_in_lengths(laid, final.layings, on))
    if not plans:
        raise NoPlan(refused[0])
    least = least_of_rectangles_mm(work, least_mm=_least(work), known_mm=min(plan.length_mm for plan in plans))
    plans = [replace(plan, least_mm=least, hurried=watch.hurried) for plan in plans]
    return tuple(sorted(plans, key=lambda plan: (plan.merit_mm, len(plan.seams))))


def choices(plans: Sequence[OrderPlan]) -> tuple[OrderPlan, ...]:
    """Of these orders for the same floors, those that are a choice, from the fewest seams to the shortest roll.

    Each orders less roll than every other with no more seams. The first of `plans`, the one recommended, stands among them.
    """
    kept: list[OrderPlan] = []
    for plan in sorted(plans, key=lambda plan: (len(plan.seams), round(plan.ordered_mm, 3), plan is not plans[0], plan.merit_mm)):
        if not kept or plan.ordered_mm < kept[-1].ordered_mm - TOLERANCE_MM:
            kept.append(plan)
    beside = [plan for plan in kept if not _no_better(plan, plans[0])]
    return tuple(sorted((*beside, plans[0]), key=lambda plan: (len(plan.seams), -plan.ordered_mm)))


def _no_better(plan: OrderPlan, first: OrderPlan) -> bool:
    """True if it saves neither roll nor a seam against the first."""
    return plan.ordered_mm >= first.ordered_mm - TOLERANCE_MM and len(plan.seams) >= len(first.seams)


MOST_WITH_STOCK = 4
"""Orders that stock is tried for."""

FIRST_SHARE = 0.4
"""Share of the packing for the order that looks best; the others share the rest."""


def order_with_stock(
    plans: Sequence[OrderPlan],
    floors: Floors,
    stock: Sequence[Candidate],
    *,
    rules: OrderRules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """One of these orders for the `floors` asked, with what stock can give.

    The one with least roll to order, then most worth spared, then least drawbacks.
    No way of laying is taken whose roll and drawbacks together weigh more than those of the first order. So more stock never
    lengthens the roll. The first order where stock gives nothing.
    """
    work = Work(floors, floors, plans[0].roll, rules, construction, seed, watch, told)
    usable, passed = usable_stock(stock, work.roll)
    found: list[OrderPlan] = []
    tried = plans[:MOST_WITH_STOCK]
    for index, plan in enumerate(tried):
        bound, made = _with_stock(work, plan, usable, watch=watch.part(1 / (len(tried) - index)))
        found += [replace(each, stock_bound_mm=bound) for each in ([plan, *made] if index == 0 else made)]
    found = [each for each in found if each.merit_mm <= plans[0].merit_mm + DUST_MM]
    best = min(found, key=lambda plan: (round(plan.ordered_mm, 3), -_worth(work, plan, usable), plan.merit_mm, len(plan.tags)))
    return replace(best, passed_over=passed, least_mm=_least(work, usable), hurried=watch.hurried)


def _least(work: Work, stock: Sequence[Candidate] = ()) -> float:
    bearings = [bearings_of(group) for group in work.floors.groups]
    given, own = most_from_stock(work.floors, stock, work.roll)
    return least_mm(work.floors, bearings, work.roll, work.rules, given=given if stock else (), stock_mm2=own)


def _worth(work: Work, plan: OrderPlan, stock: Sequence[Candidate]) -> float:
    return round(worth_of(work, plan.placed, plan.ordered_mm, stock))


def _with_stock(work: Work, plan: OrderPlan, usable: Sequence[Candidate], *, watch: Watch) -> tuple[float, list[OrderPlan]]:
    """The roll that the plan's layings take whatever stock gives (mm), and the same layings with what it can give.

    That is the shortest way found and the one that spares most worth.
    """
    groups = views(plan.floors, plan.layings)
    cuts = [cut for group in groups for cut in group]
    possible = possible_options(work, options(groups, usable, plan.roll))
    bound = bound_with_stock_mm(work, cuts, possible)
    uses = uses_of_stock(work, cuts, possible, watch.part(0.5))
    laid = replace(work, floors=plan.floors)
    made = []
    for index, use in enumerate(uses):
        try:
            on = on_rolls(laid, use.rest, watch.part(1 / (len(uses) - index)))
        except NoPlan:  # with less to cut another way to share it out was looked at
            continue
        ordered = sum(each.ordered_mm for each in on.rolls) if on.rolls else work.roll.ordered_mm(on.length_mm)
        layings, given = with_fewer_seams(laid, plan.layings, use, on.placed, ordered_mm=ordered, stock=usable, watch=watch)
        made.append(_in_lengths(laid, layings, on, from_stock=given, stock=usable))
    return bound, made


def _in_lengths(
    work: Work,
    layings: tuple[Laying, ...],
    on: OnRolls,
    *,
    from_stock: tuple[Placed, ...] = (),
    stock: Sequence[Candidate] = (),
) -> OrderPlan:
    """The plan in as many full-width lengths as go, the cuts of a room one after another, where that costs no carpet."""
    packed = _plan(work, layings, on, from_stock=from_stock, stock=stock)
    if work.roll.repeat or not on.placed:
        return packed
    tidy = _plan(work, layings, set_in_lengths(on, layings, work.roll), from_stock=from_stock, stock=stock)
    return tidy if tidy.ordered_mm <= packed.ordered_mm + TOLERANCE_MM and tidy.kept_mm2 >= packed.kept_mm2 - 1.0 else packed


def _plan(
    work: Work,
    layings: tuple[Laying, ...],
    on: OnRolls,
    *,
    from_stock: tuple[Placed, ...] = (),
    stock: Sequence[Candidate] = (),
) -> OrderPlan:
    placed = (*on.placed, *from_stock)
    roll, rules, length = work.roll, work.rules, on.length_mm
    taken = on.rolls or ((Taken("", roll.lot, 0.0, length, roll.ordered_mm(length)),) if length > 0 else ())
    lengths = [(each.start_mm, each.start_mm + each.ordered_mm - roll.end_loss_mm) for each in taken]
    by_roll = [[each for each in on.placed if start <= each.at[1] + TOLERANCE_MM < end] for start, end in lengths]
    exact = length if roll.repeat else sum(map(exact_length_mm, by_roll))
    ordered = sum(each.ordered_mm for each in taken)
    left = leftovers_of(placed, roll.width_mm, lengths, stock, rules)
    kept = kept_mm2(left)
    spent = spent_mm2(left, {each.source for each in from_stock}, stock, rules)
    return OrderPlan(
        work.floors,
        roll,
        _with_lots_told(layings, placed, stock, (roll, taken)),
        placed,
        length,
        on.bound_mm,
        ordered,
        floor_mm2=work.floors.area_mm2 + sum(cut.width_mm * cut.length_mm for cut in _stair_cuts(layings)),
        leftovers=left,
        sums=tuple(_sum(price, roll, (ordered, exact), kept, spent) for price in rules.prices),
        stopped=on.why,
        kept_mm2=kept,
        spent_mm2=spent,
        exact_mm=exact,
        rolls=on.rolls,
    )


def _with_lots_told(
    layings: tuple[Laying, ...], placed: Sequence[Placed], stock: Sequence[Candidate], rolls: tuple[Roll, Sequence[Taken]]
) -> tuple[Laying, ...]:
    """The layings with every join told at which carpet of two lots meets: that can only be out of view."""
    roll, taken = rolls
    lots = {each.piece.tag: lot_of(each, roll) for each in stock}
    of_roll = {each.start_mm: lot_key(each.name, each.lot) if roll.there else roll.lot.strip().casefold() for each in taken}
    own: dict[float, tuple[str, ...]] = {
        start: () if key == roll.lot.strip().casefold() else (key,) for start, key in of_roll.items()
    }

    def lot(each: Placed) -> tuple[str, ...]:
        if each.source in lots:
            return lots[each.source]
        return own[max(start for start in own if start <= each.at[1] + TOLERANCE_MM)]

    of_room = {each.cut.room: lot(each) for each in placed}

    def told(seam: RoomSeam) -> RoomSeam:
        other = of_room.get(seam.to, of_room[seam.room])
        return between_lots(seam) if other != of_room[seam.room] else seam

    return tuple(replace(laying, seams=tuple(told(seam) for seam in laying.seams)) for laying in layings)


def _sum(price: Price, roll: Roll, lengths_mm: tuple[float, float], kept_mm2: float, spent_mm2: float) -> Sum:
    cost, exact = (price.of(roll.width_mm, length) for length in lengths_mm)
    credit, stock = (price.credited(area, roll.width_mm) for area in (kept_mm2, spent_mm2))
    net = Money(cost.minor - credit.minor + stock.minor, cost.currency)
    return Sum(cost, credit, stock, net, Money(cost.minor - exact.minor, cost.currency))


def _stair_cuts(layings: Sequence[Laying]) -> list[Cut]:
    return [cut for laying in layings for cut in laying.cuts if cut.net is None]
