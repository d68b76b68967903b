"""Layouts in which one donor supplies several parts, the seams still free."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Layout, Leaf
from remnants.fitting.patch.question import AXES, NUDGE_MM, Ask
from remnants.fitting.patch.room_on_donors import Field, Reaches
from remnants.fitting.patch.same_donor import Effort, Free, Row, free_part, place_together
from remnants.fitting.patch.shape import Axis, Shape, Split, splits
from remnants.geometry.lie import apart, overlap, region
from remnants.geometry.outline import TOLERANCE_MM, Point, area_mm2, perimeter_mm
from remnants.geometry.turn import moved_ring

__all__ = ["HALVINGS", "Option", "foretells", "free_halves", "one_donor_pairs", "shared_donors"]

HALVINGS = 12
"""How often a range of seam positions is halved where the cuts' corners don't move straight over all of it."""

STEP_MM = 1.0
"""How far a seam is moved to see which corners move with it."""

MOST_ASSIGNMENTS = 400
"""Ways to share out three or four parts over donors that are tried where one donor gives several but not all."""


MOST_WAYS = 20_000
"""Ways to share them out that are looked at for those."""


@dataclass(frozen=True, eq=False)
class Option:
    """A layout, and the moves of its leaves where they are settled already (None: each is free on its own donor)."""

    layout: Layout
    moves: tuple[Point, ...] | None = None


def one_donor_pairs(
    ask: Ask, shape: Shape, field: Field, tries: int | None = None, *, axes: Sequence[Axis] = AXES
) -> Iterator[Option]:
    """Two parts from one donor, the smallest donors first. Nothing if none can give both (of the first `tries`, if given).

    Seams are tried along the pile, across it, or both (`axes`); beside a doorway up to three places of the seam for each donor.
    """
    families = [split for axis in axes for split in splits(shape, axis)]
    reaches = [(Reaches.of(ask, field, split, low=True), Reaches.of(ask, field, split, low=False)) for split in families]
    may = [lows.at >= highs.at - TOLERANCE_MM for lows, highs in reaches]
    any_may = np.logical_or.reduce(may) if may else np.zeros(len(field.donors), dtype=bool)
    places = np.flatnonzero(any_may & (field.areas >= area_mm2(shape.ring) - TOLERANCE_MM * perimeter_mm(shape.ring)))
    for place in places[np.argsort(field.areas[places], kind="stable")][:tries]:
        donor = field.donors[place]
        for split, (lows, highs), can in zip(families, reaches, may, strict=True):
            if not can[place]:
                continue
            low, high = lows.settle(int(place)), highs.settle(int(place))
            if not low >= high - TOLERANCE_MM or not _room(split, (low + high) / 2, donor):
                continue
            try:
                option = _both(ask, split, donor, min(high, low), max(high, low))
            except GaveUp:
                ask.undecided.add(f"both parts from {donor.tag}")
                continue
            if option is not None:
                yield option
                if ask.by_doorway and ask.motif is None:
                    yield from _at_ends(split, donor, min(high, low), max(high, low))


def _at_ends(split: Split, donor: Donor, least: float, greatest: float) -> Iterator[Option]:
    """The same parts with the seam at either end of its range: where it lies matters beside a doorway."""
    if greatest - least > 4 * TOLERANCE_MM:
        for at in (least + TOLERANCE_MM, greatest - TOLERANCE_MM):
            option = _both_at(split, donor, (at,))
            if option is not None:
                yield option


def _room(split: Split, at: float, donor: Donor) -> bool:
    """True unless the two parts together have more area than the donor.

    A rectangle's two cuts have one area wherever the seam falls; of other shapes only the nets have.
    """
    halves = split.halves(at)
    needed = sum(area_mm2(half.cut if split.shape.is_rectangle else half.ring) for half in halves)
    dust = 2 * TOLERANCE_MM * donor.left.usable.length
    return bool(needed <= donor.left.usable_area_mm2 + dust)


def _both(ask: Ask, split: Split, donor: Donor, least: float, greatest: float) -> Option | None:
    if ask.motif is not None and donor.candidate.style.repeat is not None:
        return _both_on_lattice(ask, split, donor, least, greatest)
    ends = [at for at in (least, greatest) if min(abs(at - split.low), abs(at - split.high)) <= NUDGE_MM]
    effort = Effort(ask.programmes)
    found = _between(split, donor, (max(least, split.low + NUDGE_MM), min(greatest, split.high - NUDGE_MM)), HALVINGS, effort)
    return found or _both_at(split, donor, ends)


def _between(split: Split, donor: Donor, limits: tuple[float, float], halvings: int, effort: Effort) -> Option | None:
    """Both halves with the seam free between two positions, halved where the corners of the cuts don't move straight."""
    least, greatest = limits
    if least > greatest:
        return None
    middle = (least + greatest) / 2
    frees = free_halves(split, (donor, donor), middle)
    if frees is None or not all(foretells(frees, split, at) for at in (least, greatest)):
        if not halvings:
            return _both_at(split, donor, (middle,))
        below = _between(split, donor, (least, middle), halvings - 1, effort)
        return below or _between(split, donor, (middle, greatest), halvings - 1, effort)
    found = place_together(frees, [(least, greatest)], effort=effort)
    if found is None:
        return None
    (position,), moves = found
    return _option(split, position, donor, moves)


