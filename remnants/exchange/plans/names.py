"""What the rooms of a plan are called: by the text that stands in each, else by the layer. Lengths are millimetres."""

import re
from collections import Counter
from collections.abc import Sequence

from remnants.exchange.plans.drawn import TextDrawn
from remnants.geometry import Point, Ring
from remnants.geometry.segments import is_within
from remnants.limits import WORDS_CHARACTERS
from remnants.marks import visible

__all__ = ["named"]

NAMED_BY = 60
"""Characters of a name that are taken from a plan."""

_UNITS = re.compile(r"(?<![^\W\d_])(?:mm|cm|m|ft|in|sq|x)(?![^\W\d_])", re.IGNORECASE)
"""Words of a size: a text of figures and these names no room."""


def named(rings: Sequence[Ring], fallback: Sequence[str], texts: Sequence[TextDrawn]) -> tuple[str, ...]:
    """A name for each ring (mm), no two alike: the largest text in it that is no size, the topmost of those, else its fallback.

    What would be the name of several gets a number.
    """
    wanted = [_inside(ring, texts) or other for ring, other in zip(rings, fallback, strict=True)]
    counts = Counter(wanted)
    taken = {name for name in wanted if counts[name] == 1}
    made = []
    reached: Counter[str] = Counter()
    for name in wanted:
        if counts[name] == 1:
            made.append(name)
            continue
        reached[name] += 1
        while (numbered := f"{name} {reached[name]}") in taken:
            reached[name] += 1
        taken.add(numbered)
        made.append(numbered)
    return tuple(made)


def _inside(ring: Ring, texts: Sequence[TextDrawn]) -> str:
    """The text that names a room; nothing where none does."""
    told = [text for text in texts if not _is_size(text.text) and _is_in(text.at, ring)]
    best = min(told, key=lambda text: (-round(text.height_mm, 3), -text.at[1], text.at[0], text.text), default=None)
    return _plain(best.text) if best else ""


def _is_size(text: str) -> bool:
    return not any(mark.isalpha() for mark in _UNITS.sub("", text))


def _is_in(point: Point, ring: Ring) -> bool:
    xs, ys = zip(*ring, strict=True)
    return min(xs) <= point[0] <= max(xs) and min(ys) <= point[1] <= max(ys) and is_within(point, ring)


def _plain(text: str) -> str:
    return " ".join(visible(text[:WORDS_CHARACTERS]).split())[:NAMED_BY].strip()
