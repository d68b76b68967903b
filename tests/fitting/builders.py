"""Builders with defaults, so that a test shows only what it is about. Sizes are mm unless they carry a unit."""

from collections.abc import Iterable, Sequence

from remnants.errors import Fault
from remnants.fitting import fit
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import Outline, Point, outline_of, rectangle, ring_of
from remnants.model import Allowance, Candidate, Construction, Finish, Grade, Job, Kind, Match, Patch, Piece, Plan, Repeat, Style
from remnants.proof import check_plan
from remnants.units import Unit, parse_length

SAME = Match(Grade.SAME_LOT, 0, "Same style, colour and lot.")
OTHER = Match(Grade.OTHER_LOT, 0, "Other dye lot: the shade may differ.")
PLAIN = Style("Velder Twist")
NO_ALLOWANCE = Allowance(0.0, 0.0, 0.0)


def mm(size: str | float) -> float:
    """A size in mm: bare figures are mm."""
    return parse_length(size, Unit.MM)


def a_piece(
    tag: str,
    width: str | float = 0,
    length: str | float = 0,
    *,
    outline: Outline | None = None,
    cutouts: Iterable[Sequence[Point]] = (),
    pile: float = 0.0,
    match: Match = SAME,
    style: Style = PLAIN,
    kind: Kind = Kind.REMNANT,
    lot: str = "4471-B",
    motif: Point | None = None,
    worn: int = 0,
) -> Candidate:
    """A candidate piece; its outline, or a rectangle less cutouts."""
    shape = outline or outline_of(rectangle(mm(width), mm(length)).ring, cutouts)
    piece = Piece(tag, kind, style.name, "Oatmeal", lot, shape, pile, motif, "Bay 3", worn)
    return Candidate(piece, style, match)


def a_patch(
    width: str | float = 0,
    length: str | float = 0,
    *,
    ring: Sequence[Point] = (),
    pile: float = 0.0,
    edges: str | Sequence[str] = "seam",
    parts: int = 2,
    turns: tuple[float, ...] = (0.0,),
    name: str = "hall",
    motif: Point | None = None,
) -> Patch:
    """A patch of an outline, or a rectangle."""
    made = ring_of(ring) if ring else rectangle(mm(width), mm(length)).ring
    finishes = tuple(Finish(edges) for _ in made) if isinstance(edges, str) else tuple(Finish(edge) for edge in edges)
    return Patch(name, made, pile, finishes, motif=motif, max_parts=parts, turns=turns)


def a_job(*patches: Patch, allowance: Allowance = NO_ALLOWANCE, min_part: str | float = 50, unit: Unit = Unit.MM) -> Job:
    """A job of these patches."""
    return Job("Alder Court 7", patches, allowance, mm(min_part), unit)


def a_plan(job: Job, *candidates: Candidate, rules: FitRules | None = None) -> Plan:
    """The plan for a job whose patches may all use all candidates; proved before it is returned."""
    plan = fit(job, [candidates] * len(job.patches), rules)
    assert faults_of(job, candidates, plan) == ()
    return plan


def faults_of(job: Job, candidates: Sequence[Candidate], plan: Plan) -> tuple[Fault, ...]:
    """What the independent check says of a plan."""
    pieces = {candidate.piece.tag: candidate.piece for candidate in candidates}
    styles = {candidate.style.name: candidate.style for candidate in candidates}
    return check_plan(job, pieces, styles, plan)


__all__ = [
    "NO_ALLOWANCE",
    "OTHER",
    "PLAIN",
    "SAME",
    "Construction",
    "Repeat",
    "a_job",
    "a_patch",
    "a_piece",
    "a_plan",
    "faults_of",
    "mm",
]
