"""Questions about the figures of an order: are the areas and the money what they come to, and is what is kept worth it?"""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from remnants.errors import Fault
from remnants.model.money import Price
from remnants.model.order_plan import ROLL
from remnants.proof.lines import TOLERANCE_MM
from remnants.proof.order_case import OrderCase, OrderQuestion
from remnants.proof.regions import area_mm2, overlap_mm, region_of
from remnants.proof.remains import Rest
from remnants.units import MM2_PER_FT2, MM2_PER_M2, MM2_PER_YD2, MM_PER_FT, MM_PER_YD

__all__ = ["QUESTIONS"]

PER = {"m2": MM2_PER_M2, "ft2": MM2_PER_FT2, "yd2": MM2_PER_YD2, "m": 1000.0, "ft": MM_PER_FT, "yd": MM_PER_YD}
LENGTHS = ("m", "ft", "yd")
STRAY = 1e-6
"""Share of an area by which sums may differ: they are added up in another order."""


def worth(case: OrderCase) -> Iterator[Fault]:
    """Are those leftovers told as worth keeping that the rules keep?"""
    for number, left in enumerate(case.plan.leftovers):
        short, long = sorted(left.largest)
        least, most = sorted((case.rules.keep.short_mm, case.rules.keep.long_mm))
        kept = short >= least - TOLERANCE_MM and long >= most - TOLERANCE_MM
        if left.usable is not kept:
            told = "worth keeping" if left.usable else "waste"
            yield Fault(f"leftovers[{number}]", f"{left.largest[0]:.1f} x {left.largest[1]:.1f} mm are told as {told}")


def areas(case: OrderCase) -> Iterator[Fault]:
    """Are the areas told of the floors, of what is kept of the roll and of what the pieces lose those that they come to?"""
    floor = _floor_mm2(case)
    if floor is not None and not _same(case.plan.floor_mm2, [floor]):
        yield Fault("floor", f"{case.plan.floor_mm2:.0f} mm² told, the floors have {floor:.0f} mm²")
    kept = sum(rest.area_mm2 for rest in _usable(case, ROLL))
    if not _same(case.plan.kept_mm2, [kept]):
        yield Fault("kept", f"{case.plan.kept_mm2:.0f} mm² told, the leftovers of the roll have {kept:.0f} mm²")
    spent = _spent_mm2(case)
    if not _same(case.plan.spent_mm2, spent):
        yield Fault(
            "spent", f"{case.plan.spent_mm2:.0f} mm² told, the pieces lose {' or '.join(f'{area:.0f}' for area in spent)}"
        )


def _same(told: float, due: Sequence[float]) -> bool:
    return any(abs(told - area) <= STRAY * max(abs(area), MM2_PER_M2) + TOLERANCE_MM for area in due)


def _usable(case: OrderCase, tag: str) -> list[Rest]:
    name = "the roll" if tag == ROLL else tag
    return [rest for remains in case.remains if remains.tag == name for rest in remains.rests if rest.told.usable]


def _floor_mm2(case: OrderCase) -> float | None:
    """The area of floors and stair cuts; None where islands overlap, so that they can't be taken off one by one."""
    area = 0.0
    for spread in case.spreads:
        if any(overlap_mm(one, two) for one, two in combinations(spread.islands, 2)):
            return None
        area += area_mm2(spread.walls.rings[0]) + sum(area_mm2(island.rings[0][::-1]) for island in spread.islands)
    cuts = [cut for laying in case.plan.layings for cut in laying.cuts if cut.net is None]
    return area + sum(cut.width_mm * cut.length_mm for cut in cuts)


def _spent_mm2(case: OrderCase) -> list[float]:
    """What the pieces cut may lose: each was worth its area if a rectangle worth keeping lay in it, which only some show."""
    sums = {0.0}
    for tag in sorted(set(case.sources) & set(case.pieces)):
        outline = case.pieces[tag].piece.outline
        whole = region_of(outline.ring)
        left, low, right, high = whole.box
        after = sum(rest.area_mm2 for rest in _usable(case, tag))
        before = {0.0, outline.usable_area_mm2}
        if whole.is_upright and not outline.cutouts and case.pieces[tag].piece.pile_deg % 90.0 == 0.0:
            before = {(right - left) * (high - low) if case.rules.keep.worth_keeping(right - left, high - low) else 0.0}
        sums = {total + area - after for total in sums for area in before}
        if len(sums) > MOST_SUMS:
            return [case.plan.spent_mm2]
    return sorted(sums)


MOST_SUMS = 4096
"""Beyond so many sums nobody can tell a wrong one any more."""


def money(case: OrderCase) -> Iterator[Fault]:
    """Is there a sum for each price, and are its roll, credit, stock, rounding and rest what they come to, rounded half up?"""
    plan = case.plan
    if len(plan.sums) != len(case.rules.prices):
        yield Fault("sums", f"{len(plan.sums)} sums for {len(case.rules.prices)} prices")
    for number, (price, told) in enumerate(zip(case.rules.prices, plan.sums, strict=False)):
        where = f"sums[{number}]"
        if not math.isfinite(plan.ordered_mm + plan.kept_mm2 + plan.spent_mm2):
            yield Fault(where, "it stands on a length or an area that is no figure")
            continue
        due = {
            "roll": _cost(price, plan.roll.width_mm, plan.ordered_mm),
            "credit": _credit(price, plan.kept_mm2, plan.roll.width_mm),
            "stock": _credit(price, plan.spent_mm2, plan.roll.width_mm),
        }
        for name, exact in due.items():
            figure = getattr(told, name)
            if not abs(figure.minor - exact) <= Fraction(1, 2) + abs(exact) / 10**6:
                yield Fault(f"{where}.{name}", f"{figure} told, it comes to {float(exact):.2f} in the smallest coin")
        exact = _cost(price, plan.roll.width_mm, plan.ordered_mm) - _cost(price, plan.roll.width_mm, plan.exact_mm or 0.0)
        if told.rounding is not None and not abs(told.rounding.minor - exact) <= 1 + abs(exact) / 10**6:
            yield Fault(f"{where}.rounding", f"{told.rounding} told, it comes to {float(exact):.2f} in the smallest coin")
        rest = told.roll.minor - told.credit.minor + told.stock.minor
        if told.net.minor != rest:
            yield Fault(f"{where}.net", f"{told.net.minor} told, roll less credit and with stock come to {rest}")
        if {told.roll.currency, told.credit.currency, told.stock.currency, told.net.currency} != {price.currency}:
            yield Fault(where, f"not all of it is told in {price.currency}")


def _cost(price: Price, width_mm: float, length_mm: float) -> Fraction:
    """In the smallest coin, exactly."""
    amount = Fraction(length_mm) if price.per.value in LENGTHS else Fraction(width_mm) * Fraction(length_mm)
    return price.rate_minor * amount / Fraction(str(PER[price.per.value]))


def _credit(price: Price, area_mm2: float, width_mm: float) -> Fraction:
    """What an area of leftovers is credited at, in the smallest coin."""
    return _cost(price, width_mm, area_mm2 / width_mm) * Fraction(price.credit).limit_denominator(10_000)


QUESTIONS: tuple[OrderQuestion, ...] = (worth, areas, money)
