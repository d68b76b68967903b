"""How much room words take on paper, before anything is drawn. Lengths are paper millimetres."""

from collections.abc import Callable, Iterator

from remnants.kept_whole import plain_blanks, whole_lengths

__all__ = ["CAP_SHARE", "width_mm", "wrapped"]

# Advance of the characters 32 to 126 in hundredths of the body height, as measured in the open font that the sheet embeds;
# it is among the widest of the plain sans faces, so words set in another face take no more room than is kept for them.
_ADVANCE = (
    *(32, 40, 46, 84, 64, 95, 78, 27, 39, 39, 50, 84, 32, 36, 32, 34),
    *(64, 64, 64, 64, 64, 64, 64, 64, 64, 64, 34, 34, 84, 84, 84, 53, 100),
    *(68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86, 75, 79, 60, 79, 69, 63, 61, 73, 68, 99, 69, 61, 69),
    *(39, 34, 39, 84, 50, 50),
    *(61, 63, 55, 63, 62, 35, 63, 63, 28, 28, 58, 28, 97, 63, 61, 63, 63, 41, 52, 39, 63, 59, 82, 59, 59, 52),
    *(64, 34, 64, 84),
)
CAP_SHARE = 0.36
"""Baseline below the middle of the capitals, as a share of the body height."""

_OTHER = 75
_WIDE = 100
_BOLD = 1.14


def width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Length of a line of text set at `size_mm`, mm."""
    hundredths = sum(_advance(ord(letter)) for letter in text)
    return hundredths * size_mm / 100 * (_BOLD if bold else 1.0)


def wrapped(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """The text in lines of at most `room_mm`; none ends inside a length, and only a word longer than a line is broken."""
    lines: list[str] = []
    line = ""
    for word in _words(text, lambda word: width_mm(word, size_mm, bold=bold) <= room_mm):
        longer = f"{line} {word}" if line else word
        if width_mm(longer, size_mm, bold=bold) <= room_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _broken(word, size_mm, room_mm, bold=bold)
        lines += full
    return (*lines, line) if line else tuple(lines)


def _words(text: str, fits: Callable[[str], bool]) -> Iterator[str]:
    """The words of a text; a length is one, unless a line has no room for it."""
    for word in map(plain_blanks, whole_lengths(" ".join(text.split())).split(" ")):
        yield from (word,) if fits(word) else word.split()


def _broken(word: str, size_mm: float, room_mm: float, *, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_mm(pieces[-1] + letter, size_mm, bold=bold) > room_mm:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _advance(code: int) -> int:
    if 32 <= code <= 126:
        return _ADVANCE[code - 32]
    return _WIDE if code > 0x2E7F else _OTHER
