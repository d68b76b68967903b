"""From a plan to a quote: how much of everything, and what it comes to by the shop's own price list. Nothing else is priced."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from remnants.geometry.outline import perimeter_mm
from remnants.model.house_plan import CarpetPlan
from remnants.model.money import AREAS, LENGTHS, Money, Per, half_up
from remnants.model.order_plan import OrderPlan
from remnants.model.price_list import Priced, PriceLine, PriceList
from remnants.model.rooms import Doorway, Floors, Room

__all__ = ["Quantities", "Quote", "QuoteLine", "house_quantities", "quantities", "quote", "quote_house"]

ONE = {**AREAS, **LENGTHS, Per.EACH: 1.0}
"""What one of each measure is, in mm² or mm."""

HUNDREDTHS = 100
"""Quantities are rounded up to hundredths, so that what stands on paper times its price is its amount."""


@dataclass(frozen=True, slots=True)
class Quantities:
    """What a job takes: roll ordered (mm wide, mm long) and its style, floor (mm²), walls to strip, seams (mm), bars, steps."""

    roll_mm: tuple[float, float]
    floor_mm2: float
    walls_mm: float
    seams_mm: float
    bars: int
    steps: int
    style: str = ""

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
    """So much of something at a price for one, the margin in it, and what that comes to; of several carpets the `style`."""

    what: Priced
    quantity: Fraction
    by: Per
    price: Money
    amount: Money
    style: str = ""


@dataclass(frozen=True, slots=True)
class Quote:
    """What a customer is asked for. `unpriced` is what the job takes that the shop has no price for, `without` which carpets."""

    lines: tuple[QuoteLine, ...]
    net: Money
    tax: Money
    total: Money
    tax_percent: Fraction
    unpriced: tuple[Priced, ...] = ()
    without: tuple[str, ...] = ()


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
    return Quantities(roll, asked.area_mm2, max(0.0, walls - openings), plan.seam_mm, bars, steps, asked.wanted.style)


def house_quantities(parts: Sequence[CarpetPlan]) -> tuple[Quantities, ...]:
    """What the carpets of a house take. Where two of them meet in a doorway there is one bar, and no strip on either wall."""
    takes = [quantities(part.plan, part.asked) for part in parts]
    doors = Counter((room.name, door.beyond) for room, door in _doors(parts) if door.beyond)
    wide = {(room.name, door.beyond): math.dist(door.start, door.end) for room, door in _doors(parts)}
    of = {room.name: index for index, part in enumerate(parts) for room in part.asked.rooms}
    for (room, other), told in doors.items():
        back = doors.get((other, room), 0)
        if other not in of:
            continue
        mine, far = takes[of[room]], takes[of[other]]
        if back and room > other:  # told on both sides: the bar is counted on the first
            takes[of[room]] = replace(mine, bars=mine.bars - min(told, back))
        elif not back:
            takes[of[other]] = replace(far, walls_mm=max(0.0, far.walls_mm - told * wide[room, other]))
    return tuple(takes)


def _doors(parts: Sequence[CarpetPlan]) -> Iterable[tuple[Room, Doorway]]:
    return [(room, door) for part in parts for room in part.asked.rooms for door in room.doorways]


def quote(taken: Quantities, prices: PriceList) -> Quote:
    """What they come to: each line, the tax on their sum, and what has no price."""
    return quote_house([taken], prices)


def quote_house(takes: Sequence[Quantities], prices: PriceList) -> Quote:
    """What the carpets of a house come to together: a line for each carpet, all else summed up; tax; what has no price."""
    taken = _together(takes)
    carpets = [(each, prices.carpet_line(each.style)) for each in takes if each.of(Priced.CARPET, Per.M2) > 0]
    lines = []
    for line in prices.lines:
        of = [each for each, own in carpets if own is line] if line.what is Priced.CARPET else [taken]
        named = [(each.of(line.what, line.by), each.style if len(carpets) > 1 else "") for each in of]
        lines += [_line(much, line, prices, style) for much, style in named if much > 0]
    net = sum(line.amount.minor for line in lines)
    tax = half_up(net * prices.tax_percent / 100)
    unpriced = tuple(
        what for what in Priced if what not in prices.priced and what not in (Priced.VISIT, Priced.CARPET) and _takes(taken, what)
    )
    bare = [each.style for each, own in carpets if own is None]
    without = (*([Priced.CARPET] if bare else []), *unpriced)
    summed, taxed, total = (Money(minor, prices.currency) for minor in (net, tax, net + tax))
    return Quote(tuple(lines), summed, taxed, total, prices.tax_percent, without, tuple(bare))


def _together(takes: Sequence[Quantities]) -> Quantities:
    """All that is no carpet, summed up."""
    return Quantities(
        (0.0, 0.0),
        sum(each.floor_mm2 for each in takes),
        sum(each.walls_mm for each in takes),
        sum(each.seams_mm for each in takes),
        sum(each.bars for each in takes),
        sum(each.steps for each in takes),
    )


def _takes(taken: Quantities, what: Priced) -> bool:
    by = {Priced.STRIP: Per.M, Priced.TAPE: Per.M, Priced.BAR: Per.EACH, Priced.STAIRS: Per.EACH}.get(what, Per.M2)
    return taken.of(what, by) > 0


def _line(quantity: Fraction, line: PriceLine, prices: PriceList, style: str = "") -> QuoteLine:
    price = half_up(line.rate_minor * (1 + prices.margin_percent / 100))
    return QuoteLine(
        line.what, quantity, line.by, Money(price, prices.currency), Money(half_up(quantity * price), prices.currency), style
    )
