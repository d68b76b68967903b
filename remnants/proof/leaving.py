"""Questions about leftovers: are they what the cuts leave of each piece, all of it and nothing else?"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from remnants.errors import Fault
from remnants.model.plan import Leftover
from remnants.proof.case import Case, Ground, Question
from remnants.proof.lines import TOLERANCE_MM
from remnants.proof.regions import Region, can_be_left, gaps, overlap_mm, region_of, sticks_out_mm, touching

__all__ = ["QUESTIONS"]

NEAR_MM = math.sqrt(2) * TOLERANCE_MM + 1e-4
"""Corners of what is left are set on those of the piece, across and along each within the tolerance; this is aslant."""

MORE_MM = 0.5
"""By so much no side of the largest rectangle can be moved outward,"""
OUT_MM = 1e-4
"""without a corner of it coming out by this: so little where an edge runs almost along the side."""


@dataclass(frozen=True, eq=False)
class Rest:
    """A told leftover whose outline is sound, of a piece that is cut; `where` it is told."""

    where: str
    told: Leftover
    ground: Ground
    region: Region
    cuts: tuple[Region, ...]


def _rests(case: Case) -> list[Rest]:
    found = []
    for number, left in enumerate(case.plan.leftovers):
        cuts = _cuts(case, left.piece)
        if cuts and left.piece in case.grounds and can_be_left(left.outline.ring, left.outline.cutouts):
            region = region_of(left.outline.ring, left.outline.cutouts)
            found.append(Rest(f"leftovers[{number}]", left, case.grounds[left.piece], region, cuts))
    return found


def _cuts(case: Case, tag: str) -> tuple[Region, ...]:
    return tuple(laid.cut for laid in case.laid if laid.part.piece == tag)


def left_inside(case: Case) -> Iterator[Fault]:
    """Does every leftover come from a piece that is cut, and lie in it, clear of cutouts?"""
    cut = {part.piece for made in case.plan.patches for part in made.parts}
    for number, left in enumerate(case.plan.leftovers):
        if left.piece not in cut:
            yield Fault(f"leftovers[{number}]", f"told of {left.piece!r}, which no part is cut from")
    for rest in _rests(case):
        if out := sticks_out_mm(rest.region, rest.ground.outline, NEAR_MM):
            yield Fault(rest.where, f"reaches {out:.2f} mm outside {rest.told.piece}")
        if deep := max((overlap_mm(rest.region, cutout, NEAR_MM) for cutout in rest.ground.cutouts), default=0.0):
            yield Fault(rest.where, f"reaches {deep:.2f} mm into a cutout of {rest.told.piece}")


def left_apart(case: Case) -> Iterator[Fault]:
    """Does no leftover share carpet with a cut or with another leftover?"""
    rests = _rests(case)
    for rest in rests:
        if deep := max((overlap_mm(rest.region, cut, NEAR_MM) for cut in rest.cuts), default=0.0):
            yield Fault(rest.where, f"reaches {deep:.2f} mm into a cut from {rest.told.piece}")
    for one, two in combinations(rests, 2):
        if one.told.piece == two.told.piece and (deep := overlap_mm(one.region, two.region, NEAR_MM)):
            yield Fault(one.where, f"lies {deep:.2f} mm over {two.where}")


def left_complete(case: Case) -> Iterator[Fault]:
    """Do cuts, cutouts and leftovers leave nothing of a piece untold?"""
    rests = _rests(case)
    for tag, ground in case.grounds.items():
        cuts = _cuts(case, tag)
        if not cuts:
            continue
        left = [rest.region for rest in rests if rest.told.piece == tag]
        found = gaps(ground.outline, [*cuts, *ground.cutouts, *left], NEAR_MM)
        if found:
            most = max(found, key=lambda gap: gap.length_mm)
            (x1, y1), (x2, y2) = most.start, most.end
            what = f"nothing is told of what lies beside ({x1:.1f}, {y1:.1f}) to ({x2:.1f}, {y2:.1f})"
            yield Fault(f"leftovers of {tag}", what)


def left_whole(case: Case) -> Iterator[Fault]:
    """Is what hangs together told as one leftover?"""
    for one, two in combinations(_rests(case), 2):
        if one.told.piece != two.told.piece or one.region.apart_from(two.region, -NEAR_MM):
            continue
        joined = [touch.length_mm for touch in touching(one.region, two.region) if not touch.same_way]
        if max(joined, default=0.0) > 4 * NEAR_MM:
            yield Fault(one.where, f"hangs together with {two.where} over {max(joined):.2f} mm")


def largest(case: Case) -> Iterator[Fault]:
    """Does the rectangle told as the largest of a leftover lie in it, and can no side of it be moved outward?"""
    for rest in _rests(case):
        (x, y), (width, length) = rest.told.largest_at, rest.told.largest
        if not (math.isfinite(x + y) and 0 < width < math.inf and 0 < length < math.inf):
            yield Fault(f"{rest.where}.largest", f"{width!r} x {length!r} mm at ({x!r}, {y!r}) is no rectangle")
            continue
        if out := sticks_out_mm(_box(x, y, x + width, y + length), rest.region):
            yield Fault(f"{rest.where}.largest", f"reaches {out:.2f} mm outside the leftover")
            continue
        sides = {
            "left": _box(x - MORE_MM, y, x, y + length),
            "right": _box(x + width, y, x + width + MORE_MM, y + length),
            "lower": _box(x, y - MORE_MM, x + width, y),
            "upper": _box(x, y + length, x + width, y + length + MORE_MM),
        }
        for side, strip in sides.items():
            if not sticks_out_mm(strip, rest.region, OUT_MM):
                yield Fault(f"{rest.where}.largest", f"its {side} side can be moved outward by {MORE_MM:g} mm or more")


def _box(left: float, low: float, right: float, high: float) -> Region:
    return Region((((left, low), (right, low), (right, high), (left, high)),))


def worth(case: Case) -> Iterator[Fault]:
    """Is no leftover told as waste whose largest rectangle is as short and as long at least as that of one told as usable?"""
    sizes = [(min(left.largest), max(left.largest), left) for left in case.plan.leftovers]
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
