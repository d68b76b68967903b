"""Lending pieces to customers, and what is out: an entry of where a piece lies, with the day until which it is lent."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from remnants.actions.booking import once, standing_of
from remnants.actions.change_piece import move_piece
from remnants.ledger import Signed, Standing
from remnants.store import Catalogue, loans

__all__ = ["ON_LOAN", "USUAL_LOAN", "Lent", "is_lent_so", "lend", "what_is_lent"]

ON_LOAN = "On loan"
"""The place of what is lent; with whom it is, its customer tells."""

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


def is_lent_so(catalogue: Catalogue, tag: str, customer: str, until: date) -> bool:
    """Whether the books say already that this customer has it lent until that day."""
    standing = standing_of(catalogue, tag)
    return standing.piece.customer == customer and standing.lent_until == until


def what_is_lent(catalogue: Catalogue, *, most: int) -> Lent:
    """What is out: up to `most` pieces, what is late first."""
    count, late = loans.count_lent(catalogue, catalogue.today())
    first = tuple(standing.on(catalogue.today()) for standing in loans.lent(catalogue, most=most))
    return Lent(first, count, late)
