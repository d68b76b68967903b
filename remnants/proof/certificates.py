"""Questions about a no: do the figures told with it bear it out?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from remnants.errors import Fault
from remnants.model.no_proof import NoProof, RoomFigure
from remnants.proof.case import Case, Pair, Question
from remnants.proof.cutting import SAME_DEG
from remnants.proof.lines import GIVE_MM, TOLERANCE_MM, Point
from remnants.proof.motion import apart_deg, turned

__all__ = ["QUESTIONS"]


def proved_only(case: Case) -> Iterator[Fault]:
    """Is a no called proved only of a patch that has no parts, and only where nothing is told as undecided?"""
    made = {each.name: bool(each.parts) for each in case.plan.patches}
    for number, told in enumerate(case.plan.proof):
        if made.get(told.patch, True):
            yield Fault(f"proof[{number}]", f"a no is told of {told.patch!r}, which has parts or isn't there")
        if told.proved and told.undecided:
            yield Fault(f"proof[{number}]", f"told as proved, and as undecided: {told.undecided[0]}")


def figures_bear(case: Case) -> Iterator[Fault]:
    """Do the figures told with a no hold for the pieces, and leave none room for the patch, whole or in two parts?"""
    for number, told in enumerate(case.plan.proof):
        pairs = [pair for pair in case.pairs if pair.patch.name == told.patch and not pair.made.parts]
        if told.figures and pairs:
            yield from _faults(case, pairs[0], told, f"proof[{number}].figures")


def _faults(case: Case, pair: Pair, told: NoProof, where: str) -> Iterator[Fault]:
    need = _need(case, pair)
    if need is None:
        yield Fault(where, f"{told.patch} is no rectangle along the pile: figures alone prove nothing of it")
        return
    for figure in told.figures:
        yield from _wrong_figure(case, pair, figure, where)
    due = {(figure.piece, turn) for figure in told.figures for turn in pair.patch.turns}
    for piece, turn in sorted(due):
        if not any(figure.piece == piece and apart_deg(figure.turn_deg, turn) <= SAME_DEG for figure in told.figures):
            yield Fault(where, f"{piece} may lie at {turn:g} degrees too, and no figure is told of that")
    for axis in (0, 1):
        yield from _room(need, axis, told.figures, where, two=pair.patch.max_parts > 1)


@dataclass(frozen=True)
class _Need:
    """A rectangle along the pile: its net sizes, what its cut takes at (left, bottom, right, top) and at a joint, mm."""

    sizes: Point
    takes: tuple[float, float, float, float]
    seam: float
    least: float


def _need(case: Case, pair: Pair) -> _Need | None:
    ring = [turned(point, -pair.patch.pile_deg) for point in pair.outline.rings[0]]
    left, right = min(x for x, _ in ring), max(x for x, _ in ring)
    bottom, top = min(y for _, y in ring), max(y for _, y in ring)
    takes = dict.fromkeys(range(4), 0.0)
    for (ax, ay), (bx, by), word in zip(ring, [*ring[1:], ring[0]], pair.patch.edges, strict=True):
        across, along = (ax, bx), (ay, by)
        lines = ((across, left), (along, bottom), (across, right), (along, top))
        off, side = min((max(abs(value - line) for value in ends), side) for side, (ends, line) in enumerate(lines))
        if len(ring) != 4 or off > GIVE_MM:
            return None
        takes[side] = case.job.allowance.of(word)
    least = max(case.job.min_part_mm, 0.0)
    return _Need((right - left, top - bottom), (takes[0], takes[1], takes[2], takes[3]), case.job.allowance.seam_mm, least)


def _wrong_figure(case: Case, pair: Pair, figure: RoomFigure, where: str) -> Iterator[Fault]:
    piece = case.pieces.get(figure.piece)
    if piece is None:
        yield Fault(where, f"there is no piece {figure.piece!r}")
        return
    lies = [turned(point, figure.turn_deg - piece.pile_deg) for point in piece.outline.ring]
    for axis, told in enumerate((figure.across_mm, figure.along_mm)):
        due = max(point[axis] for point in lies) - min(point[axis] for point in lies)
        if told < due - GIVE_MM:
            yield Fault(where, f"{figure.piece} is told as {told:.2f} mm, and is {due:.2f} mm")


def _room(need: _Need, axis: int, figures: Sequence[RoomFigure], where: str, *, two: bool) -> Iterator[Fault]:
    """A fault for each piece, or two, that the figures leave room on: the seam's places lie along `axis`."""
    size, low, high = need.sizes[axis], need.takes[axis], need.takes[axis + 2]
    other = need.sizes[1 - axis] + need.takes[1 - axis] + need.takes[3 - axis]
    sizes = [((figure.across_mm, figure.along_mm)[axis], (figure.across_mm, figure.along_mm)[1 - axis]) for figure in figures]
    fit = [(figure, *own) for figure, own in zip(figures, sizes, strict=True) if own[1] >= other - TOLERANCE_MM]
    for figure, own, _ in fit:
        if own >= size + low + high - TOLERANCE_MM:
            yield Fault(where, f"{figure.piece} has room for it whole")
    for one, first, across in fit if two else ():
        for another, second, _ in fit:
            reach = min(first - low - need.seam, size - need.least), min(second - high - need.seam, size - need.least)
            if min(reach) < need.least - TOLERANCE_MM or sum(reach) < size - 2 * TOLERANCE_MM:
                continue
            cut = (size + low + high + 2 * need.seam) * other
            if one.piece != another.piece:
                yield Fault(where, f"{one.piece} and {another.piece} have room for a part each")
            elif first * across >= cut - TOLERANCE_MM * 2 * (first + across):
                yield Fault(where, f"{one.piece} has room for both parts")


QUESTIONS: tuple[Question, ...] = (proved_only, figures_bear)
