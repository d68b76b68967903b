"""Which rolls must be ordered for a house with several carpets? Each is ordered as if it were alone; stock is given once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from remnants.actions.fit_job import names_on_hand
from remnants.actions.order_rooms import Limits, Ordered, Way, by_shop_rules, floors_wanted, order_rooms
from remnants.errors import NoPlan
from remnants.estimating import OrderPlan
from remnants.estimating.order import Told
from remnants.exchange import Stock
from remnants.exchange.house import HouseAsked
from remnants.matching.grade import possible_styles
from remnants.matching.stock_names import StockNames
from remnants.model.house_plan import CarpetPlan
from remnants.store import Catalogue, pieces, styles

__all__ = [
    "HouseOrdered",
    "StockFree",
    "house_by_shop_rules",
    "limits_of_each",
    "numbered_on",
    "order_house",
    "plans_called",
    "stock_free_for",
]


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


@dataclass(frozen=True)
class StockFree:
    """What stock may give to a house, and the `names` of all that is on hand (None: the stock is all of it)."""

    stock: Stock
    names: StockNames | None = None


def stock_free_for(catalogue: Catalogue, asked: HouseAsked, *, today: date) -> StockFree:
    """The pieces on hand that aren't held that day, of the styles that some carpet of the house can match; no other is read.

    Raises BadInput for a name longer than any name is.
    """
    known = styles.all_styles(catalogue)
    counts, names = names_on_hand(catalogue, known)
    asking = [wanted for each in asked.carpets if (wanted := each.asked.floors.wanted).style or wanted.colour or wanted.lot]
    possible = {style for wanted in asking for style in possible_styles(floors_wanted(wanted), names, counts)}
    free = tuple(each.piece for each in pieces.on_hand(catalogue, styles=sorted(possible)) if each.free_for("", today))
    return StockFree(Stock(tuple(known.values()), free), names if counts else None)


def house_by_shop_rules(catalogue: Catalogue, asked: HouseAsked, *, today: date) -> HouseAsked:
    """The same by the shop's rules of that day, where the file doesn't say itself."""
    return HouseAsked(tuple(replace(each, asked=by_shop_rules(catalogue, each.asked, today=today)) for each in asked.carpets))


def order_house(
    asked: HouseAsked,
    stock: Stock,
    *,
    limits: Limits,
    told: Told = lambda _length, _bound: None,
    names: StockNames | None = None,
) -> HouseOrdered:
    """The order of each carpet for as many tries as it would have alone; they share the seconds, and no piece is given twice.

    `names` are those of a larger stock that this one was picked from.

    Raises as `order_rooms`, NoPlan with the carpet's name where there are several.
    """
    made: list[Ordered] = []
    taken: set[str] = set()
    for carpet, own in zip(asked.carpets, limits_of_each(limits, len(asked.carpets)), strict=False):
        left = Stock(stock.styles, tuple(piece for piece in stock.pieces if piece.tag not in taken))
        try:
            ordered = order_rooms(carpet.asked, left, limits=own, told=told, names=names)
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
