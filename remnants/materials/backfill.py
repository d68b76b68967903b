"""The floor of a laid donor made good: its holes, or all of it wall to wall, as jobs of their own. Lengths mm.

What fills a floor that nobody sees may be of a low grade; few pieces and little stock decide (common practice, no source).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from math import hypot

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring, bounds
from remnants.geometry.remainders import remainders
from remnants.materials.cuts import Cut, cuts_of, donor_cuts, donors_of
from remnants.model import Finish, Grade, Job, Kind, Patch, Piece, Plan, Wanted

__all__ = ["MOST_PARTS", "backfill_tries"]

Box = tuple[float, ...]
"""Left, bottom, right, top."""

MOST_PARTS = (1, 2)
"""Most parts that a hole is joined from: one where that is possible."""


def backfill_tries(plan: Plan, job: Job, pieces: Mapping[str, Piece]) -> tuple[tuple[Job, ...], ...]:
    """Jobs that make the floors of laid donors good, to be tried in order; none when no donor is laid.

    The jobs of one try are to be compared: each hole filled, and each floor laid anew wall to wall in one piece. Holes that
    touch are one, and a rest too narrow for a part goes with them. They lie in their donor's axes, its pile is theirs; where a
    hole meets the edge of its floor that is a wall, the rest a seam. Fewest parts come first, then the donor's own carpet or a
    substitute, its style in any colour, whatever there is.
    """
    cuts = cuts_of(plan)
    laid = [pieces[tag] for tag in donors_of(plan) if pieces[tag].kind is Kind.LAID]
    if not laid:
        return ()
    holes = [(patch, piece) for piece in laid for patch in _holes(piece, donor_cuts(cuts, piece.tag), job.min_part_mm)]
    floors = [(_floor(piece), piece) for piece in laid]
    return tuple(
        tuple(
            _job(job, [_with(patch, piece, level, parts) for patch, piece in each])
            for each in ((holes, floors) if parts == 1 else (holes,))
        )
        for parts in MOST_PARTS
        for level in range(3)
    )


def _job(job: Job, patches: Sequence[Patch]) -> Job:
    """For the same house; what must be used is used already, and nobody else's carpet goes into a closet."""
    return replace(job, name=f"{job.name}, backfill", patches=tuple(patches), use=(), may_use=frozenset())


def _holes(piece: Piece, cuts: Sequence[Cut], min_part_mm: float) -> Iterator[Patch]:
    floor = piece.outline.ring
    for ring in _merged([cut.part.cut for cut in cuts], floor, min_part_mm):
        numbers = [str(cut.number) for cut in cuts if _within(bounds(cut.part.cut), bounds(ring))]
        name = f"hole of cut{'' if len(numbers) == 1 else 's'} {' and '.join(numbers)} in {piece.tag}"
        yield Patch(name, ring, piece.pile_deg, _finishes(ring, floor))


def _merged(rings: Sequence[Ring], floor: Ring, min_part_mm: float) -> list[Ring]:
    """The holes: upright boxes about cuts, those with less than a part's width between them one, up to a wall as near as that.

    A cut whose box reaches beyond the floor is a hole of its own shape.
    """
    boxes: list[Ring] = []
    odd: list[Ring] = []
    for ring in rings:
        (boxes if _inside(bounds(ring), floor) else odd).append(ring)
    found: list[Box] = [bounds(ring) for ring in boxes]
    joined = True
    while joined:
        joined = False
        for one, other in combinations(found, 2):
            both = (min(one[0], other[0]), min(one[1], other[1]), max(one[2], other[2]), max(one[3], other[3]))
            if _gap(one, other) < min_part_mm and _inside(both, floor):
                found = [box for box in found if box not in (one, other)] + [both]
                joined = True
                break
    found = [_to_walls(box, floor, min_part_mm) for box in found]
    return [*(_ring(box) for box in sorted(found)), *odd]


def _gap(one: Box, other: Box) -> float:
    """How far two boxes are apart, on the axis on which that is more; 0 or less where they touch."""
    return max(one[0] - other[2], other[0] - one[2], one[1] - other[3], other[1] - one[3])


def _to_walls(box: Box, floor: Ring, min_part_mm: float) -> Box:
    """The box, each side moved to the floor's own where less than a part's width lies between them."""
    ends = bounds(floor)
    for side in range(4):
        grown = tuple(ends[at] if at == side else value for at, value in enumerate(box))
        if abs(ends[side] - box[side]) < min_part_mm and _inside(grown, floor):
            box = grown
    return box


def _ring(box: Sequence[float]) -> Ring:
    return ((box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3]))


def _inside(box: Sequence[float], floor: Ring) -> bool:
    return not remainders(Outline(_ring(box)), [floor])


def _within(inner: Sequence[float], outer: Sequence[float]) -> bool:
    slack = 2 * TOLERANCE_MM
    low = all(inner[at] >= outer[at] - slack for at in (0, 1))
    return low and all(inner[at] <= outer[at] + slack for at in (2, 3))


def _floor(piece: Piece) -> Patch:
    ring = piece.outline.ring
    return Patch(f"floor of {piece.tag}, wall to wall", ring, piece.pile_deg, (Finish.WALL,) * len(ring))


def _finishes(ring: Ring, floor: Ring) -> tuple[Finish, ...]:
    """A wall where an edge lies on an edge of the floor, else a seam."""
    walls = tuple(zip(floor, (*floor[1:], floor[0]), strict=True))
    edges = zip(ring, (*ring[1:], ring[0]), strict=True)
    return tuple(
        Finish.WALL if any(_on(start, wall) and _on(end, wall) for wall in walls) else Finish.SEAM for start, end in edges
    )


def _on(point: Point, wall: tuple[Point, Point]) -> bool:
    """Whether a point lies on a straight edge, within twice the tolerance."""
    (ax, ay), (bx, by) = wall
    dx, dy = bx - ax, by - ay
    length = hypot(dx, dy)
    if length <= TOLERANCE_MM:
        return False
    aside = abs((point[0] - ax) * dy - (point[1] - ay) * dx) / length
    along = ((point[0] - ax) * dx + (point[1] - ay) * dy) / length
    slack = 2 * TOLERANCE_MM
    return aside <= slack and -slack <= along <= length + slack


def _with(patch: Patch, piece: Piece, level: int, parts: int) -> Patch:
    style, colour, lot = ((piece.style, piece.colour, piece.lot), (piece.style, "", ""), ("", "", ""))[level]
    wanted = Wanted(style, colour, lot, substitute=bool(colour), lowest_grade=Grade.SUBSTITUTE)
    return replace(patch, wanted=wanted, max_parts=parts)
