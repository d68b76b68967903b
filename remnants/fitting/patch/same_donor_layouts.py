"""Layouts in which one donor supplies several of three or four parts, the seams still free."""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.free_parts import Free, free_part
from remnants.fitting.patch.layout import Joint, Layout, Leaf
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.same_donor import Effort, Row, place_together
from remnants.fitting.patch.seam_intervals import STEP_MM
from remnants.fitting.patch.shape import Axis, Shape, Split, splits
from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, area_mm2, bounds, perimeter_mm
from remnants.geometry.tolerances import DUST_MM

__all__ = ["Option", "Seamed", "shared_donors"]

MOST_ASSIGNMENTS = 400
"""Ways to share out three or four parts over donors that are tried where one donor gives several but not all."""


MOST_WAYS = 20_000
"""Ways to share them out that are looked at for those."""


@dataclass(frozen=True, eq=False)
class Option:
    """A layout, and the moves of its leaves where they are settled already (None: each is free on its own donor)."""

    layout: Layout
    moves: tuple[Point, ...] | None = None


Tree = tuple[Axis, "Tree", "Tree"] | None
"""How a shape is split: an axis, then the low and the high side; None is a part."""


def shared_donors(
    ask: Ask,
    shape: Shape,
    donors: Sequence[Donor],
    parts: int,
    *,
    among: Sequence[Collection[str]] | None = None,
    may_win: Callable[[Sequence[Donor], tuple[Axis, ...]], bool] = lambda _given, _axes: True,
    effort: Callable[[], Effort] | None = None,
) -> Iterator[Option]:
    """Layouts of a plain rectangle in three or four parts of which one donor gives two or more.

    `among`: the sets of pieces of which one holds all that a layout is cut from; None: any. `may_win`: whether the donor of each
    part, with the axis of each line that the seams lie along at the least, is worth laying; asked anew each time. `effort`: what
    laying them is worth; None: as the question has it.
    """

    def may(given: Sequence[Donor]) -> bool:
        tags = {donor.tag for donor in given}
        return among is None or any(tags.issubset(pieces) for pieces in among)

    ordered = sorted(donors, key=lambda donor: (donor.left.usable_area_mm2, donor.tag))
    whole_need = area_mm2(shape.cut) - 2 * TOLERANCE_MM * perimeter_mm(shape.cut)
    alone = [(donor,) * parts for donor in ordered if donor.left.usable_area_mm2 >= whole_need and may((donor,))]
    ordered = [donor for donor in ordered if among is None or any(donor.tag in pieces for pieces in among)]
    ways = product(ordered[::-1], repeat=parts)  # large donors first: they are likelier to give several parts
    mixed = [given for given in islice(ways, MOST_WAYS) if _is_mixed(given, parts, whole_need) and may(given)]
    trees = Seamed.all_of(shape, donors[0], ask.min_part_mm, parts=parts) if donors else []
    kinds, impossible = dict[Outline, int](), set[object]()
    for given in (*alone, *mixed[:MOST_ASSIGNMENTS]):
        for tree in trees:
            if not may_win(given, tree.lines) or tree.is_too_wide_for(given):
                continue
            alike = tree.alike(given, kinds)
            if alike is not None and alike in impossible:
                continue
            try:
                option = tree.laid_on(given, (effort or ask.effort)())
            except GaveUp:
                ask.undecided.add(f"several parts from {' and '.join(sorted({donor.tag for donor in given}))}")
                continue
            if option is not None:
                yield option
            else:
                impossible.add(alike)
    if len(mixed) > MOST_ASSIGNMENTS or next(ways, None) is not None:
        ask.undecided.add(f"more than {MOST_ASSIGNMENTS} ways to take several of {parts} parts from one piece")


def _is_mixed(given: Sequence[Donor], parts: int, needed_mm2: float) -> bool:
    """True if one donor gives several parts but not all, each piece lies one way, and the donors have area enough."""
    pieces = {donor.tag: donor.left.usable_area_mm2 for donor in given}
    return len(set(given)) == len(pieces) and 1 < len(pieces) < parts and sum(pieces.values()) >= needed_mm2


