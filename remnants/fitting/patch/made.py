"""A way to make one patch, with every move settled, and what it costs the stock."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from remnants.fitting.patch import worth
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Layout, Leaf, leaves
from remnants.fitting.patch.look import doorway_distance, look_of, trouble_of, troubled_by
from remnants.fitting.patch.question import OUT_OF_TIME, Ask, OutOfTime
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.worth import best_move, spoiled_mm2
from remnants.geometry.outline import Point, Ring
from remnants.model.match import Troubled
from remnants.model.merit import STEP_MM2, Merit

__all__ = ["BY_A_HAIR", "NO_LESS", "Made", "at_best", "first_settled", "phase_of", "settled", "snug"]

NO_LESS = Merit()
"""The look that nothing beats."""

BY_A_HAIR = "parts that fit their pieces by a hair, or miss them by one"
"""What is told as undecided where parts were found and none could be laid."""


@dataclass(frozen=True, eq=False)
class Made:
    """A layout with every move settled, what it looks like, and what it costs the stock (mm² of full-value carpet).

    `from_doorway` is how far its seams keep from one (mm). No way to make the patch beats `floor`, in what is seen and in whom
    it troubles.
    """

    layout: Layout
    moves: tuple[Point, ...]
    look: Merit
    spoiled: float
    from_doorway: int = 0
    floor: Merit = NO_LESS

    @cached_property
    def parts(self) -> tuple[Leaf, ...]:
        """The leaves, low side first."""
        return leaves(self.layout)

    @cached_property
    def troubled(self) -> frozenset[Troubled]:
        """The floors and people troubled for it."""
        return troubled_by(self.parts)

    @cached_property
    def places(self) -> frozenset[str]:
        """The places to be fetched from."""
        return frozenset(leaf.donor.candidate.piece.place for leaf in self.parts)

    @cached_property
    def merit(self) -> Merit:
        """How good it is by itself."""
        spent = self.spoiled + STEP_MM2 * (len(self.places) - 1)
        return replace(self.look, trouble=trouble_of(self.troubled), spent_mm2=spent)

    @property
    def cuts(self) -> tuple[tuple[str, Ring], ...]:
        """The piece and the cut (piece axes, mm) of each part."""
        parts = zip(self.parts, self.moves, strict=True)
        return tuple((leaf.donor.tag, leaf.donor.to_piece(leaf.shape.cut, move)) for leaf, move in parts)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Sorts ways to make one patch: by merit; then seams further from a doorway, the last square centimetre; then tags."""
        tags = tuple(leaf.donor.tag for leaf in self.parts)
        return *self.merit.key, len(set(tags)), -self.from_doorway, round(self.spoiled / 100), tags


def settled(ask: Ask, option: Option) -> Made | None:
    """The option with a move for every leaf, and what it costs."""
    parts = leaves(option.layout)
    if option.moves is not None:
        ways = [option.moves, *snug(ask, parts)]
    else:
        found = [best_move(leaf.donor, leaf.shape.cut, ask.rules, ask.moves(leaf.shape, leaf.donor)) for leaf in parts]
        ways = [tuple(move for move in found if move is not None)]
    if len(ways[0]) < len(parts):
        return None
    look, away = look_of(ask, option.layout), doorway_distance(ask, option.layout)
    made = [Made(option.layout, moves, look, _spoiled(ask, parts, moves), away) for moves in ways]
    return min(made, key=lambda way: way.spoiled)


def first_settled(ask: Ask, options: Iterable[Option], most: int | None) -> list[Made]:
    """The first `most` options that can be settled (None: all); those up to then where time is up.

    Where there were some and none could be, it is told as undecided: they miss by what is rounded off.
    """
    made: list[Made] = []
    lost = False
    try:
        for option in options if most != 0 else ():
            if ask.has_pins({leaf.donor.tag for leaf in leaves(option.layout)}):
                way = settled(ask, option)
                made += [way] if way is not None else []
                lost = lost or way is None
                if len(made) == most:
                    break
    except OutOfTime:
        ask.undecided.add(OUT_OF_TIME)
    if lost and not made:
        ask.undecided.add(BY_A_HAIR)
    return made


def at_best(ask: Ask, layout: Layout) -> Made:
    """A way without moves that is as good as the layout can be at the most, wherever its parts lie: their places cost time."""
    parts = leaves(layout)
    spoiled = sum(
        worth.least_spoiled_mm2(donor, rings, ask.rules) for donor, rings in _by_piece(parts, [(0.0, 0.0)] * len(parts))
    )
    return Made(layout, (), look_of(ask, layout), spoiled, doorway_distance(ask, layout))


def _spoiled(ask: Ask, parts: Sequence[Leaf], moves: Sequence[Point]) -> float:
    """Value (mm²) that all cuts take from their donors."""
    return sum(spoiled_mm2(donor, rings, ask.rules) for donor, rings in _by_piece(parts, moves))


def _by_piece(parts: Sequence[Leaf], moves: Sequence[Point]) -> Iterable[tuple[Donor, list[Ring]]]:
    """Each piece, at one of the turns at which it lies, with all its cuts (piece axes)."""
    cuts: dict[str, tuple[Donor, list[Ring]]] = {}
    for leaf, move in zip(parts, moves, strict=True):
        cuts.setdefault(leaf.donor.tag, (leaf.donor, []))[1].append(leaf.donor.to_piece(leaf.shape.cut, move))
    return cuts.values()


def snug(ask: Ask, parts: Sequence[Leaf], *, any_outline: bool = False) -> Iterator[tuple[Point, ...]]:
    """Both parts of one plain donor, either of them laid first where it spoils least, then the other in what that leaves.

    `any_outline`: of a donor and in parts of any outline, which takes longer. Nothing for patterned goods, whose parts lie where
    they meet.
    """
    donor = parts[0].donor
    plain = donor.is_plain and all(leaf.shape.is_rectangle for leaf in parts)
    of_one = len(parts) == 2 and parts[1].donor is donor
    if not of_one or not (plain or any_outline) or donor.candidate.style.repeat is not None:
        return
    for first, second in ((0, 1), (1, 0)):
        one, two = parts[first].shape, parts[second].shape
        move = best_move(donor, one.cut, ask.rules, ask.moves(one, donor))
        if move is None:
            continue
        cut = donor.to_piece(one.cut, move)
        rest = replace(donor, left=replace(donor.left, cutouts=(*donor.left.cutouts, cut)))
        other = best_move(rest, two.cut, ask.rules, ask.moves(two, rest))
        if other is not None:
            yield (move, other) if first == 0 else (other, move)


def phase_of(made: Made) -> Point | None:
    """Where a way's pattern lies in the room: the motif point of its first patterned part, brought there."""
    for leaf, (x, y) in zip(leaves(made.layout), made.moves, strict=True):
        if leaf.donor.candidate.style.repeat is not None and leaf.donor.motif is not None:
            return leaf.donor.motif[0] - x, leaf.donor.motif[1] - y
    return None
