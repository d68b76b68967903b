"""From a plan to a quote: how much of everything, and what it comes to by the shop's own price list. Nothing else is priced."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from remnants.geometry.outline import perimeter_mm
from remnants.model.money import AREAS, LENGTHS, Money, Per, half_up
from remnants.model.order_plan import OrderPlan
from remnants.model.price_list import Priced, PriceLine, PriceList
from remnants.model.rooms import Floors

__all__ = ["Quantities", "Quote", "QuoteLine", "quantities", "quote"]

ONE = {**AREAS, **LENGTHS, Per.EACH: 1.0}
"""What one of each measure is, in mm² or mm."""

HUNDREDTHS = 100
"""Quantities are rounded up to hundredths, so that what stands on paper times its price is its amount."""


@dataclass(frozen=True, slots=True)
class Quantities:
    """What a job takes: roll ordered (mm wide, mm long), floor (mm²), walls to strip, seams (mm), bars, steps."""

    roll_mm: tuple[float, float]
    floor_mm2: float
    walls_mm: float
    seams_mm: float
    bars: int
    steps: int

    def of(self, what: Priced, by: Per) -> Fraction:
        """How much of something, in the unit of its price, rounded up to hundredths."""
        wide, long = self.roll_mm
        found: Mapping[Priced, float] = {
            Priced.CARPET: wide * long if by in AREAS else long,
            Priced.UNDERLAY: self.floor_mm2,
            Priced.LABOUR: self.floor_mm2,
            Priced.UPLIFT: self.floor_mm2,
            Priced.STRIP: self.walls_mm,
            Priced.TAPE: self.seams_mm,
            Priced.BAR: self.bars,
            Priced.STAIRS: self.steps,
            Priced.VISIT: 1,
        }
        exact = Fraction(str(round(found[what], 3))) / Fraction(str(ONE[by]))
        return Fraction(math.ceil(round(exact * HUNDREDTHS, 4)), HUNDREDTHS)


@dataclass(frozen=True, slots=True)
class QuoteLine:
    """So much of something at a price for one, the margin in it, and what that comes to."""

    what: Priced
    quantity: Fraction
    by: Per
    price: Money
    amount: Money


@dataclass(frozen=True, slots=True)
class Quote:
    """What a customer is asked for. `unpriced` is what the job takes that the shop has no price for."""

    lines: tuple[QuoteLine, ...]
    net: Money
    tax: Money
    total: Money
    tax_percent: Fraction
    unpriced: tuple[Priced, ...] = ()


def quantities(plan: OrderPlan, asked: Floors) -> Quantities:
    """What the order of these floors takes. No strip across a doorway (CRI 105); a bar where one leads to another floor."""
    walls = sum(perimeter_mm(ring) for room in asked.rooms for ring in (room.outline.ring, *room.outline.cutouts))
    named = {(room.name, door.to) for room in asked.rooms for door in room.doorways}
    openings = 0.0
    for room in asked.rooms:
        for door in room.doorways:
            wide = math.dist(door.start, door.end)
            openings += wide if not door.to or (door.to, room.name) in named else 2 * wide
    bars = sum(not door.to for room in asked.rooms for door in room.doorways)
    steps = sum(flight.steps + len(flight.winders) for flight in asked.stairs)
    roll = plan.roll.width_mm, plan.ordered_mm
    return Quantities(roll, asked.area_mm2, max(0.0, walls - openings), plan.seam_mm, bars, steps)


def quote(taken: Quantities, prices: PriceList) -> Quote:
    """What they come to: each line, the tax on their sum, and what has no price."""
    lines = tuple(_line(taken.of(line.what, line.by), line, prices) for line in prices.lines if taken.of(line.what, line.by) > 0)
    net = sum(line.amount.minor for line in lines)
    tax = half_up(net * prices.tax_percent / 100)
    without = tuple(what for what in Priced if what not in prices.priced and what is not Priced.VISIT and _takes(taken, what))
    summed, taxed, total = (Money(minor, prices.currency) for minor in (net, tax, net + tax))
    return Quote(lines, summed, taxed, total, prices.tax_percent, without)


def _takes(taken: Quantities, what: Priced) -> bool:
    by = {Priced.STRIP: Per.M, Priced.TAPE: Per.M, Priced.BAR: Per.EACH, Priced.STAIRS: Per.EACH}.get(what, Per.M2)
    return taken.of(what, by) > 0


def _line(quantity: Fraction, line: PriceLine, prices: PriceList) -> QuoteLine:
    price = half_up(line.rate_minor * (1 + prices.margin_percent / 100))
    return QuoteLine(
        line.what, quantity, line.by, Money(price, prices.currency), Money(half_up(quantity * price), prices.currency)
    )
