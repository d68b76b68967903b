"""Three and four parts, each from a piece of its own: one part pushed as far as its donor goes, or two pairs, and the rest."""

import heapq
from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Layout, Leaf, leaves
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.seam_places import pairs
from remnants.fitting.patch.shape import Axis, Shape, Split, splits
from remnants.geometry.outline import TOLERANCE_MM, area_mm2, perimeter_mm
from remnants.geometry.tolerances import NUDGE_MM

__all__ = ["furthest", "joined", "nudged_off_the_end"]


def joined(ask: Ask, shape: Shape, field: Field, parts: int, axes: Sequence[Axis] = AXES) -> Iterator[Layout]:
    """Layouts of a shape in exactly `parts` parts (two or more), each from a piece of its own. Nothing if none exists.

    Of three and more the first seam is square to one of the axes.
    """
    ask.go_on()
    if too_little_carpet(shape, field, parts):
        return
    if parts == 2:
        yield from (layout for _, layout in pairs(ask, shape, field))
        return
    for axis in axes:
        for split in splits(shape, axis):
            yield from _one_and_rest(ask, split, field, parts, low=True)
            yield from _one_and_rest(ask, split, field, parts, low=False)
            if parts == 4:
                yield from _two_and_two(ask, split, field)


def too_little_carpet(shape: Shape, field: Field, parts: int) -> bool:
    """True if as many of the largest pieces together have less carpet than the shape."""
    needed_mm2 = area_mm2(shape.ring) - parts * TOLERANCE_MM * perimeter_mm(shape.ring)
    return float(field.largest_areas[:parts].sum()) < needed_mm2


def _one_and_rest(ask: Ask, split: Split, field: Field, parts: int, *, low: bool) -> Iterator[Layout]:
    """One part pushed as far as its donor goes, the rest from the others.

    Only the `parts` furthest-reaching pieces need trying: were a plan made with another, one of these is free and reaches
    further, and the rest only gets smaller. Where that leaves the rest too narrow for so many parts beside one another, it is
    pushed only so far that there is room for them.
    """
    for donor, reach in furthest(Reaches.of(ask, field, split, low=low), parts):
        for at in _with_room(split, reach, parts - 1, ask.min_part_mm, low=low):
            rest = split.halves(at)[1 if low else 0]
            if not rest.wide_enough(ask.min_part_mm):
                continue
            inner = next(joined(ask, rest, field.without({donor.tag}), parts - 1), None)
            if inner is not None:
                place, inner = _eased(ask, split, field, (at, inner), donor, low=low)
                leaf = Leaf(split.halves(place)[0 if low else 1], donor)
                yield Joint(split, place, leaf, inner) if low else Joint(split, place, inner, leaf)


EASES_MM = tuple(TOLERANCE_MM / 2 * 2**step for step in range(8))
"""So much nearer a seam is set than its limit, the least that will do. On a piece that lies a degree or two askew a hundredth
more or less in its length is half a millimetre in how far a part of it goes."""


def _eased(ask: Ask, split: Split, field: Field, found: tuple[float, Layout], donor: Donor, *, low: bool) -> tuple[float, Layout]:
    """The same with the seam half the tolerance nearer, or more until the part lies, where the rest still comes of its pieces.

    At its limit a part uses up all that is forgiven, and its cut lies a hair outside the piece all round.
    """
    at, inner = found
    tags = {leaf.donor.tag for leaf in leaves(inner)}
    for ease in EASES_MM:
        nearer = at - ease if low else at + ease
        if not split.low + TOLERANCE_MM < nearer < split.high - TOLERANCE_MM:
            break
        one, rest = split.halves(nearer)[:: 1 if low else -1]
        if not (one.wide_enough(ask.min_part_mm) and rest.wide_enough(ask.min_part_mm)):
            break
        if ask.lies(one, donor):
            own = field.without({donor.tag for donor in field.donors} - tags)
            eased = next(joined(ask, rest, own, len(leaves(inner))), None)
            return found if eased is None else (nearer, eased)
    return found