@dataclass(frozen=True)
class Seamed:
    """A shape split as a tree tells: its parts, whose corners move with the seams, and where seams can be; whatever gives them.

    `parts` is None where their corners don't correspond. `taken` is what each part takes beyond its net, across and along; None
    unless the shape has four corners only.
    """

    shape: Shape
    tree: Tree
    parts: tuple[Free, ...] | None
    limits: tuple[tuple[float, float], ...]
    wide_enough: tuple[Row, ...]
    taken: tuple[tuple[int, int], ...] | None

    @classmethod
    def all_of(cls, shape: Shape, any_donor: Donor, min_part_mm: float, *, parts: int) -> list["Seamed"]:
        """Every way to split a shape into so many parts."""
        return [cls.of(shape, tree, any_donor, min_part_mm) for tree in _trees(parts)]

    @classmethod
    def of(cls, shape: Shape, tree: Tree, any_donor: Donor, min_part_mm: float) -> "Seamed":
        """The parts as they move with each seam, read off where all have an even share."""
        axes, origin = _axes(tree), _even(shape, tree)
        at = _shapes(shape, tree, origin)
        steps = [[s + (STEP_MM if k == j else 0.0) for j, s in enumerate(origin)] for k in range(len(axes))]
        moved = [_shapes(shape, tree, step) for step in steps]
        found = [
            free_part(any_donor, (own, *(shapes[index] for shapes in moved)), origin, [STEP_MM] * len(axes))
            for index, own in enumerate(at)
        ]
        parts = tuple(free for free in found if free is not None)
        limits = tuple((shape.box[axis], shape.box[axis + 2]) for axis in axes)
        rows = tuple(_wide_enough(shape, tree, min_part_mm))
        taken = tuple(_taken(own) for own in at) if len(shape.ring) == len(shape.cut) == 4 else None
        return cls(shape, tree, parts if len(parts) == len(found) else None, limits, rows, taken)

    @property
    def lines(self) -> tuple[Axis, ...]:
        """The axis of each line that the seams lie along at the least: where four parts meet at a point, two are one line."""
        axes = _axes(self.tree)
        return tuple(axes[:2] if len(axes) == 3 and _meet_at_a_point(self.tree) else axes)

    def alike(self, given: Sequence[Donor], kinds: dict[Outline, int]) -> object | None:
        """What is one for all ways of which either all can be laid or none; None where that isn't known.

        Parts beside one another may change places, and a piece may lie the other way round: all of them are rectangles. So may
        pieces that are the same but for their tags; `kinds` numbers those that aren't.
        """
        if self.taken is None:
            return None
        names = dict[str, tuple[int, int]]()
        for donor in given:
            kind = kinds.setdefault(donor.left, len(kinds))
            names.setdefault(donor.tag, (kind, sum(other == kind for other, _ in names.values())))
        leaves = iter([(names[each.tag], each.turn_deg % 180, own) for each, own in zip(given, self.taken, strict=True)])

        def beside(node: Tree, axis: Axis) -> list[object]:
            """Node's parts that lie beside one another along an axis."""
            if node is None:
                return [next(leaves)]
            own = [*beside(node[1], node[0]), *beside(node[2], node[0])]
            return own if node[0] is axis else [(node[0], *sorted(own, key=repr))]

        return (self.tree and self.tree[0], *sorted(beside(self.tree, self.tree[0]) if self.tree else (), key=repr))

    def is_too_wide_for(self, given: Sequence[Donor]) -> bool:
        """True if all parts lie beside one another in the patch and the donors together aren't as wide as it takes.

        A line along the parts crosses no more of them than fit over one another in the box round their donor: so all their
        widths come to no more than its width as often.
        """
        axes = set(_axes(self.tree))
        if self.taken is None or len(axes) != 1:
            return False
        (axis,) = axes
        other, wide = Axis(1 - axis), 0.0
        for donor in set(given):
            own = [taken for each, taken in zip(given, self.taken, strict=True) if each is donor]
            long = self.shape.extent(other) + min(taken[other] for taken in own) * DUST_MM
            room, width = (donor.box[way + 2] - donor.box[way] + 2 * TOLERANCE_MM for way in (other, axis))
            wide += min(len(own), room // long) * width - sum(taken[axis] for taken in own) * DUST_MM
        return wide < self.shape.extent(axis) - len(given) * TOLERANCE_MM

    def laid_on(self, given: Sequence[Donor], effort: Effort) -> Option | None:
        """The parts on the given donors, or None. Raises GaveUp where it takes more than the effort."""
        if self.parts is None:
            return None
        frees = [replace(part, donor=donor) for part, donor in zip(self.parts, given, strict=True)]
        found = place_together(frees, self.limits, self.wide_enough, effort)
        if found is None:
            return None
        positions, moves = found
        return Option(_layout(self.shape, self.tree, list(positions), list(given)), moves)


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


def _taken(part: Shape) -> tuple[int, int]:
    """What a rectangle takes beyond its net, across and along (in `DUST_MM`, so that it is the same wherever it lies)."""
    (l1, b1, r1, t1), (l2, b2, r2, t2) = bounds(part.ring), bounds(part.cut)
    return round(((r2 - l2) - (r1 - l1)) / DUST_MM), round(((t2 - b2) - (t1 - b1)) / DUST_MM)


def _axes(tree: Tree) -> list[Axis]:
    """The axis of each seam, outermost first, low side before high."""
    return [] if tree is None else [tree[0], *_axes(tree[1]), *_axes(tree[2])]


def _meet_at_a_point(tree: Tree) -> bool:
    """True if both sides of the first seam are split across it: the seams of either side may meet there."""
    return tree is not None and tree[1] is not None and tree[2] is not None and tree[1][0] is tree[2][0] is not tree[0]


def _parts(tree: Tree) -> int:
    return 1 if tree is None else _parts(tree[1]) + _parts(tree[2])


def _even(shape: Shape, tree: Tree) -> list[float]:
    """Seam positions that give every part an even share."""
    if tree is None:
        return []
    axis, low, high = tree
    share = _parts(low) / _parts(tree)
    at = shape.box[axis] + share * shape.extent(axis)
    below, above = _family(shape, axis, at).halves(at)
    return [at, *_even(below, low), *_even(above, high)]


def _shapes(shape: Shape, tree: Tree, positions: Sequence[float]) -> list[Shape]:
    """The parts at these seam positions, low side first."""
    layout_positions = list(positions)

    def walk(inner: Shape, node: Tree) -> list[Shape]:
        if node is None:
            return [inner]
        at = layout_positions.pop(0)
        below, above = _family(inner, node[0], at).halves(at)
        return walk(below, node[1]) + walk(above, node[2])

    return walk(shape, tree)


def _family(shape: Shape, axis: Axis, at: float) -> Split:
    """The family of seams at a position: a rectangle with corners on its sides has several."""
    families = sorted(splits(shape, axis), key=lambda split: split.low)
    return next((split for split in families if at <= split.high), families[-1])


def _layout(shape: Shape, tree: Tree, positions: list[float], given: list[Donor]) -> Layout:
    if tree is None:
        return Leaf(shape, given.pop(0))
    at = positions.pop(0)
    split = _family(shape, tree[0], at)
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
