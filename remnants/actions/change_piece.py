"""What happens to one piece: it is moved, told anew, discarded."""

from dataclasses import replace

from remnants.actions.booking import book, once, standing_of
from remnants.errors import BadInput, Fault, NotFound
from remnants.ledger import Corrected, Discarded, Moved, Signed, Standing
from remnants.model import Piece
from remnants.store import Catalogue, customers, styles

__all__ = ["correct_piece", "discard_piece", "move_piece"]


def move_piece(
    catalogue: Catalogue, tag: str, place: str, *, room: str = "", customer: str = "", signed: Signed, key: str = ""
) -> str:
    """Says where a piece lies now, and with which customer ("" the shop itself). Gives its tag.

    Raises NotFound for the piece or the customer, NotAllowed, BadInput without a place.
    """

    def do() -> str:
        if not place.strip():
            raise BadInput([Fault("place", "say where the piece lies now")])
        if customer and customers.find(catalogue, customer) is None:
            raise NotFound(f"no customer has the reference {customer!r}; `remnants customer` puts one in")
        own = standing_of(catalogue, tag).piece.tag
        book(catalogue, [(own, Moved(place.strip(), room.strip(), customer))], signed)
        return own

    return str(once(catalogue, key, ["move", tag, place, room, customer], signed, do))


def correct_piece(catalogue: Catalogue, piece: Piece, *, expected: int, signed: Signed, key: str = "") -> str:
    """Tells a piece anew, under its tag. `expected` is the version that the correction was made from.

    Raises NotFound, NotAllowed; BadInput when somebody changed the piece meanwhile, so that nothing of theirs is lost.
    """

    def do() -> str:
        before = standing_of(catalogue, piece.tag)
        if before.version != expected:
            raise BadInput(f"{piece.tag} was changed {before.signed.words} meanwhile; look at it anew and correct it then")
        if piece.style not in styles.all_styles(catalogue):
            raise BadInput([Fault("style", f"no style is called {piece.style!r}; log it with a piece first")])
        book(catalogue, [(piece.tag, Corrected(replace(piece, tag=before.piece.tag)))], signed)
        return piece.tag

    return str(once(catalogue, key, ["correct", repr(piece), expected], signed, do))


def discard_piece(catalogue: Catalogue, tag: str, *, signed: Signed, key: str = "") -> Standing:
    """Takes a piece out of stock for good. Raises NotFound, NotAllowed."""

    def do() -> str:
        own = standing_of(catalogue, tag).piece.tag
        book(catalogue, [(own, Discarded())], signed)
        return own

    return standing_of(catalogue, str(once(catalogue, key, ["discard", tag], signed, do)))