def nudged_off_the_end(split: Split, at: float) -> float:
    """The position a nudge off an end of its family, where it is there: at a corner of the patch a mitre can ask for more."""
    if split.shape.is_rectangle or split.high - split.low <= 2 * NUDGE_MM:
        return at
    return min(max(at, split.low + NUDGE_MM), split.high - NUDGE_MM)


def _with_room(split: Split, reach: float, parts: int, least_mm: float, *, low: bool) -> list[float]:
    """The furthest position, a nudge off the end of its family too, and those nearer that leave room for more parts in a row.

    For two and more, up to `parts`, of the narrowest.
    """
    places = [reach]
    nudged = nudged_off_the_end(split, reach)
    places += [nudged] if nudged != reach else []
    end = split.shape.box[split.axis + (2 if low else 0)]
    for many in range(2, parts + 1):
        at = end - many * least_mm if low else end + many * least_mm
        if (split.low <= at < reach - TOLERANCE_MM) if low else (reach + TOLERANCE_MM < at <= split.high):
            places.append(at)
    return places


def furthest(reaches: Reaches, most: int) -> list[tuple[Donor, float]]:
    """The furthest-reaching donors of different pieces with their true figures, the furthest first."""
    found: dict[str, tuple[Donor, float]] = {}
    sign = -1.0 if reaches.low else 1.0
    queue = [(sign * float(at), index) for index, at in enumerate(reaches.at) if not np.isnan(at)]
    heapq.heapify(queue)
    while queue and len(found) < most:
        told, index = heapq.heappop(queue)
        true = sign * reaches.settle(index)
        if np.isnan(true):
            continue
        if true > told:
            heapq.heappush(queue, (true, index))
            continue
        donor = reaches.field.donors[index]
        found.setdefault(donor.tag, (donor, sign * true))
    return list(found.values())


def _two_and_two(ask: Ask, split: Split, field: Field) -> Iterator[Layout]:
    """Both halves joined from two parts each: the low half pushed as far as a pair goes, conflicts settled by exclusion.

    Two parts beside one another need twice the narrowest: so the low half starts, and the high half ends, with room for them.
    """
    low, high = split.limits(ask.min_part_mm)
    if low > high:
        return
    left, right = (split.shape.box[split.axis + end] for end in (0, 2))
    starts = dict.fromkeys((low, max(low, left + 2 * ask.min_part_mm)))
    ends = dict.fromkeys((high, min(high, right - 2 * ask.min_part_mm)))
    for first, last in product(starts, ends):
        if first <= last:
            found = _two_pairs(ask, split, field, first, last)
            if found is not None:
                yield found
                return


def _two_pairs(ask: Ask, split: Split, field: Field, low: float, high: float) -> Layout | None:
    """As above, with the seam between two positions."""
    pending: list[frozenset[str]] = [frozenset()]
    tried: set[frozenset[str]] = set(pending)
    while pending:
        barred = pending.pop()
        reach = _furthest_pair(ask, split, field.without(barred), low, high)
        if reach is None:
            continue
        at, inner = reach
        used = frozenset(leaf.donor.tag for leaf in (inner.low, inner.high) if isinstance(leaf, Leaf))
        rest = next(pairs(ask, split.halves(at)[1], field.without(used)), None)
        if rest is not None:
            return Joint(split, at, inner, rest[1])
        for tag in sorted(used):
            more = barred | {tag}
            if len(more) <= 3 and more not in tried:
                tried.add(more)
                pending.append(more)
    return None


def _furthest_pair(ask: Ask, split: Split, field: Field, low: float, high: float) -> tuple[float, Joint] | None:
    """The greatest position at which the low half can be joined from two of the donors, and how."""

    def made(at: float) -> Joint | None:
        half = split.halves(at)[0]
        may = half.wide_enough(ask.min_part_mm) and not too_little_carpet(half, field, 2)
        found = next(pairs(ask, half, field), None) if may else None
        return found[1] if found is not None and isinstance(found[1], Joint) else None

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
