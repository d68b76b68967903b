"""Lending pieces to customers, and what is out: an entry of where a piece lies, with the day until which it is lent."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from remnants.actions.booking import book, once, standing_of
from remnants.actions.change_piece import move_piece
from remnants.actions.on_loan import ON_LOAN, refuse_on_loan
from remnants.actions.places import the_place
from remnants.actions.plain_texts import refuse_unseen_marks
from remnants.errors import BadInput, Fault, NotAllowed
from remnants.ledger import Moved, Signed, Standing
from remnants.store import Catalogue, loans

__all__ = ["ON_LOAN", "USUAL_LOAN", "Lent", "is_lent_so", "lend", "take_back", "what_is_lent"]

USUAL_LOAN = timedelta(days=14)
"""For how long a piece is lent where nobody says otherwise (common practice, no source)."""


@dataclass(frozen=True)
class Lent:
    """The pieces that are lent, what is late first; how many there are in all, and how many of them are late."""

    first: tuple[Standing, ...]
    count: int
    late: int


def lend(
    catalogue: Catalogue, tags: Sequence[str], customer: str, *, until: date | None = None, signed: Signed, key: str = ""
) -> tuple[str, ...]:
    """Lends pieces to a customer, until a day or for as long as is usual: all of them or none. Gives their tags.

    They lie at ON_LOAN then, and are the customer's as what is kept with one. Raises as `move_piece`.
    """
    day = until or signed.at.date() + USUAL_LOAN

    def do() -> list[str]:
        return [move_piece(catalogue, tag, ON_LOAN, customer=customer, until=day, signed=signed) for tag in tags]

    return tuple(once(catalogue, key, ["lend", list(tags), customer, day.isoformat()], signed, do))


def take_back(
    catalogue: Catalogue, tags: Sequence[str], place: str, *, own: str | None = None, signed: Signed, key: str = ""
) -> tuple[str, ...]:
    """Says that lent pieces are back and lie at a place of the shop's: all of them or none. Gives their tags.

    The place is meant as somebody says it who works from the branch `own`, as in `move_piece`. Raises BadInput without a place,
    NotFound, NotAllowed for a piece that is not lent.
    """

    def do() -> list[str]:
        if not place.strip():
            raise BadInput([Fault("place", "say where they lie now")])
        refuse_unseen_marks(place=place)
        refuse_on_loan(place, "say where it lies now")
        there = place.strip() if own is None else the_place(catalogue, place.strip(), own=own)
        changes = []
        for tag in dict.fromkeys(tags):
            standing = standing_of(catalogue, tag)
            if standing.lent_until is None:
                raise NotAllowed(f"{standing.piece.tag} is not lent, so it can't be taken back: {_stands(standing)}")
            changes.append((standing.piece.tag, Moved(there, back=True)))
        return [each.piece.tag for each in book(catalogue, changes, signed)]

    return tuple(once(catalogue, key, ["take back", list(tags), place], signed, do))


def _stands(standing: Standing) -> str:
    words = standing.words
    return f"it lies at {standing.piece.place}" if words == "in stock" and standing.piece.place else f"it is {words}"


def is_lent_so(catalogue: Catalogue, tag: str, customer: str, until: date) -> bool:
    """Whether the books say already that this customer has it lent until that day."""
    standing = standing_of(catalogue, tag)
    return standing.piece.customer == customer and standing.lent_until == until


def what_is_lent(catalogue: Catalogue, *, most: int) -> Lent:
    """What is out: up to `most` pieces, what is late first."""
    count, late = loans.count_lent(catalogue, catalogue.today())
    first = tuple(standing.on(catalogue.today()) for standing in loans.lent(catalogue, most=most))
    return Lent(first, count, late)
