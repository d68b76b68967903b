"""What saved orders promise to the stock, as it is seen by who looks: it is read without what orders are worked out by."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from remnants.exchange.order_kept import leftover_of
from remnants.model.order_kept import LeftoverKept
from remnants.store import Catalogue, promised
from remnants.store.promised import PromiseRow, PromiseState

__all__ = ["Promise", "PromiseState", "after_the_cut", "promise_in", "promised_like", "promises", "promises_of"]

MOST = 500
"""Promises that a list shows."""


@dataclass(frozen=True)
class Promise:
    """A leftover that an order leaves: its number, the order and its revision, what became of it, and its tag once received."""

    number: int
    order: int
    revision: int
    leftover: LeftoverKept
    state: PromiseState
    tag: str
    who: str
    at: datetime


def promises(catalogue: Catalogue) -> tuple[Promise, ...]:
    """Those that are still promised, the oldest first."""
    return tuple(map(promise_in, promised.every_promise(catalogue, MOST)))


def promises_of(catalogue: Catalogue, order: int) -> tuple[Promise, ...]:
    """All that an order ever promised, the oldest first."""
    return tuple(map(promise_in, promised.of_order(catalogue, order)))


def after_the_cut(found: Iterable[Promise], order: int, revision: int) -> str:
    """That an order's roll was cut before it was revised so, by `found`, its promises; "" where nothing tells that."""
    cut = next((each for each in found if each.state is PromiseState.RECEIVED and each.revision < revision), None)
    if cut is None:
        return ""
    told = f"Order {order} was cut by revision {cut.revision}, as {cut.tag} came in from it"
    return f"{told}; revision {revision} orders all of it once more. What is still missing is an order of its own"


def promised_like(catalogue: Catalogue, words: str) -> tuple[Promise, ...]:
    """Those still promised whose style, colour and lot hold each of the words, in any letter case."""
    wanted = words.casefold().split()
    found: Iterable[Promise] = promises(catalogue)
    return tuple(each for each in found if all(word in _label(each.leftover) for word in wanted))


def _label(left: LeftoverKept) -> str:
    return f"{left.style} {left.colour} {left.lot}".casefold()


def promise_in(row: PromiseRow) -> Promise:
    """The promise in a row."""
    left = leftover_of(row.leftover)
    return Promise(row.number, row.order, row.revision, left, row.state, row.tag, row.who, row.at)
