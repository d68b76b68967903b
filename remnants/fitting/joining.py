"""Joined patches by thresholds.

A seam at s leaves a low part that only grows with s and a high part that only shrinks. So each donor has one figure a side,
and some pair of donors makes the patch if and only if the best low figure reaches the best high one. Three and four parts
recurse: one part is pushed as far as its donor goes, and the rest is asked the same question.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from remnants.fitting.ask import AXES, Ask
from remnants.fitting.donor import Donor
from remnants.fitting.layout import Joint, Layout, Leaf
from remnants.fitting.shape import Axis, Shape, Split, splits
from remnants.fitting.showing import points_of
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model.plan import SeamKind

__all__ = ["joined", "pairs"]


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a donor fills a split from one side."""

    donor: Donor
    at: float
    area_mm2: float


def pairs(ask: Ask, shape: Shape, donors: Sequence[Donor], most: int) -> list[Layout]:
    """Two-part layouts of a shape from two different pieces, the most promising first, at most `most`; empty if none exists.

    Ordered by how the seam shows, then by the size of the donors used up (small ones first), then by tag.
    """
    found: list[tuple[tuple[int, float, tuple[str, str]], Split, Reach, Reach]] = []
    for axis in AXES:
        for split in splits(shape, axis):
            lows = _reaches(ask, split, donors, low=True)
            highs = _reaches(ask, split, donors, low=False) if lows else []
            for one, two in _meeting(lows, highs, most):
                points = sum(weight for weight, _ in _grounds(ask, axis, one.donor, two.donor))
                key = (points, one.area_mm2 + two.area_mm2, (one.donor.tag, two.donor.tag))
                found.append((key, split, one, two))
    found.sort(key=lambda option: option[0])
    made: list[Layout] = []
    for _, split, one, two in found[:most]:
        at = position(one, two)
        low, high = split.halves(at)
        made.append(Joint(split, at, Leaf(low, one.donor), Leaf(high, two.donor)))
    return made


def joined(ask: Ask, shape: Shape, donors: Sequence[Donor], parts: int, most: int) -> Iterator[Layout]:
    """Layouts of a shape in exactly `parts` parts, every part from a piece of its own. Nothing if none exists."""
    if parts == 1:
        yield from (Leaf(shape, donor) for donor in donors if ask.lies(shape, donor))
        return
    if parts == 2:
        yield from pairs(ask, shape, donors, most)
        return
    for axis in AXES:
        for split in splits(shape, axis):
            yield from _one_and_rest(ask, split, donors, parts, low=True)
            yield from _one_and_rest(ask, split, donors, parts, low=False)
            if parts == 4:
                yield from _two_and_two(ask, split, donors)


def position(low: Reach, high: Reach) -> float:
    """The seam position (mm) between two thresholds that uses the smaller donor up, the tolerance short of its end."""
    if low.at - high.at <= 4 * TOLERANCE_MM:
        return (low.at + high.at) / 2
    return low.at - TOLERANCE_MM if low.area_mm2 <= high.area_mm2 else high.at + TOLERANCE_MM


def _one_and_rest(ask: Ask, split: Split, donors: Sequence[Donor], parts: int, *, low: bool) -> Iterator[Layout]:
    """One part pushed as far as its donor goes, the rest from the others.

    Only the `parts` furthest-reaching pieces need trying: were a plan made with another, one of these is free and reaches
    further, and the rest only gets smaller.
    """
    reaches = sorted(_reaches(ask, split, donors, low=low), key=lambda reach: (-reach.at if low else reach.at, reach.donor.tag))
    for reach in _first_of_each_piece(reaches, parts):
        others = [donor for donor in donors if donor.tag != reach.donor.tag]
        one, rest = split.halves(reach.at)[:: 1 if low else -1]
        if not rest.wide_enough(ask.min_part_mm):
            continue
        inner = next(iter(joined(ask, rest, others, parts - 1, 1)), None)
        if inner is not None:
            leaf = Leaf(one, reach.donor)
            yield Joint(split, reach.at, leaf, inner) if low else Joint(split, reach.at, inner, leaf)