def free_halves(split: Split, donors: tuple[Donor, Donor], middle: float) -> tuple[Free, Free] | None:
    """Both halves as parts whose corners move with the seam, read off at and beside `middle`."""
    step = min(STEP_MM, (split.high - split.low) / 4)
    near = middle - step if middle + step > split.high else middle + step
    at, moved = split.halves(middle), split.halves(near)
    parts = [
        free_part(donor, (half, other), (middle,), (near - middle,)) for donor, half, other in zip(donors, at, moved, strict=True)
    ]
    low, high = parts
    return None if low is None or high is None else (low, high)


def foretells(frees: tuple[Free, Free], split: Split, at: float) -> bool:
    """True if the halves' cuts at a seam position are what straight-moving corners say."""
    for free, half in zip(frees, split.halves(at), strict=True):
        told = {(round(float(x), 3), round(float(y), 3)) for share in free.at((at,)) for x, y in share}
        if len(told) != len(half.cut) or not all(
            min(abs(x - tx) + abs(y - ty) for tx, ty in told) <= TOLERANCE_MM / 2 for x, y in half.cut
        ):
            return False
    return True


def _option(split: Split, at: float, donor: Donor, moves: tuple[Point, ...]) -> Option:
    low, high = split.halves(at)
    return Option(Joint(split, at, Leaf(low, donor), Leaf(high, donor)), moves)


def _both_at(split: Split, donor: Donor, positions: Sequence[float]) -> Option | None:
    """Both halves at one of a few seam positions, exact for each."""
    for at in positions:
        low, high = split.halves(at)
        if not (low.is_simple and high.is_simple):
            continue
        moves = apart(low.cut, high.cut, region(donor.ground, low.cut), region(donor.ground, high.cut))
        if moves is not None:
            return _option(split, at, donor, moves)
    return None


def _both_on_lattice(ask: Ask, split: Split, donor: Donor, least: float, greatest: float) -> Option | None:
    """Both halves on lattice moves, at either end of the seam's range and in its middle."""
    for at in (least, (least + greatest) / 2, greatest):
        low, high = split.halves(at)
        for one, two in product(ask.moves(low, donor) or (), ask.moves(high, donor) or ()):
            if _clear(low, one, high, two):
                return _option(split, at, donor, (one, two))
    return None


def _clear(low: Shape, one: Point, high: Shape, two: Point) -> bool:
    """True if two cuts at these moves don't overlap."""
    return not overlap(moved_ring(low.cut, one), moved_ring(high.cut, two))


Tree = tuple[Axis, "Tree", "Tree"] | None
"""How a shape is split: an axis, then the low and the high side; None is a part."""


def shared_donors(ask: Ask, shape: Shape, donors: Sequence[Donor], parts: int) -> Iterator[Option]:
    """Layouts of a rectangle in three or four parts of which one donor gives two or more. Other shapes give nothing."""
    if not shape.is_rectangle or ask.motif is not None:
        ask.undecided.add(f"several of {parts} parts from one piece, for a patch that is no plain rectangle")
        return
    ordered = sorted(donors, key=lambda donor: (donor.left.usable_area_mm2, donor.tag))
    whole_need = area_mm2(shape.cut) - 2 * TOLERANCE_MM * perimeter_mm(shape.cut)
    alone = [(donor,) * parts for donor in ordered if donor.left.usable_area_mm2 >= whole_need]
    ways = product(ordered[::-1], repeat=parts)  # large donors first: they are likelier to give several parts
    mixed = [given for given in islice(ways, MOST_WAYS) if _is_mixed(given, parts, whole_need)]
    for given in (*alone, *mixed[:MOST_ASSIGNMENTS]):
        for tree in _trees(parts):
            try:
                option = _arranged(ask, shape, tree, given)
            except GaveUp:
                ask.undecided.add(f"several parts from {' and '.join(sorted({donor.tag for donor in given}))}")
                continue
            if option is not None:
                yield option
    if len(mixed) > MOST_ASSIGNMENTS or next(ways, None) is not None:
        ask.undecided.add(f"more than {MOST_ASSIGNMENTS} ways to take several of {parts} parts from one piece")


