"""Picking pieces for labels and lists: by tag, by place, by how lately they came in."""

from collections.abc import Sequence

from remnants.errors import NotFound
from remnants.ledger import Received, Standing
from remnants.store import Catalogue, ledger, pieces

__all__ = ["pick_pieces", "received_together"]


def pick_pieces(
    catalogue: Catalogue, tags: Sequence[str], *, place: str = "", after: int = 0, most: int | None = None, latest: int = 0
) -> tuple[Standing, ...]:
    """The pieces with these tags in their order, then those at the place (all, or by tag `most` of them `after` so many), then
    the latest ones that came in, each once.

    Raises NotFound with every tag that nobody has.
    """
    found = {tag: pieces.find_standing(catalogue, tag) for tag in tags}
    unknown = [tag for tag, standing in found.items() if standing is None]
    if unknown:
        raise NotFound(f"no piece has the tag {', '.join(map(repr, unknown))}")
    named = [standing for standing in found.values() if standing]
    there = pieces.at_place(catalogue, place, after=after, most=most) if place else ()
    if place and not there:
        raise NotFound(f"no more than {after} pieces lie at {place!r}" if after else f"nothing lies at {place!r}")
    every = (*named, *there, *pieces.latest(catalogue, latest))
    return tuple({standing.piece.tag: standing for standing in every}.values())


def received_together(catalogue: Catalogue, booking: int) -> tuple[str, ...]:
    """The tags of the pieces that came in as one booking, in their order; none where that is no such booking."""
    return tuple(entry.tag for entry in ledger.booking_entries(catalogue, booking) if isinstance(entry.change, Received))
