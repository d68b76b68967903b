"""Counting a place: what was seen there against what should be."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from remnants.ledger.entries import Change, Counted
from remnants.ledger.states import ON_HAND, Stage, Standing

__all__ = ["Count", "compare", "count_changes"]


@dataclass(frozen=True)
class Count:
    """A count of a place: seen where they should be; missing; misplaced (known, but elsewhere by the book); unknown tags."""

    place: str
    present: tuple[Standing, ...]
    missing: tuple[Standing, ...]
    misplaced: tuple[Standing, ...]
    unexpected: tuple[str, ...]


def compare(place: str, seen: Sequence[str], *, expected: Sequence[Standing], known: Mapping[str, Standing]) -> Count:
    """The count of `place`. `expected` should lie there; `known` are the seen tags that the catalogue has, by tag as seen.

    Tags seen twice count once. A piece that is used up, discarded or withdrawn by the book is unexpected.
    """
    tags = {standing.piece.tag for standing in known.values()}
    countable = {standing.piece.tag: standing for standing in known.values() if standing.stage in ON_HAND | {Stage.MISSING}}
    gone = [standing.piece.tag for standing in known.values() if standing.piece.tag not in countable]
    return Count(
        place,
        tuple(standing for standing in expected if standing.piece.tag in tags),
        tuple(standing for standing in expected if standing.piece.tag not in tags and standing.stage is not Stage.MISSING),
        tuple(countable[tag] for tag in sorted(countable) if countable[tag].piece.place != place),
        tuple(dict.fromkeys([*(tag for tag in seen if tag not in known), *gone])),
    )


def count_changes(count: Count) -> tuple[tuple[str, Change], ...]:
    """The entries that book a count."""
    seen = [(standing.piece.tag, Counted(count.place, seen=True)) for standing in (*count.present, *count.misplaced)]
    return (*seen, *((standing.piece.tag, Counted(count.place, seen=False)) for standing in count.missing))
