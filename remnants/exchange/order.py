"""An order as JSON, in the unit of the file that asked for it."""

from collections.abc import Sequence
from typing import Any

from remnants.estimating import ROLL, Laying, Money, OrderPlan, Placed, Sum
from remnants.estimating.lengths import Length, lengths_of
from remnants.estimating.near_misses import NearMiss, near_miss_told
from remnants.estimating.why_choose import why_choose
from remnants.exchange.figures import corners, degrees, figure, given_only
from remnants.geometry.turn import moved_ring, turned_ring
from remnants.model import Leftover
from remnants.units import Unit

__all__ = ["house_json", "order_json", "way_json"]


def order_json(
    name: str, unit: Unit, ways: list[dict[str, Any]], *, notes: tuple[str, ...], refused: tuple[str, ...]
) -> dict[str, Any]:
    """The whole answer; the first of `ways` is the chosen one."""
    return given_only(order=name, unit=unit.value, ways=ways, notes=list(notes) or None, refused=list(refused) or None)


def house_json(name: str, unit: Unit, carpets: list[dict[str, Any]], total: Sequence[Money]) -> dict[str, Any]:
    """The answer for a house in several carpets: each as its own answer under what it is called, and what all come to."""
    prices = [{"currency": each.currency, "net": each.plain} for each in total]
    return {"order": name, "unit": unit.value, "carpets": carpets, "total": {"prices": prices}}


def way_json(
    best: OrderPlan, without: OrderPlan, unit: Unit, *, choices: Sequence[OrderPlan] = (), near: Sequence[NearMiss] = ()
) -> dict[str, Any]:
    """One roll width: the order in full, and beside it the figures of the one without stock, and of the `choices` to it."""
    return {
        "roll": _roll_json(best, unit),
        **_figures(best, unit),
        **given_only(hurried=best.hurried or None),
        **given_only(stock_bound=None if best.stock_bound_mm is None else figure(best.stock_bound_mm, unit)),
        **given_only(rounding=_rounding_json(best, unit)),
        **given_only(near_misses=[_near_json(each, unit) for each in near] or None),
        "without_stock": _figures(without, unit),
        **given_only(choices=[_choice_json(each, without, unit) for each in choices] if len(choices) > 1 else None),
        "rooms": [_room_json(laying, best, unit) for laying in best.layings],
        "ticket": [_length_json(each, unit) for each in lengths_of(best)],
        "leftovers": [_leftover_json(leftover, best, unit) for leftover in best.leftovers],
        "passed_over": [{"piece": passed.piece, "reason": passed.reason} for passed in best.passed_over],
    }


def _roll_json(plan: OrderPlan, unit: Unit) -> dict[str, Any]:
    roll = plan.roll
    more = {"length": roll.length_mm, "end_loss": roll.end_loss_mm, "step": roll.step_mm, "least": roll.least_mm}
    taken = [
        given_only(name=each.name, lot=each.lot or None, cuts=figure(each.length_mm, unit), ordered=figure(each.ordered_mm, unit))
        for each in plan.rolls
    ]
    told = {name: figure(value, unit) for name, value in more.items() if value}
    return {"width": figure(roll.width_mm, unit), **told, **given_only(taken=taken or None)}


def _rounding_json(plan: OrderPlan, unit: Unit) -> dict[str, Any] | None:
    """What rounding up takes of the roll: the cuts, and what is ordered beyond them."""
    if plan.exact_mm is None:
        return None
    return {
        "cuts": figure(plan.length_mm - plan.exact_mm, unit),
        "ordered": figure(plan.ordered_mm - plan.length_mm, unit),
        "prices": [{"currency": each.rounding.currency, "amount": each.rounding.plain} for each in plan.sums if each.rounding],
    }


def _near_json(miss: NearMiss, unit: Unit) -> dict[str, Any]:
    return {
        "room": miss.room,
        "less_trim": figure(miss.less_mm, unit),
        "sides": miss.sides,
        "seams": miss.seams,
        "saved": figure(miss.saved_mm, unit),
        "sentence": near_miss_told(miss, unit),
    }


