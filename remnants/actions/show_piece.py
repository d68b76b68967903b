"""Looking one piece up by its tag, and its life."""

from collections.abc import Sequence
from dataclasses import dataclass

from remnants.actions.near_tags import no_such_tag, tags_to_compare
from remnants.errors import NotFound
from remnants.ledger import Entry, Standing
from remnants.model import Piece, Style
from remnants.model.customer import Customer
from remnants.store import Catalogue, customers, ledger, pieces, styles

__all__ = ["Life", "Shown", "history_of", "known_tags", "show_piece"]


@dataclass(frozen=True)
class Shown:
    """A piece, where it stands, its style, and the customer who has it."""

    standing: Standing
    style: Style
    customer: Customer | None = None

    @property
    def piece(self) -> Piece:
        """The piece as it is now."""
        return self.standing.piece


@dataclass(frozen=True)
class Life:
    """A piece's entries, oldest first; the pieces that it was cut from, nearest first; the offcuts that came of it."""

    standing: Standing
    entries: tuple[Entry, ...]
    parents: tuple[Standing, ...]
    offcuts: tuple[Standing, ...]


def show_piece(catalogue: Catalogue, tag: str) -> Shown:
    """The piece with this tag as it stands today, whatever the letter case. Raises NotFound with the tags most like it."""
    standing = _standing(catalogue, tag)
    customer = customers.find(catalogue, standing.piece.customer) if standing.piece.customer else None
    return Shown(standing, styles.find_style(catalogue, standing.piece.style), customer)


def known_tags(catalogue: Catalogue, tags: Sequence[str]) -> tuple[str, ...]:
    """Those of the tags that a piece has or had, in order."""
    return tuple(sorted(pieces.known_tags(catalogue, tags)))


def history_of(catalogue: Catalogue, tag: str) -> Life:
    """All that happened to a piece, and what it came from. Raises NotFound."""
    standing = _standing(catalogue, tag)
    own = standing.piece.tag
    parents: list[Standing] = []
    at = standing
    while at.parent and (above := pieces.find_standing(catalogue, at.parent)) and above not in parents:
        parents.append(above)
        at = above
    return Life(standing, ledger.entries_of(catalogue, own), tuple(parents), pieces.offcuts_of(catalogue, own))


def _standing(catalogue: Catalogue, tag: str) -> Standing:
    standing = pieces.find_standing(catalogue, tag.strip())
    if standing is None:
        raise NotFound(no_such_tag(tag, tags_to_compare(catalogue, tag.strip())))
    return standing.on(catalogue.today())
