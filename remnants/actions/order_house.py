"""Which rolls must be ordered for a house with several carpets? Each is ordered as if it were alone; stock is given once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from remnants.actions.order_rooms import Limits, Ordered, Way, by_shop_rules, order_rooms
from remnants.errors import NoPlan
from remnants.estimating import OrderPlan
from remnants.estimating.order import Told
from remnants.exchange import Stock
from remnants.exchange.house import HouseAsked
from remnants.model.house_plan import CarpetPlan
from remnants.store import Catalogue

__all__ = ["HouseOrdered", "house_by_shop_rules", "limits_of_each", "numbered_on", "order_house", "plans_called"]


LEAST_SECONDS = 1.0
"""What the last carpet has to be looked at in, whatever the others took."""


@dataclass(frozen=True)
class HouseOrdered:
    """The answer: an order for each carpet, in the order of the house, their cuts numbered through it."""

    asked: HouseAsked
    carpets: tuple[Ordered, ...]

    @property
    def plans(self) -> tuple[CarpetPlan, ...]:
        """The order to take of each carpet."""
        return plans_called(self.asked, [each.chosen.best for each in self.carpets])


def plans_called(asked: HouseAsked, plans: Sequence[OrderPlan]) -> tuple[CarpetPlan, ...]:
    """The plans of a house's carpets by what those are called; its only carpet needs no name."""
    return tuple(
        CarpetPlan("" if asked.is_one else carpet.called, carpet.asked.floors, plan)
        for carpet, plan in zip(asked.carpets, plans, strict=True)
    )


def house_by_shop_rules(catalogue: Catalogue, asked: HouseAsked, *, today: date) -> HouseAsked:
    """The same by the shop's rules of that day, where the file doesn't say itself."""
    return HouseAsked(tuple(replace(each, asked=by_shop_rules(catalogue, each.asked, today=today)) for each in asked.carpets))


def order_house(asked: HouseAsked, stock: Stock, *, limits: Limits, told: Told = lambda _length, _bound: None) -> HouseOrdered:
    """The order of each carpet for as many tries as it would have alone; they share the seconds, and no piece is given twice.

    Raises as `order_rooms`, NoPlan with the carpet's name where there are several.
    """
    made: list[Ordered] = []
    taken: set[str] = set()
    for carpet, own in zip(asked.carpets, limits_of_each(limits, len(asked.carpets)), strict=False):
        left = Stock(stock.styles, tuple(piece for piece in stock.pieces if piece.tag not in taken))
        try:
            ordered = order_rooms(carpet.asked, left, limits=own, told=told)
        except NoPlan as error:
            raise NoPlan(str(error) if asked.is_one else f"{carpet.called}: {error}") from None
        made.append(numbered_on(ordered, 1 + sum(len(each.chosen.best.placed) for each in made)))
        taken.update(ordered.chosen.best.tags)
    return HouseOrdered(asked, tuple(made))


def limits_of_each(limits: Limits, count: int) -> Iterator[Limits]:
    """The limits for one carpet after another: all the tries for each, the seconds that are left shared by those to come."""
    clock = limits.clock
    started = clock() if clock else 0.0
    for index in range(count):
        if limits.seconds is None or clock is None:
            yield limits
            continue
        left = max(limits.seconds - (clock() - started), LEAST_SECONDS)
        yield replace(limits, seconds=left / (count - index))


def numbered_on(ordered: Ordered, first: int) -> Ordered:
    """The same with its cuts numbered from `first` on."""
    return replace(ordered, ways=tuple(_way_from(way, first) for way in ordered.ways)) if first > 1 else ordered


def _way_from(way: Way, first: int) -> Way:
    best, without = (replace(plan, first_cut=first) for plan in (way.best, way.without))
    return replace(way, best=best, without=without, choices=tuple(replace(plan, first_cut=first) for plan in way.choices))
