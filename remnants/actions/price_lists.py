"""The shop's own prices, kept in the catalogue: set as a whole, in one transaction, and nobody's change is lost."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from remnants.actions.booking import once
from remnants.errors import StockChanged
from remnants.exchange.price_entries import price_list_json, read_price_list
from remnants.ledger import Signed
from remnants.model.price_list import PriceList
from remnants.store import Catalogue, price_lists
from remnants.store.price_lists import ListKept

__all__ = ["PricesSet", "prices_in_force", "prices_over_time", "set_prices"]


@dataclass(frozen=True)
class PricesSet:
    """A price list of the shop, its number from 1 on, who set it, when and why, and the list that it took the place of."""

    number: int
    prices: PriceList
    who: str
    at: datetime
    why: str = ""
    before: PriceList | None = None


def prices_in_force(catalogue: Catalogue) -> PricesSet | None:
    """The list that quotes are made by; None where the shop set none."""
    kept = price_lists.latest(catalogue)
    return _set(kept, None) if kept else None


def prices_over_time(catalogue: Catalogue) -> tuple[PricesSet, ...]:
    """Every list that was set, the latest first, each with the one before it."""
    kept: Sequence[ListKept] = price_lists.every_list(catalogue)
    lists = [_set(each, None) for each in kept]
    before = [*(each.prices for each in lists[1:]), None]
    return tuple(
        PricesSet(each.number, each.prices, each.who, each.at, each.why, old) for each, old in zip(lists, before, strict=False)
    )


def set_prices(catalogue: Catalogue, prices: PriceList, *, signed: Signed, seen: int | None = None, key: str = "") -> PricesSet:
    """Puts a list in force and gives it; the list that is in force already is not set again.

    Raises StockChanged where another one was set since the list of the number `seen` (0: none was there) was looked at.
    """
    file = price_list_json(prices)

    def do() -> None:
        now = price_lists.latest(catalogue)
        if seen is not None and seen != (now.number if now else 0):
            by = f" by {now.who}" if now else ""
            raise StockChanged(f"the prices were changed{by} since you looked at them, so nothing was done; look at them again")
        if now is None or read_price_list(now.file) != prices:
            price_lists.add(catalogue, file, signed)

    once(catalogue, key, ["prices", file], signed, do)
    found = prices_in_force(catalogue)
    assert found is not None, "a list was set"
    return found


def _set(kept: ListKept, before: PriceList | None) -> PricesSet:
    return PricesSet(kept.number, read_price_list(kept.file), kept.who, kept.at, kept.why, before)
