"""Counting what lies at a place, and booking the count."""

import difflib
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from remnants.actions.booking import book, once
from remnants.actions.on_loan import refuse_on_loan
from remnants.errors import BadInput, Fault
from remnants.ledger import Signed, Standing
from remnants.ledger.counting import Count, compare, count_changes
from remnants.store import Catalogue, pieces

__all__ = [
    "LONG",
    "Seen",
    "SeenTag",
    "book_count",
    "count_mark",
    "count_place",
    "look_at",
    "near_places",
    "place_named",
    "places",
]

LONG = 2_000
"""Entries whose booking may take a second or more."""


class Seen(StrEnum):
    """What the books say of a tag that was seen at a place."""

    HERE = "here"
    ELSEWHERE = "elsewhere"
    GONE = "gone"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class SeenTag:
    """A tag that was seen, as the books write it, and where its piece stands if there is one."""

    tag: str
    how: Seen
    standing: Standing | None = None

    @property
    def place(self) -> str:
        """Where its piece lies by the books."""
        return self.standing.piece.place if self.standing else ""

    @property
    def words(self) -> str:
        """Where its piece stands by the books: `used up (by Ana on …)`."""
        return self.standing.words if self.standing else ""


def places(catalogue: Catalogue) -> tuple[str, ...]:
    """Every place that something lies at."""
    return pieces.places(catalogue)


def count_place(catalogue: Catalogue, place: str, seen: Sequence[str]) -> Count:
    """What the tags seen at a place say: there, missing, misplaced, unexpected. Changes nothing.

    Raises BadInput when nothing should lie there and none of the tags is known: the place is misspelt then; and for ON_LOAN.
    """
    refuse_on_loan(place, "it can't be counted")
    tags = [tag.strip() for tag in seen if tag.strip()]
    expected = pieces.at_place(catalogue, place.strip())
    just_so = {standing.piece.tag: standing for standing in expected}
    just_so |= pieces.standings_tagged(catalogue, [tag for tag in dict.fromkeys(tags) if tag not in just_so])
    found = ((tag, just_so.get(tag) or pieces.find_standing(catalogue, tag)) for tag in dict.fromkeys(tags))
    known = {tag: standing for tag, standing in found if standing}
    if not expected and not known:
        near = near_places(catalogue, place)
        raise BadInput([Fault("place", f"nothing lies at {place!r}" + (f"; is one of {', '.join(near)} meant?" if near else ""))])
    return compare(place.strip(), tags, expected=expected, known=known)


def book_count(catalogue: Catalogue, count: Count, *, signed: Signed, key: str = "") -> int:
    """Books a count: what was seen is there now, what was not is missing. Gives how many entries that made.

    Raises NotAllowed when a piece was cut or discarded since it was counted.
    """
    changes = count_changes(count)
    asked = ["count", count.place, [(tag, repr(change)) for tag, change in changes]]
    return int(once(catalogue, key, asked, signed, lambda: len(book(catalogue, changes, signed))))


def place_named(catalogue: Catalogue, text: str) -> str:
    """The place as the books write it where it differs in letter case or spaces only; else the text itself."""
    asked = " ".join(text.split())
    known = {" ".join(place.split()).casefold(): place for place in reversed(pieces.places(catalogue))}
    return known.get(asked.casefold(), asked)


def near_places(catalogue: Catalogue, place: str) -> list[str]:
    """Up to three places that are written much like this one."""
    return difflib.get_close_matches(place, pieces.places(catalogue), n=3, cutoff=0.5)


def look_at(catalogue: Catalogue, place: str, tag: str) -> SeenTag:
    """What the books say of one tag that was seen at a place."""
    standing = pieces.find_standing(catalogue, tag.strip())
    if standing is None:
        return SeenTag(tag.strip(), Seen.UNKNOWN)
    count = compare(place, [tag], expected=(), known={tag: standing})
    how = Seen.GONE if count.unexpected else Seen.ELSEWHERE if count.misplaced else Seen.HERE
    return SeenTag(standing.piece.tag, how, standing)


def count_mark(count: Count) -> str:
    """Stands for exactly this outcome of a count, so that what is confirmed is what was shown."""
    groups = (count.present, count.missing, count.misplaced)
    over = [(standing.piece.tag, customer) for standing, customer in count.handed_over]
    told = [count.place, *([standing.piece.tag for standing in group] for group in groups), sorted(count.unexpected), over]
    return hashlib.sha256(repr(told).encode()).hexdigest()[:32]
