"""One action for many small alike pieces at once: an entry for each, in one transaction, taken back together."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from remnants.actions.booking import book, once, refuse_unseen, standing_of
from remnants.actions.change_piece import discarding
from remnants.actions.clear_out import MOST_ALIKE, kept_until, price_told
from remnants.actions.places import the_place
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault
from remnants.ledger import Change, Corrected, Moved, Signed, Standing
from remnants.store import Catalogue, ledger

__all__ = ["discard_alike", "keep_alike", "move_alike", "offer_alike"]


def discard_alike(catalogue: Catalogue, seen: Mapping[str, int], *, signed: Signed, key: str = "") -> int:
    """Takes pieces out of stock for good; gives the number of the first one's entry, by which all are taken back.

    `seen` has the tag of each, of MOST_ALIKE at most, with its version as who asks saw it. Raises BadInput without any and for
    more, NotFound, NotAllowed, and StockChanged when something happened to one of them since: then nothing is written.
    """
    return _alike(catalogue, seen, lambda before: discarding(before, signed), asked=["discard alike"], signed=signed, key=key)


def keep_alike(catalogue: Catalogue, seen: Mapping[str, int], *, days: int, signed: Signed, key: str = "") -> int:
    """Keeps pieces off the list for so many days; who signs says why. As `discard_alike`, BadInput at `days` and `why` too."""
    until = kept_until(days, signed)
    told: Callable[[Standing], Change] = lambda before: Corrected(replace(before.piece, keep_until=until))  # noqa: E731
    return _alike(catalogue, seen, told, asked=["keep alike", days], signed=signed, key=key)


def offer_alike(catalogue: Catalogue, seen: Mapping[str, int], price: str, *, signed: Signed, key: str = "") -> int:
    """Says for which sum each of the pieces is offered; an empty text takes the offers back. As `discard_alike`, BadInput at
    `price` too.
    """
    offered = price_told(price)
    told: Callable[[Standing], Change] = lambda before: Corrected(replace(before.piece, offered_at=offered))  # noqa: E731
    return _alike(catalogue, seen, told, asked=["offer alike", price], signed=signed, key=key)


def move_alike(catalogue: Catalogue, seen: Mapping[str, int], place: str, *, own: str, signed: Signed, key: str = "") -> int:
    """Says where pieces lie now, as somebody says it who works from the branch `own` ("": none in particular). As
    `discard_alike`, BadInput too without a place and for one with characters that nobody sees.
    """
    if not place.strip():
        raise BadInput([Fault("place", "say where the pieces lie now")])
    refuse_unseen_marks(place=place)
    there = the_place(catalogue, place.strip(), own=own)
    told: Callable[[Standing], Change] = lambda before: Moved(there, "", "", None, back=bool(before.lent_until))  # noqa: E731
    return _alike(catalogue, seen, told, asked=["move alike", place], signed=signed, key=key)


def _alike(
    catalogue: Catalogue,
    seen: Mapping[str, int],
    change: Callable[[Standing], Change],
    *,
    asked: list[object],
    signed: Signed,
    key: str,
) -> int:
    if not seen:
        raise BadInput([Fault("of", "no piece was named; open the page again and send it from there")])
    if len(seen) > MOST_ALIKE:
        raise BadInput([Fault("of", f"{len(seen)} pieces were named; {MOST_ALIKE} are taken at once: send them in parts")])

    def do() -> int:
        first, changes = ledger.next_number(catalogue), []
        for tag, version in seen.items():
            before = standing_of(catalogue, tag)
            refuse_unseen(catalogue, before, version)
            changes.append((before.piece.tag, change(before)))
        book(catalogue, changes, signed)
        return first

    return int(once(catalogue, key, [*asked, sorted(seen.items())], signed, do))