def _choice_json(plan: OrderPlan, recommended: OrderPlan, unit: Unit) -> dict[str, Any]:
    return {
        **_figures(plan, unit),
        "recommended": plan == recommended,
        "why": why_choose(plan, recommended, unit),
        "rooms": [_room_json(laying, plan, unit) for laying in plan.layings],
    }


def _figures(plan: OrderPlan, unit: Unit) -> dict[str, Any]:
    return {
        "length": figure(plan.length_mm, unit),
        "bound": figure(plan.bound_mm, unit),
        "least": figure(plan.least_mm, unit),
        "ordered": figure(plan.ordered_mm, unit),
        "area_m2": round(plan.area_mm2 / 1e6, 4),
        "floor_m2": round(plan.floor_mm2 / 1e6, 4),
        "waste_percent": round(100 * plan.waste_share, 2),
        "seams": {"count": len(plan.seams), "length": figure(plan.seam_mm, unit)},
        "kept_m2": round(plan.kept_mm2 / 1e6, 4),
        "stock_spent_m2": round(plan.spent_mm2 / 1e6, 4),
        "prices": [_sum_json(each) for each in plan.sums],
    }


def _sum_json(each: Sum) -> dict[str, Any]:
    sums = {"roll": each.roll, "credit": each.credit, "stock": each.stock, "net": each.net}
    return {"currency": each.roll.currency, **{key: money.plain for key, money in sums.items()}}


def _room_json(laying: Laying, plan: OrderPlan, unit: Unit) -> dict[str, Any]:
    placed = {each.cut.name: each for each in plan.placed}
    numbers = plan.cut_numbers
    room = next((room for room in plan.floors.rooms if room.name == laying.room), None)
    of = [{"room": part.name, "shift": corners([part.shift], unit)[0]} for part in room.parts] if room else []
    return {
        "name": laying.room,
        **given_only(of=of or None),
        "pile": degrees(laying.pile_deg),
        "cuts": [
            {**_cut_json(placed[cut.name], laying.pile_deg, plan, unit), "number": numbers[cut.name]} for cut in laying.cuts
        ],
        "seams": [
            {
                "kind": each.seam.kind.value,
                "line": corners(each.seam.line, unit),
                "length": figure(each.seam.length_mm, unit),
                "show": each.seam.show.value,
                "sentence": each.seam.sentence,
                **given_only(to=each.to or None),
            }
            for each in laying.seams
        ],
    }


def _length_json(length: Length, unit: Unit) -> dict[str, Any]:
    """A length to take off a roll, and where the cuts lie in it."""
    return given_only(
        number=length.number,
        roll=length.roll or None,
        start=figure(length.start_mm, unit),
        length=figure(length.length_mm, unit),
        cuts=[{"name": each.cut.name, "at": corners([each.at], unit)[0]} for each in length.cuts],
    )


def _cut_json(placed: Placed, pile_deg: float, plan: OrderPlan, unit: Unit) -> dict[str, Any]:
    cut = placed.cut
    return given_only(
        name=cut.name,
        kind=cut.kind.value,
        source="roll" if placed.source == ROLL else placed.source,
        roll=plan.roll_of(placed).name or None if placed.source == ROLL else None,
        at=corners([(placed.at[0], plan.along_mm(placed))], unit)[0],
        width=figure(cut.width_mm, unit),
        length=figure(cut.length_mm, unit),
        steps=cut.steps or None,
        net=corners(turned_ring(cut.net.ring, pile_deg), unit) if cut.net else None,
    )


def _leftover_json(leftover: Leftover, plan: OrderPlan, unit: Unit) -> dict[str, Any]:
    roll = plan.roll_at(leftover.outline.bounds[1]) if leftover.piece == ROLL else None
    ring = moved_ring(leftover.outline.ring, (0.0, -roll.start_mm)) if roll else leftover.outline.ring
    return {
        "from": leftover.piece if roll is None else "roll",
        **given_only(roll=roll.name or None if roll else None),
        "outline": corners(ring, unit),
        "largest": {"width": figure(leftover.largest[0], unit), "length": figure(leftover.largest[1], unit)},
        "usable": leftover.usable,
    }
