"""What no pieces can make in three or four parts: exact, for any outline, plain or patterned, however the pieces are shared.

The patch is asked for more lightly than it is meant: every piece may be cut as often as anybody likes, and a part may come out as
narrow as a hair. Then the furthest that any piece goes is all that counts of a family of seams, and what even then can't be made
can't be made at all. The other way round nothing follows.

It stands on this: where a seam moves within its family, the part that it moves into fits wherever it fitted before, less what the
seam has passed, its allowance included. Between slanting edges that take less than a joint that isn't so.
"""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice
from weakref import WeakKeyDictionary

import numpy as np

from remnants.fitting.patch.more_parts import furthest, joined, nudged_off_the_end
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.shape import Shape, Split, splits
from remnants.geometry.outline import TOLERANCE_MM, area_mm2, perimeter_mm
from remnants.geometry.tolerances import CLOSE_MM

__all__ = [
    "COUNT_WORDS",
    "has_uneven_edges",
    "is_plain_rectangle",
    "is_settled",
    "out_of_reach",
    "sets_to_share",
    "tell_what_is_settled",
]

COUNT_WORDS = {2: "two", 3: "three", 4: "four"}
"""How many parts, in words."""

SEAMS = "such seams one after the other"

MOST_SETS = 60
"""Sets of pieces that are asked whether they might make a patch of which one of them gives several parts."""

MOST_LOOKED_AT = 20_000
"""Sets of pieces of which the carpet is added up for that."""

HAIR_WIDE_MM = 2 * TOLERANCE_MM
"""How narrow a part may come out that is asked for lightly."""


def out_of_reach(ask: Ask, field: Field, parts: int) -> bool:
    """True if the patch can't be made in up to `parts` parts (three or four), however they are shared; False if that isn't known.

    Where it is True, that is told as searched. Where the patch names no motif point its pattern is left out of it. Raises
    OutOfTime.
    """
    if not _can_t(ask, field, parts):
        return False
    ask.searched[f"{COUNT_WORDS[parts]} parts: {SEAMS}, though each piece might be cut as often as anybody likes"] = None
    return True


def sets_to_share(ask: Ask, field: Field, parts: int, *, most: int = MOST_SETS) -> tuple[frozenset[str], ...] | None:
    """The sets of `parts` - 1 pieces that might make the patch in so many parts; None where they are too many to ask of.

    None too where more than `most` of them might.

    No more pieces are cut where one gives several parts. Raises OutOfTime.
    """
    areas = {donor.tag: area for donor, area in zip(field.donors, field.areas.tolist(), strict=True)}
    tags = sorted(areas, key=lambda tag: (-areas[tag], tag))
    many = min(parts - 1, len(tags))
    need = _least_area_mm2(ask, parts)
    enough = (tags_of for tags_of in combinations(tags, many) if sum(areas[tag] for tag in tags_of) >= need)
    if sum(areas[tag] for tag in tags[:many]) < need:
        return ()
    if math.comb(len(tags), many) > MOST_LOOKED_AT:
        return None
    asked = list(islice(enough, MOST_SETS + 1))
    if len(asked) > MOST_SETS:
        return None
    found = []
    for own in asked:
        if not _can_t(ask, field.some(np.array([donor.tag in own for donor in field.donors], dtype=bool)), parts):
            found.append(frozenset(own))
            if len(found) > most:
                return None
    return tuple(found)


def tell_what_is_settled(ask: Ask, field: Field, parts: int) -> None:
    """Tells of a patch for which no so many parts were found what of that was searched to the end, and what wasn't.

    What is undecided of it so far is what its search gave up on. Raises OutOfTime.
    """
    count, plain = COUNT_WORDS[parts], is_plain_rectangle(ask)
    if not plain and sets_to_share(ask, field, parts, most=0) != ():
        ask.undecided.add(f"several of {count} parts from one piece, for a patch that is no plain rectangle")
        return  # so it isn't proved in any case
    if not ask.undecided:
        ask.searched[f"{count} parts of which one piece gives several"] = None
    if _none_of_their_own(ask, field, parts):
        ask.searched[f"{count} parts: {SEAMS}, each part from a piece of its own"] = None
    else:
        where = (
            "with pieces that must be among them" if ask.patch.use else "beside slanting edges or round several inward corners"
        )
        ask.undecided.add(f"{count} parts, each from a piece of its own, {where}")


def is_settled(ask: Ask, field: Field, parts: int) -> bool:
    """True if a search of these donors that found no so many parts (three or four) leaves nothing open; tells nothing of it.

    Raises OutOfTime.
    """
    if ask.undecided:
        return False
    if is_plain_rectangle(ask):
        return _none_of_their_own(ask, field, parts)
    return _can_t(ask, field, parts) or (sets_to_share(ask, field, parts, most=0) == () and _none_of_their_own(ask, field, parts))


def is_plain_rectangle(ask: Ask) -> bool:
    """True for a rectangle whose pattern has nothing to meet: parts of one piece are placed together there."""
    return ask.shape.is_rectangle and ask.motif is None


