"""Putting pieces into the catalogue: all of them or none."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import count

from remnants.actions.booking import book, once
from remnants.actions.branch_people import refuse_logging_elsewhere
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.ledger import Received, Signed, Stage, Standing
from remnants.model import Kind, Piece, Style
from remnants.store import Catalogue, ledger, pieces, styles

__all__ = ["LETTERS", "free_tags", "known_styles", "last_place", "log_pieces", "next_tag", "put_in", "taken_tags"]

LETTERS: Mapping[Kind, str] = {Kind.REMNANT: "R", Kind.OFFCUT: "O", Kind.KEPT: "K", Kind.LAID: "L"}
"""The letter that a tag of ours begins with, by kind."""


def known_styles(catalogue: Catalogue) -> dict[str, Style]:
    """The styles that the catalogue describes, by name."""
    return styles.all_styles(catalogue)


def last_place(catalogue: Catalogue, who: str) -> str:
    """Where this person put the last piece that they logged, for the next one; empty when that is not known."""
    return ledger.last_place_by(catalogue, who)


def log_pieces(catalogue: Catalogue, stock: Stock, *, signed: Signed, key: str = "") -> tuple[str, ...]:
    """Stores the pieces and their styles, each piece with its entry; gives the tags. A style that is there is described anew.

    Raises BadInput, naming `pieces[0].tag` and so on, when tags are taken; then nothing is stored. A tag whose piece was
    withdrawn is free again.
    """
    tags = [piece.tag for piece in stock.pieces]

    def do() -> list[str]:
        put_in(catalogue, stock.styles, stock.pieces, signed)
        return tags

    return tuple(once(catalogue, key, ["log", tags], signed, do))


def put_in(
    catalogue: Catalogue,
    described: Sequence[Style],
    logged: Sequence[Piece],
    signed: Signed,
    *,
    booking: int | None = None,
    free: bool = False,
) -> None:
    """Stores pieces and styles within a transaction of the caller's; `booking` is that of earlier ones they belong to.

    Raises BadInput as `log_pieces`. All tags are `free` where the caller just asked `taken_tags` in this transaction.
    """
    refuse_logging_elsewhere(catalogue, signed, logged)
    tags = [piece.tag for piece in logged]
    again = pieces.known_tags(catalogue, tags) if free else _withdrawn(catalogue, tags)
    styles.put_styles(catalogue, described)
    ledger.receive(catalogue, (Received(piece) for piece in logged if piece.tag not in again), signed, booking=booking)
    book(catalogue, [(piece.tag, Received(piece)) for piece in logged if piece.tag in again], signed)


def next_tag(catalogue: Catalogue, kind: Kind) -> str:
    """A tag that no piece has: the kind's letter and the number after the highest, `R-0143`."""
    return next(free_tags(catalogue, kind))


def free_tags(catalogue: Catalogue, kind: Kind) -> Iterator[str]:
    """Tags that no piece has, counting up; the caller holds the transaction if they are to stay free."""
    letter = LETTERS[kind]
    return (f"{letter}-{number:04d}" for number in count(pieces.highest_number(catalogue, f"{letter}-") + 1))


def _withdrawn(catalogue: Catalogue, tags: Sequence[str]) -> frozenset[str]:
    """Those of the tags whose pieces were withdrawn. Raises BadInput for those that are taken."""
    faults = [Fault(f"pieces[{index}].tag", told) for index, told in taken_tags(catalogue, tags).items()]
    if faults:
        raise BadInput(faults)
    return pieces.known_tags(catalogue, tags)


def taken_tags(catalogue: Catalogue, tags: Sequence[str]) -> dict[int, str]:
    """Which of the tags can't be given, by their place among them, and why. A withdrawn piece's can, written as it was."""
    written = pieces.taken_as(catalogue, tags)
    known = pieces.standings_tagged(catalogue, sorted(set(written.values())))
    return {
        index: f"the catalogue has a piece {shown_tag!r} already ({_words(catalogue, known[shown_tag])}); take another tag"
        for index, tag in enumerate(tags)
        if (shown_tag := written.get(tag)) and not (shown_tag == tag and known[tag].stage is Stage.WITHDRAWN)
    }


def _words(catalogue: Catalogue, standing: Standing) -> str:
    piece: Piece = standing.piece
    return ", ".join(text for text in (piece.style, piece.colour, standing.on(catalogue.today()).words) if text)