def _two_and_two(ask: Ask, split: Split, donors: Sequence[Donor]) -> Iterator[Layout]:
    """Both halves joined from two parts each: the low half pushed as far as a pair goes, conflicts settled by exclusion."""
    low, high = split.limits(ask.min_part_mm)
    if low > high:
        return
    pending: list[frozenset[str]] = [frozenset()]
    tried: set[frozenset[str]] = set(pending)
    while pending:
        barred = pending.pop()
        allowed = [donor for donor in donors if donor.tag not in barred]
        reach = _furthest_pair(ask, split, allowed, low, high)
        if reach is None:
            continue
        at, inner = reach
        used = {leaf.donor.tag for leaf in (inner.low, inner.high) if isinstance(leaf, Leaf)}
        others = [donor for donor in donors if donor.tag not in used]
        rest = next(iter(pairs(ask, split.halves(at)[1], others, 1)), None)
        if rest is not None:
            yield Joint(split, at, inner, rest)
            return
        for tag in sorted(used):
            more = barred | {tag}
            if len(more) <= 3 and more not in tried:
                tried.add(more)
                pending.append(more)


def _furthest_pair(ask: Ask, split: Split, donors: Sequence[Donor], low: float, high: float) -> tuple[float, Joint] | None:
    """The greatest position at which the low half can be joined from two of the donors, and how."""

    def made(at: float) -> Joint | None:
        half = split.halves(at)[0]
        layout = next(iter(pairs(ask, half, donors, 1)), None) if half.wide_enough(ask.min_part_mm) else None
        return layout if isinstance(layout, Joint) else None

    best = made(low)
    if best is None:
        return None
    at_end = made(high)
    if at_end is not None:
        return high, at_end
    while high - low > TOLERANCE_MM / 4:
        middle = (low + high) / 2
        layout = made(middle)
        low, high, best = (middle, high, layout) if layout is not None else (low, middle, best)
    return low, best


def _reaches(ask: Ask, split: Split, donors: Sequence[Donor], *, low: bool) -> list[Reach]:
    found = []
    for donor in donors:
        at = ask.threshold(split, low, donor)
        if at is not None:
            found.append(Reach(donor, at, donor.left.usable_area_mm2))
    return found


def _meeting(lows: Sequence[Reach], highs: Sequence[Reach], most: int) -> Iterator[tuple[Reach, Reach]]:
    """Pairs of different pieces whose thresholds meet; from each kind of carpet only those no other pair stands in front of."""
    ends = min((reach.at for reach in highs), default=float("inf"))
    fronts = [_front([r for r in lows if r.at >= ends], most, sign=-1), _front(highs, most, sign=1)]
    for one in fronts[0]:
        for two in fronts[1]:
            if one.at >= two.at and one.donor.tag != two.donor.tag:
                yield one, two


def _front(reaches: Sequence[Reach], most: int, *, sign: int) -> list[Reach]:
    """Of each kind of carpet, the reaches that fewer than `most` others beat in both reach and smallness."""
    kept: list[Reach] = []
    grouped: dict[tuple[object, ...], list[Reach]] = {}
    for reach in sorted(reaches, key=lambda r: (r.area_mm2, sign * r.at, r.donor.tag)):
        piece = reach.donor.candidate.piece
        group = grouped.setdefault((piece.style, piece.colour, piece.lot, piece.worn, reach.donor.turn_deg), [])
        beaten = sum(1 for other in group if sign * other.at <= sign * reach.at)
        if beaten < max(2, most):
            group.append(reach)
            kept.append(reach)
    return kept


def _first_of_each_piece(reaches: Sequence[Reach], most: int) -> list[Reach]:
    found: dict[str, Reach] = {}
    for reach in reaches:
        found.setdefault(reach.donor.tag, reach)
        if len(found) == most:
            break
    return list(found.values())


def _grounds(ask: Ask, axis: Axis, one: Donor, two: Donor) -> list[tuple[int, str]]:
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    turned = (one.turn_deg + one.candidate.piece.pile_deg) != (two.turn_deg + two.candidate.piece.pile_deg)
    return points_of(kind, one.candidate, two.candidate, patch=ask.patch, reversed_pile=turned)
