"""Counting a place: what was seen there against what should be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.ledger.entries import Change, Counted
from remnants.ledger.states import ON_HAND, Stage, Standing

__all__ = ["Count", "compare", "count_changes"]


_COUNTABLE = ON_HAND | {Stage.MISSING, Stage.ON_THE_WAY}
"""What may lie where it is seen, whatever the books say: what is on the way came there."""


@dataclass(frozen=True)
class Count:
    """A count of a place: seen where they should be; missing; misplaced (known, but elsewhere by the book); unknown tags."""

    place: str
    present: tuple[Standing, ...]
    missing: tuple[Standing, ...]
    misplaced: tuple[Standing, ...]
    unexpected: tuple[str, ...]
    customers: frozenset[str] = frozenset()
    """Who has what should lie there: references of customers, "" the shop."""

    @property
    def entries(self) -> int:
        """How many entries book it: one a piece."""
        return len(self.present) + len(self.missing) + len(self.misplaced)

    @property
    def handed_over(self) -> tuple[tuple[Standing, str], ...]:
        """Misplaced pieces that change hands once this is booked, each with the customer whom it is with then ("" the shop)."""
        to = ((standing, _customer_there(self, standing)) for standing in self.misplaced)
        return tuple((standing, customer) for standing, customer in to if customer != standing.piece.customer)


def compare(place: str, seen: Sequence[str], *, expected: Sequence[Standing], known: Mapping[str, Standing]) -> Count:
    """The count of `place`. `expected` should lie there; `known` are the seen tags that the catalogue has, by tag as seen.

    Tags seen twice count once. A piece that is used up, discarded or withdrawn by the book is unexpected.
    """
    tags = {standing.piece.tag for standing in known.values()}
    countable = {standing.piece.tag: standing for standing in known.values() if standing.stage in _COUNTABLE}
    gone = [standing.piece.tag for standing in known.values() if standing.piece.tag not in countable]
    return Count(
        place,
        tuple(standing for standing in expected if standing.piece.tag in tags),
        tuple(standing for standing in expected if standing.piece.tag not in tags and standing.stage is not Stage.MISSING),
        tuple(countable[tag] for tag in sorted(countable) if countable[tag].piece.place != place),
        tuple(dict.fromkeys([*(tag for tag in seen if tag not in known), *gone])),
        frozenset(standing.piece.customer for standing in expected),
    )


def count_changes(count: Count) -> tuple[tuple[str, Change], ...]:
    """The entries that book a count. What was seen where it should be keeps its room and its customer."""
    seen = [(standing.piece, standing.piece.room, standing.piece.customer) for standing in count.present]
    seen += [(standing.piece, "", _customer_there(count, standing)) for standing in count.misplaced]
    found = [(piece.tag, Counted(count.place, seen=True, room=room, customer=customer)) for piece, room, customer in seen]
    return (*found, *((standing.piece.tag, Counted(count.place, seen=False)) for standing in count.missing))


def _customer_there(count: Count, standing: Standing) -> str:
    """With whom a piece is that was seen at the place and belongs elsewhere by the book.

    That is whoever has all that should lie there. Where several have something there it stays with its own customer if they are
    one of those, and else is the shop's, as where the books know of nothing.
    """
    if len(count.customers) == 1:
        return next(iter(count.customers))
    return standing.piece.customer if standing.piece.customer in count.customers else ""
