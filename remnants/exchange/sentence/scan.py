"""Looks along a sentence, phrase by phrase."""

import re
from dataclasses import dataclass
from re import Match, Pattern

from remnants.errors import BadMeasure
from remnants.exchange.sentence.heard import Run
from remnants.units import Unit, parse_length

__all__ = ["Measure", "Scan"]

_BLANKS = re.compile(r"[\s,.?!]*")
_FIGURE = r"(?:\d+\s*/\s*\d+|(?:\d+(?:[.,]\d+)?|\.\d+)(?:(?:\s+|-)\d+\s*/\s*\d+)?)"
_UNIT = (
    r"(?:mm|cm|m|inch(?:es)?|in(?!\s+(?:the|a|an|my|our|front|one|1|[a-z]*room|hall|total)\b)|feet|foot|ft|yards?|yds?"
    r"|millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?)\b|['\"]"
)
_TERM = rf"{_FIGURE}(?:[\s-]*(?:{_UNIT})\.?)?"
_LENGTHS = tuple(re.compile(rf"{_TERM}(?:(?:[\s-]|and\s)*{_TERM}){{{more}}}(?![\d/])") for more in (2, 1, 0))
_ANY_UNIT = re.compile(_UNIT)
_METRE_TWENTY = re.compile(r"\b(m|met(?:re|er)s?)\s+(\d\d)\s*$")
"""One metre twenty, as it is said: common practice, no source."""
_AND = re.compile(r"\band\b")
_WORD = re.compile(r"\d+(?:[.,]\d+)+[^\s,;]*|[^\s,;]+")


@dataclass(frozen=True, slots=True)
class Measure:
    """A length as it stands in a sentence: its `text`, the units named in it in turn, and its `mm`, bare figures in the entry's
    unit; None where it can be read in another unit alone (`24,5`).
    """

    text: str
    units: tuple[str, ...]
    mm: float | None

    def of(self, unit: str) -> float | None:
        """The bare figure in another unit, mm; None where it can't be read so."""
        return _parsed(f"{self.text} {unit}", Unit.MM)

    @property
    def figure(self) -> float:
        """The bare figure."""
        return self.of("mm") or 0.0


class Scan:
    """A text in lower case and plain marks, and how far it is read. Bare figures are in `unit`.

    It begins at `base` of a longer text.
    """

    def __init__(self, text: str, unit: Unit, base: int = 0) -> None:
        self.text = text
        self.unit = unit
        self.base = base
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

    def since(self, start: int) -> Run:
        """What was read since a place."""
        text = self.text[start : self.at]
        kept = text.strip(" \t,.?!")
        return Run(kept, self.base + start + len(text) - len(text.lstrip(" \t,.?!")))

    def parted(self, start: int) -> bool:
        """Whether a mark stands at the end of what was read since a place."""
        return self.text[start : self.at].rstrip().endswith((",", ".", "?", "!"))

    def takes_measure(self) -> Measure | None:
        """The length that stands here, the longest that can be read, and reads past it; None where none stands."""
        for pattern in _LENGTHS:
            found = self.sees(pattern)
            if not found:
                continue
            text = _AND.sub("", found[0])
            units = tuple(_ANY_UNIT.findall(text))
            length_mm = _parsed(text, self.unit)
            if length_mm is None and (units or not Measure(text, (), None).of("cm")):
                continue
            if length_mm is None or length_mm > 0:
                self.at = found.end()
                self._blanks()
                return Measure(found[0].strip(), units, length_mm)
        return None

    def takes_length(self) -> float | None:
        """As `takes_measure`: the length in mm, None where none stands that can be read in the entry's unit."""
        before = self.at
        measure = self.takes_measure()
        if measure is None or measure.mm is None:
            self.at = before
            return None
        return measure.mm

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


def _parsed(text: str, unit: Unit) -> float | None:
    text = _METRE_TWENTY.sub(r"\1 \2 cm", text)
    try:
        return parse_length(text, unit)
    except BadMeasure:
        return None
