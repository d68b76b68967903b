"""A name drawn on the glass, as a page sends it: lines of whole numbers, never a picture."""

import json

from remnants.errors import BadInput, Fault
from remnants.limits import DRAWN_CHARACTERS, DRAWN_LINES, DRAWN_POINTS
from remnants.model.agreement import GLASS, Strokes

__all__ = ["read_strokes", "strokes_text"]

_AGAIN = "clear it and draw it again, or tick the box instead"


def read_strokes(text: str) -> Strokes:
    """The lines in a text such as `[[10,40,12,44],[80,20,81,60]]`: x and y of each point in turn; none in an empty one.

    Raises BadInput for anything else, for points off the glass, and for more than a name takes.
    """
    if not text.strip():
        return ()
    if len(text) > DRAWN_CHARACTERS:
        raise _refused("the name as drawn is too long")
    try:
        lines = json.loads(text)
    except (ValueError, RecursionError):
        raise _refused("the name as drawn can't be read") from None
    if not isinstance(lines, list) or not all(_is_line(line) for line in lines):
        raise _refused("the name as drawn can't be read")
    if len(lines) > DRAWN_LINES or sum(len(line) for line in lines) > 2 * DRAWN_POINTS:
        raise _refused(f"a drawn name has at most {DRAWN_LINES} lines and {DRAWN_POINTS:,} points")
    return tuple(tuple(zip(line[::2], line[1::2], strict=True)) for line in lines)


def strokes_text(strokes: Strokes) -> str:
    """The text that `read_strokes` reads."""
    return json.dumps([[number for point in line for number in point] for line in strokes], separators=(",", ":"))


def _is_line(line: object) -> bool:
    if not isinstance(line, list) or not line or len(line) % 2:
        return False
    return all(type(number) is int and 0 <= number <= GLASS[at % 2] for at, number in enumerate(line))


def _refused(what: str) -> BadInput:
    return BadInput([Fault("strokes", f"{what}; {_AGAIN}")])
