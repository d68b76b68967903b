"""What lies where: every place, and the pieces at it."""

import re
from dataclasses import dataclass
from enum import StrEnum

from remnants.actions.on_loan import is_on_loan
from remnants.ledger import Standing
from remnants.model.branches import Branches
from remnants.store import Catalogue, pieces
from remnants.store.branches import all_branches

__all__ = ["PlaceShare", "StockShare", "Whereabouts", "count_at", "pieces_at", "place_shares", "shares"]


@dataclass(frozen=True, slots=True)
class StockShare:
    """How much of a style is in store: how many pieces, and their usable area (mm²)."""

    style: str
    count: int
    area_mm2: float


class Whereabouts(StrEnum):
    """Whose place it is: in our store, on the road, or a customer's house."""

    STORE = "In store"
    VAN = "In vans"
    HOUSE = "With customers"


_VAN = re.compile(r"\b(van|truck|lorry|trailer)\b", re.IGNORECASE)
"""Words by which a place is known for a vehicle (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class PlaceShare:
    """A place, whose it is, and how many pieces should lie there; in a shop with several branches, of which of them it is."""

    place: str
    where: Whereabouts
    count: int
    branch: str = ""


def place_shares(catalogue: Catalogue, words: str = "", *, own: str = "") -> tuple[PlaceShare, ...]:
    """Every place that something lies at and that has all the `words`, whatever their letter case: ours, then vans, then houses.

    Ours stand by branch, in the shop's order; with `own` only those of that branch with its vans, or of that van.

    A house is a place with nothing but carpet kept with a customer or laid. `Bay 2` comes before `Bay 10`.
    """
    wanted = words.casefold().split()
    ours = all_branches(catalogue)
    counted = pieces.place_counts(catalogue)
    found = [_share(name, here, theirs, ours) for name, here, theirs in counted if _has(name, wanted)]
    if own:
        shops = [share for share in found if share.where is not Whereabouts.HOUSE]
        found = [share for share in shops if own in (ours.branch_of(share.place), ours.words_of(share.place))]
    order, names = list(Whereabouts), ["", *(branch.name for branch in ours.branches)]

    def rank(share: PlaceShare) -> tuple[int, int, tuple[tuple[str, int], ...], str]:
        return order.index(share.where), names.index(share.branch), _by_numbers(share.place), share.place

    return tuple(sorted(found, key=rank))


def _share(place: str, here: int, theirs: int, ours: Branches) -> PlaceShare:
    where = _where(place, here, theirs, ours)
    several = ours.several and where is not Whereabouts.HOUSE
    return PlaceShare(place, where, here, ours.branch_of(place) if several else "")


def _where(place: str, here: int, theirs: int, ours: Branches) -> Whereabouts:
    if here == theirs or is_on_loan(place):
        return Whereabouts.HOUSE
    return Whereabouts.VAN if ours.van_of(place) or _VAN.search(place) else Whereabouts.STORE


def _has(place: str, wanted: list[str]) -> bool:
    return all(word in place.casefold() for word in wanted)


def _by_numbers(place: str) -> tuple[tuple[str, int], ...]:
    """A place's words and numbers in turn, so that numbers count as numbers."""
    parts = re.findall(r"([^0-9]*)([0-9]*)", place.casefold())
    return tuple((words, int(number or -1)) for words, number in parts)


def pieces_at(catalogue: Catalogue, place: str, *, after: int = 0, most: int | None = None) -> tuple[Standing, ...]:
    """What should lie at a place, by tag; empty where nothing does. All of it, or `most` pieces `after` so many."""
    there = pieces.at_place(catalogue, place, after=after, most=most)
    return tuple(standing.on(catalogue.today()) for standing in there)


def count_at(catalogue: Catalogue, place: str) -> int:
    """How many pieces should lie at a place."""
    return pieces.count_at(catalogue, place)


def shares(catalogue: Catalogue) -> tuple[StockShare, ...]:
    """What is in store of each style, the most first."""
    made = [StockShare(*share) for share in pieces.store_shares(catalogue)]
    return tuple(sorted(made, key=lambda share: (-share.area_mm2, share.style)))
