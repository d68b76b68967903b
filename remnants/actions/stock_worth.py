"""What the stock cost and what it is worth today: by style, by branch, by age, by supplier."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from remnants.actions.shop_rules import least_sizes
from remnants.ledger.over_time import AGES
from remnants.ledger.worth import By, WorthSum
from remnants.model.branches import Branches
from remnants.model.money import Money, money_of
from remnants.rules import LeastSizes
from remnants.store import Catalogue, branches
from remnants.store.unshared import tags_unshared
from remnants.store.worth import worth_sums

__all__ = ["StockWorth", "Unshared", "WorthLine", "stock_worth"]


@dataclass(frozen=True, slots=True)
class WorthLine:
    """Pieces in store that have something in common: how many, their usable area (mm²), and of how many nobody told the cost.

    `cost` is what was paid for what is left of the others, `worth` the cost of those that would be kept today: a sum for each
    currency, in the order of their codes.
    """

    name: str
    pieces: int
    area_mm2: float
    untold: int
    cost: tuple[Money, ...]
    worth: tuple[Money, ...]


@dataclass(frozen=True, slots=True)
class Unshared:
    """Pieces in store that were cut before a cut handed on what they cost: their tags, and what they stand at, too much."""

    tags: tuple[str, ...]
    cost: tuple[Money, ...]


@dataclass(frozen=True)
class StockWorth:
    """The sums: of all, and line by line by each; `keep` is what a piece must hold to be worth anything."""

    keep: LeastSizes
    all: WorthLine
    lines: Mapping[By, tuple[WorthLine, ...]]
    unshared: Unshared


def stock_worth(catalogue: Catalogue, *, today: date) -> StockWorth:
    """Remnants and offcuts on hand, held ones too, as of today. Ages go from new to old, all else by name."""
    keep, whose = least_sizes(catalogue, today=today), branches.all_branches(catalogue)
    sums = worth_sums(catalogue, keep, today=today)
    lines = {by: _lines(by, sums[by], whose) for by in By}
    return StockWorth(keep, _line("all", sums[By.STYLE]), lines, _unshared(catalogue))


def _unshared(catalogue: Catalogue) -> Unshared:
    found = [(tag, money_of(cost)) for tag, cost in tags_unshared(catalogue)]
    told = sorted({money.currency for _, money in found})
    cost = tuple(Money(sum(money.minor for _, money in found if money.currency == code), code) for code in told)
    return Unshared(tuple(tag for tag, _ in found), cost)


def _lines(by: By, sums: Iterable[WorthSum], whose: Branches) -> tuple[WorthLine, ...]:
    found: dict[str, list[WorthSum]] = defaultdict(list)
    for each in sums:
        found[_name(by, each.key, whose)].append(each)
    names = [age.word for age in AGES if age.word in found] if by is By.AGE else sorted(found)
    return tuple(_line(name, found[name]) for name in names)


def _name(by: By, key: str, whose: Branches) -> str:
    match by:
        case By.AGE:
            return AGES[int(key)].word
        case By.BRANCH:
            return whose.words_of(key) or (whose.branches[0].name if whose.branches else "the shop")
        case By.SUPPLIER:
            return key or "not told"
    return key


def _line(name: str, sums: Iterable[WorthSum]) -> WorthLine:
    every = list(sums)
    told = sorted({each.currency for each in every if each.currency})
    cost, worth = (
        tuple(Money(sum(getattr(each, field) for each in every if each.currency == code), code) for code in told)
        for field in ("cost_minor", "worth_minor")
    )
    untold = sum(each.pieces for each in every if not each.currency)
    return WorthLine(name, sum(each.pieces for each in every), sum(each.area_mm2 for each in every), untold, cost, worth)
