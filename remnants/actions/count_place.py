"""Counting what lies at a place, and booking the count."""

import difflib
from collections.abc import Sequence

from remnants.actions.booking import book, once
from remnants.errors import BadInput, Fault
from remnants.ledger import Signed
from remnants.ledger.counting import Count, compare, count_changes
from remnants.store import Catalogue, pieces

__all__ = ["book_count", "count_place", "places"]


def places(catalogue: Catalogue) -> tuple[str, ...]:
    """Every place that something lies at."""
    return pieces.places(catalogue)


def count_place(catalogue: Catalogue, place: str, seen: Sequence[str]) -> Count:
    """What the tags seen at a place say: there, missing, misplaced, unexpected. Changes nothing.

    Raises BadInput when nothing should lie there and none of the tags is known: the place is misspelt then.
    """
    tags = [tag.strip() for tag in seen if tag.strip()]
    known = {tag: standing for tag in dict.fromkeys(tags) if (standing := pieces.find_standing(catalogue, tag))}
    expected = pieces.at_place(catalogue, place.strip())
    if not expected and not known:
        near = difflib.get_close_matches(place, pieces.places(catalogue), n=3, cutoff=0.5)
        raise BadInput([Fault("place", f"nothing lies at {place!r}" + (f"; is one of {', '.join(near)} meant?" if near else ""))])
    return compare(place.strip(), tags, expected=expected, known=known)


def book_count(catalogue: Catalogue, count: Count, *, signed: Signed, key: str = "") -> int:
    """Books a count: what was seen is there now, what was not is missing. Gives how many entries that made.

    Raises NotAllowed when a piece was cut or discarded since it was counted.
    """
    changes = count_changes(count)
    asked = ["count", count.place, [(tag, repr(change)) for tag, change in changes]]
    return int(once(catalogue, key, asked, signed, lambda: len(book(catalogue, changes, signed))))
