"""Carpet that a job may use by its own word: whom the shop asks first, and what its floor needs after. Never for customers."""

from collections.abc import Iterable, Mapping

from remnants.belonging.allowed import needed_for
from remnants.model import Asking, Job, MayUse, Piece

__all__ = ["asking_of", "asking_words", "consent_words", "made_good_words"]


def asking_of(pieces: Iterable[Piece], job: Job) -> tuple[Asking, ...]:
    """Those of the pieces for which somebody must be asked before the job cuts them, in the order given."""
    found = ((piece.tag, needed_for(piece, job)) for piece in pieces)
    return tuple(Asking(tag, needed) for tag, needed in found if needed is not None)


def asking_words(asking: Asking, pieces: Mapping[str, Piece]) -> str:
    """`kept with F-2031, who must be asked first`: what it takes to use the piece; without the name where none is told."""
    match asking.allowed:
        case MayUse.OTHER_CUSTOMERS:
            return f"kept with {_customer(asking, pieces)}, who must be asked first"
        case MayUse.OTHER_HOUSES:
            return "laid in another house: its people must be asked first, and their floor made good"
        case MayUse.IN_VIEW:
            return "laid in this house in view: the customer must be asked first, and the floor there made good"


def consent_words(asking: Asking, pieces: Mapping[str, Piece]) -> str:
    """The same as a step of the work, a sentence."""
    tag = asking.piece
    match asking.allowed:
        case MayUse.OTHER_CUSTOMERS:
            return (
                f"{tag} is kept with {_customer(asking, pieces)}, who must be asked first: agree what they get for it. "
                "Write down who said yes, and when."
            )
        case MayUse.OTHER_HOUSES:
            return (
                f"{tag} lies on a floor of another house, whose people must be asked first: agree when it is lifted and what "
                "their floor is made good with. Write down who said yes, and when."
            )
        case MayUse.IN_VIEW:
            return (
                f"{tag} lies in view in this house, so the customer must be asked first: show them what is lifted, and what "
                "will be seen there after. Write down who said yes, and when."
            )


def made_good_words(asking: Asking) -> str:
    """What the floor that gave the piece needs at the end, a sentence; "" for carpet that lay on none."""
    match asking.allowed:
        case MayUse.OTHER_CUSTOMERS:
            return ""
        case MayUse.OTHER_HOUSES:
            return f"{asking.piece} left a hole in a floor of another house: fill it as agreed there (see the backfill)."
        case MayUse.IN_VIEW:
            return (
                f"{asking.piece} left a hole that everybody sees: fill it with carpet that matches (see the backfill), and show "
                "the customer its seams."
            )


def _customer(asking: Asking, pieces: Mapping[str, Piece]) -> str:
    piece = pieces.get(asking.piece)
    return piece.customer if piece and piece.customer else "another customer"
