"""What ties up money or room: what is old, too small or never asked for, and what one does about it, each one entry."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from remnants.actions.age_stock import Aged, age_stock
from remnants.actions.booking import as_seen, book, once, refuse_unseen, standing_of
from remnants.errors import BadInput, Fault
from remnants.ledger import Corrected, Signed
from remnants.model import Piece
from remnants.model.money import money_of
from remnants.store import Catalogue
from remnants.store.worth import tags_kept

__all__ = ["MOST_DAYS", "ToClear", "keep_piece", "offer_piece", "to_clear_out"]

MOST_DAYS = 730
"""Days for which a piece may be kept off the list at most (common practice, no source)."""


@dataclass(frozen=True)
class ToClear:
    """What to look at, the least worth its room first; of how many in all; how many are kept off the list today."""

    listed: tuple[Aged, ...]
    more: bool
    kept: int


def to_clear_out(catalogue: Catalogue, *, now: datetime, most: int) -> ToClear:
    """Up to `most` pieces that `age_stock` lists, without those that somebody wants to keep until a day to come."""
    kept = tags_kept(catalogue, now.date())
    aged = age_stock(catalogue, now=now, most=most + len(kept))
    listed = [each for each in aged.listed if each.standing.piece.tag not in kept]
    return ToClear(tuple(listed[:most]), len(listed) > most or aged.count > len(aged.listed), len(kept))


def keep_piece(catalogue: Catalogue, tag: str, *, days: int, seen: int | None = None, signed: Signed, key: str = "") -> str:
    """Keeps a piece off the list for so many days from now; who signs says why. Gives its tag.

    `seen` is the version of the piece as who keeps it saw it. Raises BadInput at `days` and `why`, NotFound, NotAllowed;
    StockChanged when something happened to it since.
    """
    faults = [] if 1 <= days <= MOST_DAYS else [Fault("days", f"{days} days: give 1 to {MOST_DAYS}")]
    if not signed.why.strip():
        faults.append(Fault("why", "say why it is kept: whoever looks at it next wants to know"))
    if faults:
        raise BadInput(faults)
    until = signed.at.date() + timedelta(days=days)

    def do() -> str:
        return _told_anew(catalogue, tag, seen, signed, lambda piece: replace(piece, keep_until=until))

    return str(once(catalogue, key, as_seen(["keep", tag, days], seen), signed, do))


def offer_piece(catalogue: Catalogue, tag: str, price: str, *, seen: int | None = None, signed: Signed, key: str = "") -> str:
    """Says for which sum a piece is offered; an empty text takes the offer back. Gives its tag.

    Raises as `keep_piece`, at `price`.
    """
    try:
        offered = money_of(price) if price.strip() else None
    except BadInput as error:
        raise error.at("price") from None

    def do() -> str:
        return _told_anew(catalogue, tag, seen, signed, lambda piece: replace(piece, offered_at=offered))

    return str(once(catalogue, key, as_seen(["offer", tag, price], seen), signed, do))


def _told_anew(catalogue: Catalogue, tag: str, seen: int | None, signed: Signed, told: Callable[[Piece], Piece]) -> str:
    before = standing_of(catalogue, tag)
    refuse_unseen(catalogue, before, seen)
    book(catalogue, [(before.piece.tag, Corrected(told(before.piece)))], signed)
    return before.piece.tag
