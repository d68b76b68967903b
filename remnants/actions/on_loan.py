"""The place of what is lent: no rack, so nobody counts what lies there, and nothing of the shop's own is brought to it."""

from remnants.errors import BadInput, Fault

__all__ = ["ON_LOAN", "is_on_loan", "refuse_on_loan"]

ON_LOAN = "On loan"
"""The place of what is lent; with whom it is, its customer tells."""


def is_on_loan(place: str) -> bool:
    """Whether a place is that of what is lent, in any letter case."""
    return " ".join(place.split()).casefold() == ON_LOAN.casefold()


def refuse_on_loan(place: str, doing: str) -> None:
    """Refuses that place where a rack is meant. `doing`: what can't be done there. Raises BadInput."""
    if is_on_loan(place):
        told = f"{place.strip()!r} is where what is lent stands, with customers: {doing}. `remnants lend` tells who has what"
        raise BadInput([Fault("place", f"{told}, and `remnants lend TAG --back PLACE` takes it back")])
