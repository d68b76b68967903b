"""What a scanner types: a tag, or the address of a piece's page with the tag at its end."""

import re
from urllib.parse import unquote

from remnants.limits import NAME_CHARACTERS

__all__ = ["tag_of", "tags_of"]

_BETWEEN = re.compile(r"[\r\n\t,;]+")
_ADDRESS = re.compile(r"^https?://[^/\s]+/pieces/(?P<tag>[^?#]+)", re.IGNORECASE)


def tag_of(text: str) -> str:
    """The tag in what was scanned or typed, without control characters and spaces around it."""
    cleaned = "".join(letter for letter in text if letter.isprintable()).strip()
    found = _ADDRESS.match(cleaned)
    return (unquote(found["tag"]) if found else cleaned).strip()[:NAME_CHARACTERS]


def tags_of(text: str) -> tuple[str, ...]:
    """Several, with line ends, commas or semicolons between them."""
    return tuple(tag for part in _BETWEEN.split(text) if (tag := tag_of(part)))
