"""Where along a family of seams something changes its kind: the events, and the stretches between them.

Between two events every corner of both cuts moves straight with the seam, so that a linear programme can read them.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import pairwise

from remnants.fitting.patch.shape import Shape, Split
from remnants.geometry.outline import TOLERANCE_MM, Ring
from remnants.geometry.tolerances import EVENT_MM, NUDGE_MM

__all__ = ["events", "stretches"]

STRAIGHT_MM = TOLERANCE_MM / 30
"""How far a corner may stray from a straight path: three times the grid that strips are united on."""

MOST_LOOKED_AT = 2000
"""Seam positions looked at for the events of one family."""


@lru_cache(maxsize=256)
def events(split: Split) -> tuple[tuple[float, ...], bool]:
    """The seam positions (mm) at which a cut of either half changes its kind, both ends among them, lowest first.

    A corner of the patch, an allowance that meets a corner, a mitre that begins or ends. Whatever else is to count as an event
    of a seam (a doorway, a lane, furniture) belongs here. False beside them if there were too many to find.
    """
    low, high = split.low, split.high
    if split.shape.is_rectangle or high - low <= 4 * NUDGE_MM:
        return (low, high), True
    found, looked = [low], 0
    waiting = [(low + NUDGE_MM, high - NUDGE_MM)]
    while waiting and looked < MOST_LOOKED_AT:
        start, end = waiting.pop()
        looked += 1
        if _straight(split, start, end):
            continue
        middle = (start + end) / 2
        if end - start <= EVENT_MM:
            if middle - found[-1] > NUDGE_MM:
                found.append(middle)
            continue
        waiting += [(middle, end), (start, middle)]
    return (*found, high), not waiting


def stretches(split: Split, least: float, greatest: float) -> tuple[tuple[tuple[float, float], ...], tuple[float, ...], bool]:
    """What of a range of seam positions lies between two events, the events in it, and whether that is all of them.

    Stretches keep a nudge off each event: right there a corner is taken away.
    """
    found, complete = events(split)
    inner = [(max(least, low + NUDGE_MM), min(greatest, high - NUDGE_MM)) for low, high in pairwise(found)]
    at = tuple(event for event in found if least - NUDGE_MM <= event <= greatest + NUDGE_MM)
    return tuple((low, high) for low, high in inner if low <= high), at, complete


def _straight(split: Split, start: float, end: float) -> bool:
    """True if the corners of both cuts move straight between two positions, as seen from both ends and two places between."""
    for side in (0, 1):
        ends = (_cut(split, start, side), _cut(split, end, side))
        between = [(share, _cut(split, start + share * (end - start), side)) for share in (0.5, 0.25)]
        if len({len(cut) for cut in (*ends, *(cut for _, cut in between))}) != 1 or not ends[0]:
            return False
        if not any(_moves_straight(ends[0], turned, between) for turned in _starts(ends[1])):
            return False
    return True


def _cut(split: Split, at: float, side: int) -> Ring:
    """The cut of a half; nothing where the half is pinched."""
    half: Shape = split.halves(at)[side]
    return half.cut if half.is_simple else ()


def _starts(ring: Ring) -> Iterator[Ring]:
    """The ring begun at each of its corners: where strips were united, like rings begin anywhere."""
    return (ring[place:] + ring[:place] for place in range(len(ring)))


def _moves_straight(one: Ring, two: Ring, between: Sequence[tuple[float, Ring]]) -> bool:
    return all(any(_on_the_way(one, two, told, share) for told in _starts(cut)) for share, cut in between)


def _on_the_way(one: Ring, two: Ring, told: Ring, share: float) -> bool:
    """True if each corner is so far on from its place in the one towards that in the other."""
    return all(
        abs(a[axis] + share * (b[axis] - a[axis]) - c[axis]) <= STRAIGHT_MM
        for a, b, c in zip(one, two, told, strict=True)
        for axis in (0, 1)
    )
