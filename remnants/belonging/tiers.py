"""What it takes to get at a piece, seen from a job: a shelf, a floor that nobody sees, or somebody else's carpet.

The order is the trade's habit (common practice, no source).
"""

import re
from enum import IntEnum

from remnants.model import Job, Kind, Piece

__all__ = ["Tier", "Whose", "house_of", "is_hidden", "names_house", "same_floor", "taken_for_ours", "tier_of", "whose"]

_UNSEEN = re.compile(r"\b(?:closets?|cupboards?|wardrobes?|under|underneath|beneath)\b")
"""Words of a place that nobody sees."""


class Tier(IntEnum):
    """What it takes to get at a piece, least first."""

    SHELF = 0
    """The shop's own, or kept in this house."""
    HIDDEN_FLOOR = 1
    """Laid in this house where nobody sees it: must be lifted, and its floor made good."""
    ANOTHERS = 2
    """Kept with another customer, who must be asked first."""
    SEEN_FLOOR = 3
    """Laid in another house, or in this one in view."""


class Whose(IntEnum):
    """Whose a piece is, seen from a job. `ASSUMED`: this house's, because nothing says otherwise."""

    SHOP = 0
    THIS_HOUSE = 1
    ASSUMED = 2
    ANOTHERS = 3


def house_of(job: Job) -> str:
    """The address of the job's house: as told, else the job's name up to its first comma."""
    return job.house or _before_comma(job.name)


def _tells_house(piece: Piece) -> bool:
    """Whether a place names a house: it has a comma, or the room within is told beside it."""
    return "," in piece.place or bool(piece.place and piece.room)


def names_house(place: str, job: Job) -> bool:
    """Whether a place is in the job's house: up to its first comma the same text, but for case and blanks."""
    return _same(_before_comma(place), house_of(job))


def tier_of(piece: Piece, job: Job) -> Tier:
    """What it takes to get at the piece for the job."""
    owner = whose(piece, job)
    if piece.kind is Kind.LAID:
        return Tier.HIDDEN_FLOOR if owner is not Whose.ANOTHERS and is_hidden(piece) else Tier.SEEN_FLOOR
    return Tier.ANOTHERS if owner is Whose.ANOTHERS else Tier.SHELF


def whose(piece: Piece, job: Job) -> Whose:
    """Whose the piece is.

    The place of a kept or laid piece decides where it names a house (text before a comma, or all of it beside a room's name);
    else the customer; where neither is told it is taken for this house's. A remnant or offcut is the shop's unless it lies
    with a customer.
    """
    stored = piece.kind in (Kind.REMNANT, Kind.OFFCUT)
    if stored and not piece.customer:
        return Whose.SHOP
    if names_house(piece.place, job):
        return Whose.THIS_HOUSE
    if not stored and _tells_house(piece):
        return Whose.ANOTHERS
    if piece.customer:
        return Whose.THIS_HOUSE if _same(piece.customer, job.customer) else Whose.ANOTHERS
    return Whose.ASSUMED


def same_floor(one: Piece, other: Piece) -> bool:
    """Whether two pieces are carpet of one floor: laid in the same room of the same house, of the same style.

    The room is what stands in `room`, else what follows the first comma of the place. No house or no room told is no floor known.
    """
    if one.kind is not Kind.LAID or other.kind is not Kind.LAID or not _same(one.style, other.style):
        return False
    return _same(_before_comma(one.place), _before_comma(other.place)) and _same(_room(one), _room(other))


def _room(piece: Piece) -> str:
    return piece.room or piece.place.partition(",")[2]


def taken_for_ours(piece: Piece, job: Job) -> bool:
    """Whether it is this house's only because neither its place nor a customer says otherwise."""
    return whose(piece, job) is Whose.ASSUMED


def is_hidden(piece: Piece) -> bool:
    """Whether nobody sees the floor that it is laid on: as told, else by its room and place: a closet, or under something."""
    if piece.hidden is not None:
        return piece.hidden
    house, comma, within = piece.place.partition(",")
    return _UNSEEN.search(f"{within if comma else house} {piece.room}".casefold()) is not None


def _before_comma(text: str) -> str:
    return text.partition(",")[0].strip()


def _same(one: str, two: str) -> bool:
    """The same text but for case and blanks; nothing is the same as nothing."""
    return bool(one.strip()) and _folded(one) == _folded(two)


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())
