"""Putting pieces into the catalogue: all of them or none."""

from collections.abc import Iterable

from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.model import Kind, Style
from remnants.store import Catalogue, pieces, styles

__all__ = ["known_styles", "log_pieces", "next_tag"]

_LETTERS = {Kind.REMNANT: "R", Kind.OFFCUT: "O", Kind.KEPT: "K", Kind.LAID: "L"}


def known_styles(catalogue: Catalogue) -> dict[str, Style]:
    """The styles that the catalogue describes, by name."""
    return styles.all_styles(catalogue)


def log_pieces(catalogue: Catalogue, stock: Stock) -> tuple[str, ...]:
    """Stores the pieces and their styles; gives the tags. A style that is there already is described anew.

    Raises BadInput, naming `pieces[0].tag` and so on, when tags are taken; then nothing is stored.
    """
    with catalogue.atomic():
        tags = [piece.tag for piece in stock.pieces]
        _refuse_taken(tags, pieces.known_tags(catalogue, tags))
        styles.put_styles(catalogue, stock.styles)
        pieces.add_pieces(catalogue, stock.pieces)
    return tuple(tags)


def next_tag(catalogue: Catalogue, kind: Kind) -> str:
    """A tag that no piece has: the kind's letter and the number after the highest, `R-0143`."""
    letter = _LETTERS[kind]
    return f"{letter}-{pieces.highest_number(catalogue, f'{letter}-') + 1:04d}"


def _refuse_taken(tags: Iterable[str], taken: frozenset[str]) -> None:
    faults = [
        Fault(f"pieces[{index}].tag", f"the catalogue has a piece {tag!r} already; give this one another tag")
        for index, tag in enumerate(tags)
        if tag in taken
    ]
    if faults:
        raise BadInput(faults)
