"""Looks along a sentence, phrase by phrase."""

import re
from re import Match, Pattern

from remnants.errors import BadMeasure
from remnants.units import Unit, parse_length

__all__ = ["Scan"]

_BLANKS = re.compile(r"[\s,.]*")
_FIGURE = r"(?:\d+\s*/\s*\d+|\d+(?:[.,]\d+)?(?:(?:\s+|-)\d+\s*/\s*\d+)?)"
_UNIT = (
    r"(?:mm|cm|m|inch(?:es)?|in(?!\s+(?:the|a|an|my|our|front)\b)|feet|foot|ft|yards?|yds?"
    r"|millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?)\b|['\"]"
)
_TERM = rf"{_FIGURE}(?:\s*(?:{_UNIT})\.?)?"
_LENGTHS = tuple(re.compile(rf"{_TERM}(?:[\s-]*{_TERM}){{{more}}}") for more in (2, 1, 0))
_ANY_UNIT = re.compile(_UNIT)
_WORD = re.compile(r"[^\s,;]+")


class Scan:
    """A text in lower case and plain marks, and how far it is read. Bare figures are in `unit`."""

    def __init__(self, text: str, unit: Unit) -> None:
        self.text = text
        self.unit = unit
        self.at = 0
        self._blanks()

    @property
    def ended(self) -> bool:
        """Whether all is read."""
        return self.at >= len(self.text)

    def sees(self, pattern: Pattern[str]) -> Match[str] | None:
        """The phrase if it stands here, read no further."""
        return pattern.match(self.text, self.at)

    def takes(self, pattern: Pattern[str]) -> Match[str] | None:
        """The phrase if it stands here, and reads past it."""
        found = self.sees(pattern)
        if found:
            self.at = found.end()
            self._blanks()
        return found

    def takes_length(self) -> float | None:
        """The length (mm) that stands here, the longest that can be read, and reads past it; None where none stands."""
        for pattern in _LENGTHS:
            found = self.sees(pattern)
            if found:
                try:
                    length_mm = parse_length(found[0], self.unit)
                except BadMeasure:
                    continue
                if length_mm > 0:
                    self.at = found.end()
                    self._blanks()
                    return length_mm
        return None

    def takes_two_lengths(self, between: Pattern[str]) -> tuple[float, float] | None:
        """Two lengths (mm) with `between` between them, and reads past them; None, and nothing read, where two don't stand here.

        A bare first one is in the unit that the second ends with: `120 x 90 cm`.
        """
        begun = self.at
        first_mm = self.takes_length()
        first = self.text[begun : self.at].strip(" ,.")
        start = self.at if first_mm is not None and self.takes(between) else None
        second_mm = self.takes_length() if start is not None else None
        if first_mm is None or second_mm is None:
            self.at = begun
            return None
        units = _ANY_UNIT.findall(self.text[start : self.at])
        if units and not _ANY_UNIT.search(first):
            first_mm = parse_length(f"{first} {units[-1]}", self.unit)
        return first_mm, second_mm

    def takes_word(self) -> str:
        """The next word, and reads past it."""
        found = self.takes(_WORD)
        if not found:
            self.at += 1
            self._blanks()
        return found[0] if found else ""

    def _blanks(self) -> None:
        found = _BLANKS.match(self.text, self.at)
        self.at = found.end() if found else self.at