def _is_mixed(given: Sequence[Donor], parts: int, needed_mm2: float) -> bool:
    """True if one donor gives several parts but not all, each piece lies one way, and the donors have area enough."""
    pieces = {donor.tag: donor.left.usable_area_mm2 for donor in given}
    return len(set(given)) == len(pieces) and 1 < len(pieces) < parts and sum(pieces.values()) >= needed_mm2


def _arranged(ask: Ask, shape: Shape, tree: Tree, given: Sequence[Donor]) -> Option | None:
    """The tree's parts on the given donors, or None."""
    seams = len(given) - 1
    origin = _even(shape, tree)
    at = _shapes(shape, tree, origin)
    moved = [_shapes(shape, tree, [s + (STEP_MM if k == j else 0.0) for j, s in enumerate(origin)]) for k in range(seams)]
    frees = []
    for index, donor in enumerate(given):
        free = free_part(donor, (at[index], *(shapes[index] for shapes in moved)), origin, [STEP_MM] * seams)
        if free is None:
            return None
        frees.append(free)
    limits = [(shape.box[axis], shape.box[axis + 2]) for axis in _axes(tree)]
    found = place_together(frees, limits, _wide_enough(shape, tree, ask.min_part_mm), Effort(ask.programmes))
    if found is None:
        return None
    positions, moves = found
    return Option(_layout(shape, tree, list(positions), list(given)), moves)


def _trees(parts: int) -> list[Tree]:
    """Every way to split into so many parts; splits along one axis one after the other are told once."""
    if parts == 1:
        return [None]
    return [
        (axis, low, high)
        for axis in AXES
        for first in range(1, parts)
        for low in _trees(first)
        for high in _trees(parts - first)
        if low is None or low[0] is not axis
    ]


def _axes(tree: Tree) -> list[Axis]:
    """The axis of each seam, outermost first, low side before high."""
    return [] if tree is None else [tree[0], *_axes(tree[1]), *_axes(tree[2])]


def _parts(tree: Tree) -> int:
    return 1 if tree is None else _parts(tree[1]) + _parts(tree[2])


def _even(shape: Shape, tree: Tree) -> list[float]:
    """Seam positions that give every part an even share."""
    if tree is None:
        return []
    axis, low, high = tree
    share = _parts(low) / _parts(tree)
    at = shape.box[axis] + share * shape.extent(axis)
    below, above = next(iter(splits(shape, axis))).halves(at)
    return [at, *_even(below, low), *_even(above, high)]


def _shapes(shape: Shape, tree: Tree, positions: Sequence[float]) -> list[Shape]:
    """The parts at these seam positions, low side first."""
    layout_positions = list(positions)

    def walk(inner: Shape, node: Tree) -> list[Shape]:
        if node is None:
            return [inner]
        below, above = next(iter(splits(inner, node[0]))).halves(layout_positions.pop(0))
        return walk(below, node[1]) + walk(above, node[2])

    return walk(shape, tree)


def _layout(shape: Shape, tree: Tree, positions: list[float], given: list[Donor]) -> Layout:
    if tree is None:
        return Leaf(shape, given.pop(0))
    split = next(iter(splits(shape, tree[0])))
    at = positions.pop(0)
    below, above = split.halves(at)
    low = _layout(below, tree[1], positions, given)
    return Joint(split, at, low, _layout(above, tree[2], positions, given))


def _wide_enough(shape: Shape, tree: Tree, min_part_mm: float) -> list[Row]:
    """Conditions on the seam positions: no part narrower than allowed along an axis that a seam has cut."""
    least = max(min_part_mm, TOLERANCE_MM)
    rows: list[Row] = []
    count = iter(range(_parts(tree)))

    def walk(node: Tree, ends: dict[tuple[Axis, int], int]) -> None:
        if node is None:
            for axis in AXES:
                low, high = ends.get((axis, 0)), ends.get((axis, 1))
                if low is None and high is None:
                    continue
                # low end - high end <= -least, with the shape's own edge where no seam is
                coefficients = ({low: 1.0} if low is not None else {}) | ({high: -1.0} if high is not None else {})
                side = -least
                side -= shape.box[axis] if low is None else 0.0
                side += shape.box[axis + 2] if high is None else 0.0
                rows.append((coefficients, side))
            return
        seam = next(count)
        walk(node[1], ends | {(node[0], 1): seam})
        walk(node[2], ends | {(node[0], 0): seam})

    walk(tree, {})
    return rows
