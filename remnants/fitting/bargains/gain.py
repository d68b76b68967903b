"""What a change is worth after a yes: what goes, what shows less, and what it costs the eye elsewhere; each sight by its place.

Sights of the two plans are paired by where they are: carpet of a patch beside the floor, a seam on one side of it, one inside.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest

from remnants.fitting.bargains.outcome import lower
from remnants.fitting.bargains.sides import side_name
from remnants.fitting.telling.sights import listed
from remnants.geometry.outline import TOLERANCE_MM, Point
from remnants.model.merit import NO_TROUBLE, Merit, Rank, Trouble
from remnants.model.plan import Plan
from remnants.model.sight import Sight, SightKind
from remnants.units import Unit, write_length

__all__ = ["gain", "shown", "shows"]

SEEN = 2
"""The grade from which on a sight shows."""

INSIDE, ROUND = "inside", "round it"

TROUBLED = (
    *("floors in view or other houses are asked for", "other customers are asked", "floors out of sight are lifted"),
    *("branches are asked of which nobody told how far they are", "km lie between here and what is fetched", "vans are asked"),
)
"""What is done to whom is troubled, in the order of `Trouble`."""

Pair = tuple[Sight | None, Sight | None]
"""A sight before, and the one in its place after."""


def shows(sight: Sight) -> bool:
    """Whether a sight is seen however it turns out. One that may be hard to find, as of a lot not known, asks to be looked at."""
    return sight.worst >= SEEN and sight.best > 0


def shown(merit: Merit) -> tuple[Rank, ...]:
    """Those of the sights that show."""
    return tuple(rank for rank in merit.sights if rank[0] >= SEEN)


def gain(before: Plan, after: Plan, unit: Unit) -> str:
    """What no longer shows and what shows less, then whom it no longer troubles, then all that shows or troubles more.

    "" where nothing shows or troubles less. Lengths of seams are told in `unit`, furniture over them or not.
    """
    several = len(before.patches) > 1
    pairs = list(_pairs(before.sights, after.sights))
    gone = [_with_grade(old, unit, several=several) for old, new in pairs if old and _is_gone(old, new)]
    better = [f"What then no longer shows: {listed(gone)}."] if gone else []
    better += [f"Less shows: {_instead(old, new, several=several)}." for old, new in pairs if old and new and _is_less(old, new)]
    changes = [new - old for old, new in zip(_trouble(before), _trouble(after), strict=True)]
    better += [f"Then fewer {words}." for words, more in zip(TROUBLED, changes, strict=True) if more < 0]
    if not better:
        return ""
    worse = [told for old, new in pairs if new and (told := _more(old, new, unit, several=several))]
    worse += [f"more {words}" for words, more in zip(TROUBLED, changes, strict=True) if more > 0]
    return " ".join([*better, *(f"But {each}." for each in worse)])


def _trouble(plan: Plan) -> Trouble:
    return plan.merit.trouble if plan.merit else NO_TROUBLE


def _rank(sight: Sight) -> Rank:
    return sight.worst, sight.best


def _is_gone(old: Sight, new: Sight | None) -> bool:
    return old.worst >= SEEN if new is None else shows(old) and new.worst < SEEN


def _is_less(old: Sight, new: Sight) -> bool:
    return old.worst >= SEEN and _rank(new) < _rank(old) and not _is_gone(old, new)


def _instead(old: Sight, new: Sight, *, several: bool) -> str:
    return f"{_what(new, several=several)} is {new.words} instead of {old.words}"


def _more(old: Sight | None, new: Sight, unit: Unit, *, several: bool) -> str:
    """What shows more than before of a sight that shows; "" for nothing."""
    if new.worst < SEEN:
        return ""
    if old is None:
        return f"{_what(new, several=several)} is new: {_grade(new, unit)}"
    if _rank(new) > _rank(old):
        return _instead(old, new, several=several)
    if new.length_mm > old.length_mm + TOLERANCE_MM:
        lengths = [write_length(each.length_mm, unit) for each in (new, old)]
        return f"{_what(new, several=several)}, {new.words}, is {lengths[0]} long instead of {lengths[1]}"
    return ""


def _with_grade(sight: Sight, unit: Unit, *, several: bool) -> str:
    return f"{_what(sight, several=several)} ({_grade(sight, unit)})"


def _grade(sight: Sight, unit: Unit) -> str:
    """`24 in, plain`, or of carpet its grade alone."""
    return f"{write_length(sight.length_mm, unit)}, {sight.words}" if sight.line else sight.words


def _what(sight: Sight, *, several: bool) -> str:
    """Which sight it is: `the seam on the left side`, `carpet of R-0188 beside the floor`."""
    of = f" of {sight.patch}" if several and sight.patch else ""
    if sight.kind is SightKind.SHADE:
        words = sight.sentence.partition(" are seen together")[0].partition(": ")[0]
        return lower(words) + of if sight.patch else f"{words} beside each other"
    place = _place(sight)
    return f"the seam {place if place in (INSIDE, ROUND) else f'on the {place} side'}{of}"


def _place(sight: Sight) -> str:
    """Where a seam is: inside, round a patch that has no sides, or on which side of it."""
    if sight.inside:
        return INSIDE
    (ax, ay), (bx, by) = sight.line[0], sight.line[-1]
    chord_mm = math.dist((ax, ay), (bx, by))
    is_straight = sight.length_mm <= chord_mm + TOLERANCE_MM
    return side_name(((by - ay) / chord_mm, (ax - bx) / chord_mm)) if is_straight else ROUND


def _pairs(before: Iterable[Sight], after: Iterable[Sight]) -> Iterator[Pair]:
    """Each sight with the one in its place; of several in one place the nearest, of carpets the plainest first."""
    places: dict[tuple[str, str], tuple[list[Sight], list[Sight]]] = defaultdict(lambda: ([], []))
    for which, sights in enumerate((before, after)):
        for sight in sights:
            place = _place(sight) if sight.kind is SightKind.SEAM else sight.kind.value
            places[sight.patch, place][which].append(sight)
    for (_, place), (old, new) in places.items():
        yield from _by_grade(old, new) if place == SightKind.SHADE.value else _nearest(old, new)


def _by_grade(old: Iterable[Sight], new: Iterable[Sight]) -> Iterator[Pair]:
    yield from zip_longest(*(sorted(each, key=_rank, reverse=True) for each in (old, new)))


def _nearest(old: Sequence[Sight], new: Sequence[Sight]) -> Iterator[Pair]:
    ways = sorted((math.dist(_middle(a), _middle(b)), i, j) for i, a in enumerate(old) for j, b in enumerate(new))
    taken: dict[int, int] = {}
    for _, i, j in ways:
        if i not in taken and j not in taken.values():
            taken[i] = j
    yield from ((each, new[taken[i]] if i in taken else None) for i, each in enumerate(old))
    yield from ((None, each) for j, each in enumerate(new) if j not in taken.values())


def _middle(sight: Sight) -> Point:
    (ax, ay), (bx, by) = sight.line[0], sight.line[-1]
    return (ax + bx) / 2, (ay + by) / 2
