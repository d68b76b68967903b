"""Questions about leftovers: are they what the cuts leave of each piece, all of it and nothing else?"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Protocol

from remnants.errors import Fault
from remnants.proof.case import Case, Question
from remnants.proof.lines import SLACK_MM
from remnants.proof.regions import Region, gaps, overlap_mm, sticks_out_mm, touching
from remnants.proof.remains import NEAR_MM, Remains

__all__ = ["QUESTIONS"]

MORE_MM = 0.5
"""By so much no side of the largest rectangle can be moved outward without a corner of it coming out."""


SPECKS_MM = 4.0
"""So much edge may all of a piece together have that nothing is told of."""


class Remaining(Protocol):
    """Whoever can be asked what is left: a case with the grounds that are cut."""

    @property
    def remains(self) -> Sequence[Remains]:
        """What is left of each ground that is cut, as it is told."""
        ...

    @property
    def uncut(self) -> Sequence[tuple[str, str]]:
        """Where a leftover is told of something that isn't cut, and of what."""
        ...


def left_inside(case: Remaining) -> Iterator[Fault]:
    """Does every leftover come from a piece that is cut, and lie in it, clear of cutouts?"""
    for where, tag in case.uncut:
        yield Fault(where, f"told of {tag!r}, which no part is cut from")
    for remains in case.remains:
        for rest in remains.rests:
            if out := sticks_out_mm(rest.region, remains.ground.outline, NEAR_MM):
                yield Fault(rest.where, f"reaches {out:.2f} mm outside {remains.tag}")
            if deep := max((overlap_mm(rest.region, cutout, NEAR_MM) for cutout in remains.ground.cutouts), default=0.0):
                yield Fault(rest.where, f"reaches {deep:.2f} mm into a cutout of {remains.tag}")


def left_apart(case: Remaining) -> Iterator[Fault]:
    """Does no leftover share carpet with a cut or with another leftover?"""
    for remains in case.remains:
        for rest in remains.rests:
            if deep := max((overlap_mm(rest.region, cut, NEAR_MM) for cut in remains.cuts), default=0.0):
                yield Fault(rest.where, f"reaches {deep:.2f} mm into a cut from {remains.tag}")
        for one, two in combinations(remains.rests, 2):
            if deep := overlap_mm(one.region, two.region, NEAR_MM):
                yield Fault(one.where, f"lies {deep:.2f} mm over {two.where}")


def left_complete(case: Remaining) -> Iterator[Fault]:
    """Do cuts, cutouts and leftovers leave nothing of a piece untold?

    Specks may be: all of a piece have less than 4 mm of edge together, and so little more than a square millimetre.
    """
    for remains in case.remains:
        regions = [*remains.cuts, *remains.ground.cutouts, *(rest.region for rest in remains.rests)]
        found = gaps(remains.ground.outline, regions, NEAR_MM)
        if sum(gap.length_mm for gap in found) > SPECKS_MM:
            most = max(found, key=lambda gap: gap.length_mm)
            (x1, y1), (x2, y2) = most.start, most.end
            what = f"nothing is told of what lies beside ({x1:.1f}, {y1:.1f}) to ({x2:.1f}, {y2:.1f})"
            yield Fault(f"leftovers of {remains.tag}", what)


def left_whole(case: Remaining) -> Iterator[Fault]:
    """Is what hangs together told as one leftover?"""
    for remains in case.remains:
        for one, two in combinations(remains.rests, 2):
            if one.region.apart_from(two.region, -NEAR_MM):
                continue
            joined = [touch.length_mm for touch in touching(one.region, two.region) if not touch.same_way]
            if max(joined, default=0.0) > 4 * NEAR_MM:
                yield Fault(one.where, f"hangs together with {two.where} over {max(joined):.2f} mm")


def largest(case: Remaining) -> Iterator[Fault]:
    """Does the rectangle told as the largest of a leftover lie in it, and can no side of it be moved outward?"""
    for remains in case.remains:
        for rest in remains.rests:
            where, (x, y), (width, length) = f"{rest.where}.largest", rest.told.largest_at, rest.told.largest
            if not (math.isfinite(x + y) and 0 < width < math.inf and 0 < length < math.inf):
                if (width, length) != (0, 0) or not rest.is_sliver:
                    yield Fault(where, f"{width!r} x {length!r} mm at ({x!r}, {y!r}) is no rectangle")
                continue
            if out := sticks_out_mm(_box(x, y, x + width, y + length), rest.along_pile):
                yield Fault(where, f"reaches {out:.2f} mm outside the leftover")
                continue
            sides = {
                "left": _box(x - MORE_MM, y, x, y + length),
                "right": _box(x + width, y, x + width + MORE_MM, y + length),
                "lower": _box(x, y - MORE_MM, x + width, y),
                "upper": _box(x, y + length, x + width, y + length + MORE_MM),
            }
            for side, strip in sides.items():
                if not sticks_out_mm(strip, rest.along_pile, SLACK_MM):
                    yield Fault(where, f"its {side} side can be moved outward by {MORE_MM:g} mm or more")


def _box(left: float, low: float, right: float, high: float) -> Region:
    return Region((((left, low), (right, low), (right, high), (left, high)),))


def worth(case: Case) -> Iterator[Fault]:
    """Is no leftover told as waste whose largest rectangle is as short and as long at least as that of one told as usable?

    What a person chose to keep or to throw away is passed over.
    """
    sizes = [(min(left.largest), max(left.largest), left) for left in case.plan.leftovers if not left.chosen]
    for short, long, waste in sizes:
        kept = [left for least, most, left in sizes if left.usable and short >= least and long >= most]
        if not waste.usable and kept:
            what = f"told as waste, and one of {kept[0].piece} that is no larger as usable"
            yield Fault(f"leftovers of {waste.piece}", what)


QUESTIONS: tuple[Question, ...] = (
    left_inside,
    left_apart,
    left_complete,
    left_whole,
    largest,
    worth,
)
