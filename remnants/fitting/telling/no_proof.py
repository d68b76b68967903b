"""What is told with a no: which families of seams, turns and sharings were searched to the end, and what was not tried."""

from collections.abc import Iterator, Sequence

from remnants.fitting.patch.out_of_reach import COUNT_WORDS
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.shape import Axis, splits
from remnants.fitting.sharing.search import Shared
from remnants.geometry.outline import TOLERANCE_MM, bounds
from remnants.geometry.turn import turned, whole_turn
from remnants.model.no_proof import NoProof, RoomFigure

__all__ = ["no_proofs"]

MOST_FIGURES = 200
"""Figures told with one no at most: a page's worth, and a moment's work to check."""

SLANTED = "seams that run neither along nor across the pile, and stepped ones"


def no_proofs(shared: Shared) -> tuple[NoProof, ...]:
    """One for each patch that is not made, in order."""
    found = []
    for ask, field, made, alone in zip(shared.asks, shared.fields, shared.made, shared.possible, strict=True):
        if made is None:
            found.append(_beside_others(ask, shared) if alone else _alone(ask, field))
    return tuple(found)


def _alone(ask: Ask, field: Field) -> NoProof:
    """A patch that can't be made even from untouched stock."""
    undecided = tuple(sorted(ask.undecided))
    most = ask.patch.max_parts
    more = f"more than {COUNT_WORDS[most]} parts" if most > 1 else "more than one part"
    not_tried = (SLANTED, more) if most > 1 else (more,)
    figures = _figures(ask, field) if _bounds_say_so(ask, field) else ()
    return NoProof(ask.patch.name, not undecided, tuple(_searched(ask, field)), undecided, not_tried, figures)


def _beside_others(ask: Ask, shared: Shared) -> NoProof:
    """A patch that could be made by itself: whether as many as can be are made is told of the plan as a whole."""
    proved = shared.proved
    undecided = () if proved else ("whether another plan fills this patch and as many of the others",)
    return NoProof(ask.patch.name, proved, ("plans of all patches together",) if proved else (), undecided, (SLANTED,))


def _searched(ask: Ask, field: Field) -> Iterator[str]:
    pieces = len(set(field.pieces.tolist()))
    turns = " and ".join(f"{turn:g}" for turn in dict.fromkeys(whole_turn(turn) for turn in ask.patch.turns))
    yield f"whole: {pieces} {'piece' if pieces == 1 else 'pieces'}, each at the allowed turns ({turns} degrees)"
    if ask.patch.max_parts > 1:
        along, across = (sum(1 for _ in splits(ask.shape, axis)) for axis in AXES)
        yield (
            f"two parts: every place of the seams along the pile ({along} {_families(along)}) and across it "
            f"({across} {_families(across)}); from two pieces or one, at one turn or two"
        )
    yield from ask.searched


def _families(count: int) -> str:
    return "family" if count == 1 else "families"


def _figures(ask: Ask, field: Field) -> tuple[RoomFigure, ...]:
    found = []
    for donor in field.donors:
        left, bottom, right, top = bounds(turned(donor.left, donor.turn_deg).ring)
        found.append(RoomFigure(donor.tag, donor.lay_deg, right - left, top - bottom))
    return tuple(found)


def _bounds_say_so(ask: Ask, field: Field) -> bool:
    """True for a rectangle of which the bounds of the pieces alone say that none makes it whole and no two parts do."""
    if not (ask.shape.is_rectangle and len(ask.shape.ring) == 4 and 0 < len(field.donors) <= MOST_FIGURES):
        return False
    cut = bounds(ask.shape.cut)
    tags = [donor.tag for donor in field.donors]
    for axis in AXES:
        other = cut[3 - axis] - cut[1 - axis]
        rooms = [(size[axis], size[1 - axis], tag) for size, tag in zip(field.sizes.tolist(), tags, strict=True)]
        fit = [room for room in rooms if room[1] >= other - 2 * TOLERANCE_MM]
        if any(room[0] >= cut[axis + 2] - cut[axis] - 2 * TOLERANCE_MM for room in fit):
            return False
        if ask.patch.max_parts > 1 and _two_reach(ask, axis, fit, other):
            return False
    return True


def _two_reach(ask: Ask, axis: Axis, fit: Sequence[tuple[float, float, str]], other: float) -> bool:
    """True if two of these rooms might hold the two parts of some seam."""
    net, cut, seam = ask.shape.box, bounds(ask.shape.cut), ask.shape.allowance.seam_mm
    size, give = net[axis + 2] - net[axis], 4 * TOLERANCE_MM
    low, high = net[axis] - cut[axis] + seam, cut[axis + 2] - net[axis + 2] + seam
    most = size - ask.min_part_mm
    for one in fit:
        for two in fit:
            first, second = min(one[0] - low, most), min(two[0] - high, most)
            if min(first, second) < ask.min_part_mm - give or first + second < size - give:
                continue
            area = (size + low + high) * other
            if one[2] != two[2] or one[0] * one[1] >= area - give * (one[0] + one[1]):
                return True
    return False
