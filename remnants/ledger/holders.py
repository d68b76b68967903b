"""With which customer a piece was when, out of its entries: what is theirs when they are forgotten."""

from collections.abc import Sequence
from dataclasses import dataclass

from remnants.ledger.entries import Entry, Photographed
from remnants.ledger.replay import History
from remnants.ledger.states import BESIDE, Stage, Standing

__all__ = ["Stay", "photos_at", "stays"]


@dataclass(frozen=True, slots=True)
class Stay:
    """An entry, and the reference of the customer who had the piece before it and after it; "" the shop, or nobody yet."""

    entry: Entry
    before: str
    after: str


def stays(entries: Sequence[Entry]) -> tuple[Stay, ...]:
    """Each entry of one piece, oldest first, with who had the piece. What was taken back counts as if it had never led anywhere.

    Raises NotAllowed when the entries don't follow from one another.
    """
    found, history = [], History()
    for entry in entries:
        before, history = history, history.then(entry)
        found.append(Stay(entry, _holder(before.standing), _customer(history.standing)))
    return tuple(found)


def photos_at(found: Sequence[Stay], customer: str) -> tuple[int, ...]:
    """The numbers of the photographs that were put there while the piece was with that customer.

    A photograph from before photographs had entries is told at the end of them, with its own time and no SHA-256. It is judged by
    its time; where another entry has the very same time, it counts as theirs if the piece was with them before or after that.
    """
    numbers = []
    for stay in found:
        if isinstance(stay.entry.change, Photographed):
            holders = {stay.after} if stay.entry.change.sha256 else _holders_then(found, stay.entry)
            if customer in holders:
                numbers.append(stay.entry.change.photo)
    return tuple(numbers)


def _holders_then(found: Sequence[Stay], photo: Entry) -> set[str]:
    led = [stay for stay in found if stay.entry.act not in BESIDE]
    earlier = [stay.after for stay in led if stay.entry.signed.at < photo.signed.at]
    return {*earlier[-1:], *(stay.after for stay in led if stay.entry.signed.at == photo.signed.at)}


def _holder(standing: Standing | None) -> str:
    """Of a withdrawn piece, nobody: what is logged under its tag again is another piece."""
    return "" if standing is None or standing.stage is Stage.WITHDRAWN else standing.piece.customer


def _customer(standing: Standing | None) -> str:
    return standing.piece.customer if standing else ""
