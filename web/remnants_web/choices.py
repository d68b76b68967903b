"""One of several, out of a form."""

from enum import StrEnum
from typing import TypeVar

from remnants.errors import BadInput, Fault

__all__ = ["chosen", "digits"]

MOST_DIGITS = 15

Choice = TypeVar("Choice", bound=StrEnum)


def chosen(choices: type[Choice], text: str | None, field: str, *, default: Choice | None = None) -> Choice:
    """The choice that the text names; `default` when it is empty. Raises BadInput at `field` with what there is."""
    if not text and default is not None:
        return default
    try:
        return choices(text or "")
    except ValueError:
        offered = ", ".join(choices)
        raise BadInput([Fault(field, f"{(text or '')[:40]!r} is not one of: {offered}")]) from None


def digits(text: str) -> int | None:
    """A number out of an address or a form, such as an entry's; None where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None
