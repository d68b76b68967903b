"""Texts out of a form or an address that are refused where they are too long: none is cut off."""

from flask import request

from remnants.errors import BadInput, Fault
from remnants.limits import KEY_CHARACTERS, TEXT_CHARACTERS, WHY_CHARACTERS

__all__ = ["sent_key", "sent_place", "sent_why", "within"]


def within(text: str, field: str, most: int) -> str:
    """The text without blanks around it. Raises BadInput at `field` for one of more than so many characters."""
    bare = text.strip()
    if len(bare) > most:
        raise BadInput([Fault(field, f"{len(bare):,} characters, and at most {most:,} are taken: say it shorter")])
    return bare


def sent_key() -> str:
    """The form's key, under which what it asks is done once. Raises BadInput."""
    return within(request.form.get("key", ""), "key", KEY_CHARACTERS)


def sent_place() -> str:
    """The place that the form or the address names. Raises BadInput."""
    return within(request.values.get("place", ""), "place", TEXT_CHARACTERS)


def sent_why() -> str:
    """Why it is done, in the person's own words. Raises BadInput."""
    return within(request.form.get("why", ""), "why", WHY_CHARACTERS)