def _none_of_their_own(ask: Ask, field: Field, parts: int) -> bool:
    """True if the patch can't be made in up to `parts` parts each of which has a piece of its own; False if that isn't known.

    Asked of a patch of which nothing was found with the pieces that must be cut: here parts may come out as narrow as a hair.
    """
    if ask.patch.use and next(joined(ask, ask.shape, field, parts), None) is not None:
        return False  # `joined` tells of the pieces that go furthest, not of each that must be among them
    if ask.shape.is_rectangle:
        return True  # there a part is as wide as its seams stand apart, and `joined` keeps room for that
    if has_uneven_edges(ask) or _inward_corners(ask.shape) > 1:
        return False
    light = _lightly(ask)
    return all(next(joined(light, light.shape, field, count), None) is None for count in range(2, parts + 1))


def _can_t(ask: Ask, field: Field, parts: int) -> bool:
    """True if no so many parts make the patch, though each piece might be cut as often as anybody likes."""
    if parts < 3 or has_uneven_edges(ask):
        return False
    return _too_little_carpet(ask, field, parts) or not _may(ask, ask.shape, field, parts)


def has_uneven_edges(ask: Ask) -> bool:
    """True if some slanting edge of the patch takes less than a joint does."""
    ring, least = ask.shape.ring, ask.shape.allowance.seam_mm
    edges = zip(ring, (*ring[1:], ring[0]), ask.shape.extras, strict=True)
    return any(extra < least and min(abs(a[0] - b[0]), abs(a[1] - b[1])) > TOLERANCE_MM for a, b, extra in edges)


def _inward_corners(shape: Shape) -> int:
    ring = shape.ring
    around = zip((ring[-1], *ring[:-1]), ring, (*ring[1:], ring[0]), strict=True)
    turns = ((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) for a, b, c in around)
    return sum(turn < 0 for turn in turns)


def _lightly(ask: Ask) -> Ask:
    """The patch where parts may be as narrow as a hair; what it gives up on is asked of nobody."""
    return replace(ask, min_part_mm=HAIR_WIDE_MM, known=WeakKeyDictionary(), undecided=set())


def _too_little_carpet(ask: Ask, field: Field, parts: int) -> bool:
    """True if as many of the largest pieces together have less carpet than the patch."""
    largest = dict[int, float]()
    for piece, area in zip(field.pieces.tolist(), field.areas.tolist(), strict=True):
        largest[piece] = area
    return sum(sorted(largest.values(), reverse=True)[:parts]) < _least_area_mm2(ask, parts)


def _least_area_mm2(ask: Ask, parts: int) -> float:
    """The carpet that so many parts of the patch have at least."""
    ring = ask.shape.ring
    return area_mm2(ring) - parts * TOLERANCE_MM * perimeter_mm(ring)


def _may(ask: Ask, shape: Shape, field: Field, parts: int) -> bool:
    """True unless a shape can't be made in up to so many parts, every piece cut as often as anybody likes."""
    ask.go_on()
    if not shape.is_simple:
        return False  # pinched by a seam that ends in an inward corner: asked of beside that
    if _whole(ask, shape, field):
        return True
    if parts == 1:
        return False
    light = _lightly(ask) if ask.min_part_mm != HAIR_WIDE_MM else ask
    for axis in AXES:
        for split in splits(shape, axis):
            if any(_may(light, rest, field, parts - 1) for rest in _rests(ask, split, field, both=parts > 2)):
                return True
            if parts == 4 and _two_and_two(light, split, field):
                return True
    return False


def _whole(ask: Ask, shape: Shape, field: Field) -> bool:
    """True if a shape lies on some piece."""
    size = (shape.box[2] - shape.box[0], shape.box[3] - shape.box[1])
    may = (field.sizes >= [extent - TOLERANCE_MM for extent in size]).all(axis=1)
    may &= field.areas >= area_mm2(shape.ring) - TOLERANCE_MM * perimeter_mm(shape.ring)
    if shape.is_rectangle:
        left, bottom, right, top = Shape(shape.cut, shape.finishes, shape.allowance).box
        may &= field.room(1, right - left).possible >= top - bottom - TOLERANCE_MM
    return any(ask.lies(shape, donor) for donor in field.some(may).donors)


def _rests(ask: Ask, split: Split, field: Field, *, both: bool) -> Iterator[Shape]:
    """What is left beside a part that goes as far as any piece does: on the high side, and if `both` on the low one."""
    for low in (True, False) if both else (True,):
        for _, reach in furthest(Reaches.of(ask, field, split, low=low), 1):
            at = min(reach + CLOSE_MM, split.high) if low else max(reach - CLOSE_MM, split.low)
            for place in (at, nudged_off_the_end(split, at)):
                yield split.halves(place)[1 if low else 0]


def _two_and_two(ask: Ask, split: Split, field: Field) -> bool:
    """True unless no seam of the family has both halves made in two parts.

    The low half only grows with the seam and the high one only shrinks: so each place asked leaves one side of it.
    """
    low, high = split.low, split.high
    while high - low > CLOSE_MM:
        at = (low + high) / 2
        below, above = (_may(ask, half, field, 2) for half in split.halves(at))
        if below and above:
            return True
        if not below and not above:
            return False
        low, high = (at, high) if below else (low, at)
    return True
