"""Lengths that no line breaks: `5' 1/2"` reads as five and a half where the line ends after the feet.

Where a text goes to a page or a sheet its lengths are held together by blanks that don't break; `units` reads those
like any other.
Files, exports and terminals get plain blanks: what wraps lines for them puts the plain ones back.
"""

import re
import textwrap

__all__ = ["NO_BREAK", "plain_blanks", "whole_lengths", "wrapped_whole"]

NO_BREAK = "\N{NO-BREAK SPACE}"

_FOOT = "(?:'|&#39;|&#x27;)"
_INCH = '(?:"|&#34;|&quot;)'
_FIGURE = r"(?:(?:\d+ )?\d+/\d+|\d+(?:\.\d+)?)"
_UNITS = "(?:mm²|cm²|m²|ft²|yd²|in²|(?:mm|cm|m|in|ft)(?![\\w²]))"
_LENGTH = re.compile(rf"(?<![\d./])(?:\d+{_FOOT}(?: {_FIGURE}{_INCH})?|{_FIGURE}(?: {_UNITS}|{_INCH}))")
_BY = re.compile(r" × (?=-?\d)")


def whole_lengths(text: str) -> str:
    """The text with blanks that don't break inside each length and area, and between `×` and what follows it.

    Of a size, across by along, a line may begin with the `×`. Marks may be written as HTML writes them.
    """
    return _BY.sub(f" ×{NO_BREAK}", _LENGTH.sub(lambda length: length[0].replace(" ", NO_BREAK), text))


def plain_blanks(text: str) -> str:
    """The text with a plain blank for each that doesn't break."""
    return text.replace(NO_BREAK, " ")


def wrapped_whole(text: str, width: int, *, first: str = "", then: str = "") -> list[str]:
    """The text in lines of at most `width` characters that end inside no length, behind `first`, the others behind `then`."""
    lines = textwrap.wrap(whole_lengths(text), width, initial_indent=first, subsequent_indent=then, break_on_hyphens=False)
    return [plain_blanks(line) for line in lines]
