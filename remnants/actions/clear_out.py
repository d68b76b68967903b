"""What ties up money or room: what is old, too small or never asked for, and what one does about it, each one entry."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import accumulate

from remnants.actions.age_stock import Aged, Ground, age_stock
from remnants.actions.booking import as_seen, book, once, refuse_unseen, standing_of
from remnants.errors import BadInput, Fault
from remnants.ledger import Corrected, Signed
from remnants.model import Piece
from remnants.model.money import Money, money_of
from remnants.store import Catalogue
from remnants.store.worth import tags_kept

__all__ = ["MOST_ALIKE", "MOST_DAYS", "Alike", "ToClear", "keep_piece", "kept_until", "offer_piece", "price_told", "to_clear_out"]

MOST_DAYS = 730
"""Days for which a piece may be kept off the list at most (common practice, no source)."""


MANY_ALIKE, MOST_ALIKE = 3, 100
"""So many small pieces of a style and colour are one line, up to so many at once (common practice, no source)."""

MOST_PIECES = 300
"""Pieces of all lines together, so that a page of them stays under 300 KB."""

LOOKED_AT = 600
"""Pieces that are looked through for those alike."""


@dataclass(frozen=True)
class Alike:
    """A line of the list: a piece, or small pieces of one style and colour, the least worth first."""

    pieces: tuple[Aged, ...]

    @property
    def first(self) -> Aged:
        """The one that is worth the least."""
        return self.pieces[0]

    @property
    def area_mm2(self) -> float:
        """Usable area of all (mm²)."""
        return sum(each.area_mm2 for each in self.pieces)

    @property
    def places(self) -> tuple[str, ...]:
        """Where they lie, by name."""
        return tuple(sorted({each.standing.piece.place for each in self.pieces} - {""}))

    @property
    def cost(self) -> tuple[Money, ...]:
        """What all had cost whose cost is told: a sum for each currency, by its code."""
        told = [each.standing.piece.cost for each in self.pieces if each.standing.piece.cost]
        codes = sorted({cost.currency for cost in told})
        return tuple(Money(sum(cost.minor for cost in told if cost.currency == code), code) for code in codes)


@dataclass(frozen=True)
class ToClear:
    """What to look at, the least worth its room first; whether there is more; how many are kept off the list today."""

    lines: tuple[Alike, ...]
    more: bool
    kept: int

    @property
    def listed(self) -> tuple[Aged, ...]:
        """Piece by piece, line after line."""
        return tuple(each for line in self.lines for each in line.pieces)


def to_clear_out(catalogue: Catalogue, *, now: datetime, most: int) -> ToClear:
    """Up to `most` lines, and MOST_PIECES, of what `age_stock` lists, without what somebody wants to keep until a day to come.

    Three or more that are too small, of one style and colour, are one line.
    """
    kept = tags_kept(catalogue, now.date())
    aged = age_stock(catalogue, now=now, most=LOOKED_AT + len(kept))
    lines = _lines([each for each in aged.listed if each.standing.piece.tag not in kept])
    shown = _first(lines[:most])
    return ToClear(shown, len(lines) > len(shown) or aged.count > len(aged.listed), len(kept))


def _first(lines: Sequence[Alike]) -> tuple[Alike, ...]:
    """The lines before the one with which it would be too many pieces."""
    counted = accumulate(len(line.pieces) for line in lines)
    return tuple(line for line, count in zip(lines, counted, strict=True) if count <= MOST_PIECES)


def _lines(listed: Sequence[Aged]) -> list[Alike]:
    """The pieces in their order, those alike where the first of them stands."""
    small = [each for each in listed if Ground.SMALL in each.grounds]
    alike: dict[tuple[str, str], list[Aged]] = {}
    for each in small:
        alike.setdefault(_look(each), []).append(each)
    lines: list[Alike] = []
    for each in listed:
        own = alike[_look(each)] if Ground.SMALL in each.grounds else [each]
        if len(own) < MANY_ALIKE:
            lines.append(Alike((each,)))
        elif each is own[0]:
            lines += [Alike(tuple(own[at : at + MOST_ALIKE])) for at in range(0, len(own), MOST_ALIKE)]
    return lines


def _look(each: Aged) -> tuple[str, str]:
    return each.standing.piece.style, each.standing.piece.colour


def keep_piece(catalogue: Catalogue, tag: str, *, days: int, seen: int | None = None, signed: Signed, key: str = "") -> str:
    """Keeps a piece off the list for so many days from now; who signs says why. Gives its tag.

    `seen` is the version of the piece as who keeps it saw it. Raises BadInput at `days` and `why`, NotFound, NotAllowed;
    StockChanged when something happened to it since.
    """
    until = kept_until(days, signed)

    def do() -> str:
        return _told_anew(catalogue, tag, seen, signed, lambda piece: replace(piece, keep_until=until))

    return str(once(catalogue, key, as_seen(["keep", tag, days], seen), signed, do))


def offer_piece(catalogue: Catalogue, tag: str, price: str, *, seen: int | None = None, signed: Signed, key: str = "") -> str:
    """Says for which sum a piece is offered; an empty text takes the offer back. Gives its tag.

    Raises as `keep_piece`, at `price`.
    """
    offered = price_told(price)

    def do() -> str:
        return _told_anew(catalogue, tag, seen, signed, lambda piece: replace(piece, offered_at=offered))

    return str(once(catalogue, key, as_seen(["offer", tag, price], seen), signed, do))


def kept_until(days: int, signed: Signed) -> date:
    """The day before which something isn't listed again. Raises BadInput at `days` and, where nobody says why, at `why`."""
    faults = [] if 1 <= days <= MOST_DAYS else [Fault("days", f"{days} days: give 1 to {MOST_DAYS}")]
    if not signed.why.strip():
        faults.append(Fault("why", "say why it is kept: whoever looks at it next wants to know"))
    if faults:
        raise BadInput(faults)
    return signed.at.date() + timedelta(days=days)


def price_told(text: str) -> Money | None:
    """The sum that a text tells, None for an empty one. Raises BadInput at `price`."""
    try:
        return money_of(text) if text.strip() else None
    except BadInput as error:
        raise error.at("price") from None


def _told_anew(catalogue: Catalogue, tag: str, seen: int | None, signed: Signed, told: Callable[[Piece], Piece]) -> str:
    before = standing_of(catalogue, tag)
    refuse_unseen(catalogue, before, seen)
    book(catalogue, [(before.piece.tag, Corrected(told(before.piece)))], signed)
    return before.piece.tag
