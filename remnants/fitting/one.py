"""One patch: the best way to make it from what is left of the donors."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from weakref import WeakKeyDictionary

from remnants.fitting.ask import AXES, Ask
from remnants.fitting.donor import Donor
from remnants.fitting.field import Field
from remnants.fitting.joining import grounds_between, joined, least_points
from remnants.fitting.layout import Layout, Leaf, leaves, segments
from remnants.fitting.phases import pairs_in_phase
from remnants.fitting.rules import Rules
from remnants.fitting.several import Option, one_donor_pairs, shared_donors
from remnants.fitting.shape import Shape, splits
from remnants.fitting.whole import lying
from remnants.fitting.worth import best_move, spoiled_mm2
from remnants.geometry.lie import region
from remnants.geometry.outline import Outline, Point, Ring
from remnants.geometry.turn import turned_point, turned_ring, whole_turn
from remnants.model.match import Candidate
from remnants.model.patch import Job, Patch

__all__ = ["Made", "ask_of", "best_for", "donors_of", "settled"]

TRIES_BESIDE = 12
"""Donors tried for both parts where two pieces make the patch already: one donor fetched is the last tie but one."""

MOST_LOOKED_AT = 400
"""Donors up to which one piece is looked for that shows less than the best pair; with more of them the bound leaves it open."""

MOST_PHASES = 60
"""Places of the pattern tried where the patch doesn't say where its motif lies."""


@dataclass(frozen=True, eq=False)
class Made:
    """A layout with every move settled, and what it costs. No way in as few parts shows fewer points than `least_points`."""

    layout: Layout
    moves: tuple[Point, ...]
    points: int
    spoiled: float
    least_points: int = 0

    @property
    def match(self) -> tuple[int, int]:
        """The worst match grade and wear among its donors."""
        return max(leaf.donor.level for leaf in leaves(self.layout))

    @property
    def cuts(self) -> tuple[tuple[str, Ring], ...]:
        """The piece and the cut (piece axes, mm) of each part."""
        parts = zip(leaves(self.layout), self.moves, strict=True)
        return tuple((leaf.donor.tag, leaf.donor.to_piece(leaf.shape.cut, move)) for leaf, move in parts)

    @property
    def key(self) -> tuple[int, int, int, int, tuple[str, ...]]:
        """Sorts by how the seams show, wear, what is spoiled (to the square centimetre), donors fetched, tags."""
        tags = tuple(leaf.donor.tag for leaf in leaves(self.layout))
        wear = max(leaf.donor.candidate.match.wear_steps for leaf in leaves(self.layout))
        return self.points, wear, round(self.spoiled / 100), len(set(tags)), tags


def ask_of(job: Job, patch: Patch, rules: Rules) -> Ask:
    """The patch in its pile frame."""
    shape = Shape(turned_ring(patch.ring, whole_turn(-patch.pile_deg)), patch.edges, job.allowance)
    motif = None if patch.motif is None else turned_point(patch.motif, whole_turn(-patch.pile_deg))
    return Ask(patch, shape, motif, job.min_part_mm, rules)


def donors_of(patch: Patch, candidates: Sequence[Candidate], left: Mapping[str, Outline]) -> list[Donor]:
    """What is left of each candidate, once for every allowed turn, by tag."""
    turns = list(dict.fromkeys(whole_turn(turn) for turn in patch.turns))
    turn_of = {
        (turn, pile_deg): whole_turn(turn - pile_deg)
        for pile_deg in {candidate.piece.pile_deg for candidate in candidates}
        for turn in turns
    }
    return [
        Donor(candidate, left[piece.tag], turn_of[turn, piece.pile_deg])
        for candidate in sorted(candidates, key=lambda candidate: candidate.piece.tag)
        for piece in (candidate.piece,)
        for turn in turns
    ]


def best_for(ask: Ask, field: Field) -> Made | None:
    """The best way to make one patch, or None if there is none within the rules."""
    for level in sorted(set(field.levels.tolist())):
        good = field.some(field.levels <= level)
        for parts in range(1, ask.patch.max_parts + 1):
            made = _made_in_phase(ask, good, parts) if parts > 1 and _free_phase(ask, good) else _made(ask, good, parts)
            if made:
                return min(made, key=lambda option: option.key)
    return None


def _with_floor(ask: Ask, field: Field, made: list[Made], parts: int) -> list[Made]:
    """The ways with the fewest points that any could show, where that is known no better than for each seam alone."""
    floor = (parts - 1) * min(least_points(ask, field, axis) for axis in AXES)
    return [replace(way, least_points=min(way.points, floor)) for way in made]


def _free_phase(ask: Ask, field: Field) -> bool:
    """True if parts must meet each other's pattern, but the patch has no motif point that says where it lies in the room."""
    return ask.motif is None and any(donor.candidate.style.repeat is not None for donor in field.donors)


