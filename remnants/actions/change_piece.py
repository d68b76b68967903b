"""What happens to one piece: it is moved, told anew, discarded."""

import math
from dataclasses import replace
from datetime import date, timedelta

from remnants.actions.booking import as_seen, book, once, refuse_unseen, standing_of
from remnants.actions.held_for import refuse_to_another
from remnants.actions.on_loan import refuse_on_loan
from remnants.actions.places import the_place
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.days import day_words
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.geometry.outline import Outline
from remnants.geometry.tolerances import TOLERANCE_MM
from remnants.ledger import Corrected, Discarded, Moved, Signed, Stage, Standing
from remnants.model import Kind, Piece
from remnants.store import Catalogue, customers, styles

LONGEST_LOAN = timedelta(days=731)
"""What is lent for longer was meant otherwise (common practice, no source)."""

__all__ = ["correct_piece", "discard_piece", "discarding", "move_piece"]


def move_piece(
    catalogue: Catalogue,
    tag: str,
    place: str,
    *,
    room: str = "",
    customer: str = "",
    until: date | None = None,
    own: str | None = None,
    seen: int | None = None,
    signed: Signed,
    key: str = "",
) -> str:
    """Says where a piece lies now, and with which customer ("" the shop itself), lent `until` a day or not. Gives its tag.

    A place of the shop's is meant as somebody says it who works from the branch `own` ("": none in particular), see
    `place_meant`; where that is None it is the place itself.

    `seen` is the version of the piece as who moved it saw it. Raises NotFound for the piece or the customer, StockChanged when
    somebody else did something to it since that, NotAllowed also where it is held for another customer; BadInput without a place.
    """

    def do() -> str:
        if not place.strip():
            raise BadInput([Fault("place", "say where the piece lies now")])
        refuse_unseen_marks(place=place, room=room)
        if not customer:
            refuse_on_loan(place, "say to which customer it is lent")
        if customer and customers.find(catalogue, customer) is None:
            raise NotFound(f"no customer has the reference {customer!r}; `remnants customer` puts one in")
        _refuse_loan(customer, until, today=signed.at.date())
        before = standing_of(catalogue, tag)
        refuse_unseen(catalogue, before, seen, own=signed.who)
        there = place.strip()
        if own is not None and before.piece.kind in (Kind.REMNANT, Kind.OFFCUT) and not (room.strip() or customer):
            there = the_place(catalogue, there, own=own)
        moved = Moved(there, room.strip(), customer, until, back=bool(before.lent_until and not customer))
        refuse_to_another(catalogue, before, moved, signed)
        book(catalogue, [(before.piece.tag, moved)], signed)
        return before.piece.tag

    asked = ["move", tag, place, room, customer, *([until.isoformat()] if until else ())]
    return str(once(catalogue, key, as_seen(asked, seen), signed, do))


def _refuse_loan(customer: str, until: date | None, *, today: date) -> None:
    if until and not customer:
        raise BadInput([Fault("customer", "say to which customer it is lent, by your own reference")])
    if until and not today <= until <= today + LONGEST_LOAN:
        raise BadInput(
            [Fault("until", f"{day_words(until)} is no day until which it is lent: give one from today on, within two years")]
        )


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
        told = _measured_anew(before.piece, replace(piece, tag=before.piece.tag))
        book(catalogue, [(piece.tag, Corrected(told))], signed)
        return piece.tag

    return str(once(catalogue, key, ["correct", repr(piece), expected], signed, do))


def _measured_anew(before: Piece, told: Piece) -> Piece:
    """A piece whose outline is told anew, without the mark that the one before was measured from a photograph."""
    marks = [(piece.photo_bar_mm, piece.photo_digest) for piece in (before, told)]
    if told.photo_bar_mm is None or marks[0] != marks[1] or _same_outline(before.outline, told.outline):
        return told
    return replace(told, photo_bar_mm=None, photo_digest="")


def _same_outline(one: Outline, other: Outline) -> bool:
    rings = [(outline.ring, *outline.cutouts) for outline in (one, other)]
    return [len(ring) for ring in rings[0]] == [len(ring) for ring in rings[1]] and all(
        math.dist(a, b) <= TOLERANCE_MM for own, there in zip(*rings, strict=True) for a, b in zip(own, there, strict=True)
    )


def discard_piece(catalogue: Catalogue, tag: str, *, seen: int | None = None, signed: Signed, key: str = "") -> Standing:
    """Takes a piece out of stock for good. `seen` is the version of the piece as who discards it saw it.

    Raises NotFound, NotAllowed; StockChanged when something happened to it since.
    """

    def do() -> str:
        before = standing_of(catalogue, tag)
        refuse_unseen(catalogue, before, seen)
        book(catalogue, [(before.piece.tag, discarding(before, signed))], signed)
        return before.piece.tag

    return standing_of(catalogue, str(once(catalogue, key, as_seen(["discard", tag], seen), signed, do)))


def discarding(before: Standing, signed: Signed) -> Discarded:
    """The discarding of a piece that stands so. Raises NotAllowed where it is missing and held on that day."""
    hold = before.on(signed.at.date()).hold
    if before.stage is Stage.MISSING and hold:
        raise NotAllowed(f"{before.piece.tag} is missing and held for {hold.job} {hold.until_words}: let the hold go first")
    return Discarded()