def _made_in_phase(ask: Ask, field: Field, parts: int) -> list[Made]:
    """Joined ways with the pattern laid in any way: exact for two parts.

    For more, it is laid where some donor's part lies snug in a corner of it; the first phases that work are taken.
    """
    if parts == 2:
        made = _first(ask, pairs_in_phase(ask, field), ask.rules.donors_weighed)
        for way in made[:1]:  # with the pattern where it lies now, places and seam are chosen as ever
            made += _made(replace(ask, motif=_phase_of(way), known=WeakKeyDictionary()), field, parts)
        return _with_floor(ask, field, made, parts)
    made = []
    for motif in islice(_phases(ask, field), MOST_PHASES):
        made += _made(replace(ask, motif=motif, known=WeakKeyDictionary()), field, parts)
        if len(made) >= ask.rules.donors_weighed:
            break
    if not made:
        ask.undecided.add("where the pattern lies in the room, which the patch doesn't say")
    return _with_floor(ask, field, made, parts)


def _phase_of(made: Made) -> Point | None:
    """Where a way's pattern lies in the room: the motif point of its first patterned part, brought there."""
    for leaf, (x, y) in zip(leaves(made.layout), made.moves, strict=True):
        if leaf.donor.candidate.style.repeat is not None and leaf.donor.motif is not None:
            return leaf.donor.motif[0] - x, leaf.donor.motif[1] - y
    return None


def _phases(ask: Ask, field: Field) -> Iterator[Point]:
    """Motif points for the patch: each half of each even split, in each corner that it can lie in on each patterned donor."""
    halves = [half for axis in AXES for split in splits(ask.shape, axis) for half in split.halves((split.low + split.high) / 2)]
    for donor in sorted(field.donors, key=lambda donor: (donor.area_mm2, donor.tag)):
        if donor.motif is None:
            continue
        for half in halves:
            for x, y in region(donor.ground, half.cut).corners():
                yield donor.motif[0] - x, donor.motif[1] - y


def _made(ask: Ask, field: Field, parts: int) -> list[Made]:
    """Ways to make the patch in so many parts, the likeliest; some if and only if one exists."""
    most = ask.rules.donors_weighed
    if parts == 1:
        return _first(ask, (Option(Leaf(ask.shape, donor)) for donor in lying(ask, field)), most)
    made = _first(ask, (Option(layout) for layout in joined(ask, ask.shape, field, parts, most)), most)
    if parts == 2:
        return _beside_one_donor(ask, field, made)
    if not made:
        made = _first(ask, shared_donors(ask, ask.shape, field.donors, parts), most)
    return _with_floor(ask, field, made, parts)


def _beside_one_donor(ask: Ask, field: Field, pairs: list[Made]) -> list[Made]:
    """Two-part ways: those of two pieces, which show as little as any of two do, and those of one piece.

    One piece is looked for in full where there is no pair, or where it could show less than what is found.
    """
    most = ask.rules.donors_weighed
    made = pairs + _first(ask, one_donor_pairs(ask, ask.shape, field, TRIES_BESIDE if pairs else None), most)
    fewest = least = min((way.points for way in made), default=0)
    for axis in AXES:
        alone = min(sum(weight for weight, _ in grounds_between(ask, axis, kind, kind)) for kind in field.kinds[1])
        if alone >= fewest:
            continue
        more: list[Made] = []
        if len(field.donors) <= MOST_LOOKED_AT:
            more = _first(ask, one_donor_pairs(ask, ask.shape, field, axes=(axis,)), 1)
            if not more:
                continue
        made += more
        fewest = min(fewest, *(way.points for way in more), fewest)
        least = min(fewest, least, alone)
    return [replace(way, least_points=least) for way in made]


def _first(ask: Ask, options: Iterable[Option], most: int) -> list[Made]:
    """The first `most` options that can be settled."""
    pinned = (option for option in options if ask.has_pins({leaf.donor.tag for leaf in leaves(option.layout)}))
    found = (settled(ask, option) for option in pinned)
    return list(islice((made for made in found if made is not None), most))


def settled(ask: Ask, option: Option) -> Made | None:
    """The option with a move for every leaf, and what it costs."""
    parts = leaves(option.layout)
    moves = option.moves
    if moves is None:
        found = [best_move(leaf.donor, leaf.shape.cut, ask.rules, ask.moves(leaf.shape, leaf.donor)) for leaf in parts]
        moves = tuple(move for move in found if move is not None)
        if len(moves) < len(parts):
            return None
    cuts: dict[Donor, list[Ring]] = {}
    for leaf, move in zip(parts, moves, strict=True):
        cuts.setdefault(leaf.donor, []).append(leaf.donor.to_piece(leaf.shape.cut, move))
    spoiled = sum(spoiled_mm2(donor, rings, ask.rules) for donor, rings in cuts.items())
    points = sum(
        weight
        for segment in segments(option.layout)
        for weight, _ in grounds_between(ask, segment.axis, parts[segment.parts[0]].donor, parts[segment.parts[1]].donor)
    )
    return Made(option.layout, moves, points, spoiled)
