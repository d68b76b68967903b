"""Jobs and stock by chance, such that many are joined: rectangles, L, round, patterned, several patches, one to four parts."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from remnants.errors import Fault
from remnants.fitting import fit
from remnants.geometry.outline import Outline, Point, Ring, rectangle, round_outline
from remnants.model import Allowance, Candidate, Finish, Job, Patch, Piece, Plan, Repeat, Style
from remnants.packing import Watch
from remnants.proof import refusals
from tests.fitting.builders import OTHER, PLAIN, SAME, a_piece

__all__ = ["Planned", "a_random_plan"]

TRELLIS = Style("Velder Trellis", repeat=Repeat(130, 170, 0.5))
TRIES = 3


@dataclass(frozen=True)
class Planned:
    """A job, its stock and a plan."""

    job: Job
    pieces: Mapping[str, Piece]
    styles: Mapping[str, Style]
    plan: Plan

    @property
    def refusals(self) -> Mapping[str, tuple[Fault, ...]]:
        """What the proof says, by the name of the question."""
        return refusals(self.job, self.pieces, self.styles, self.plan)


def a_random_plan(dice: random.Random) -> Planned:
    """A job and stock, and what is planned of them."""
    style = TRELLIS if dice.random() < 0.3 else PLAIN
    allowance = dice.choice((Allowance(0, 0, 0), Allowance(10, 30, 30), Allowance(25.4, 76.2, 76.2)))
    patches = tuple(_a_patch(dice, number, style) for number in range(dice.choice((1, 1, 1, 2, 3))))
    job = Job("Alder Court 7", patches, allowance, dice.choice((40.0, 60.0, 100.0)))
    candidates = _stock(dice, job, style)
    plan = fit(job, [candidates] * len(patches), seed=dice.randrange(100), watch=Watch(tries=TRIES))
    pieces = {candidate.piece.tag: candidate.piece for candidate in candidates}
    return Planned(job, pieces, {candidate.style.name: candidate.style for candidate in candidates}, plan)


def _a_patch(dice: random.Random, number: int, style: Style) -> Patch:
    ring = _ring(dice)
    parts = dice.choice((1, 2, 2, 3, 4)) if len(ring) == 4 and style is PLAIN else 2
    finishes = (Finish.SEAM, Finish.SEAM, Finish.WALL, Finish.TRANSITION, Finish.FREE)
    edges = (Finish.SEAM,) * len(ring) if dice.random() < 0.5 or len(ring) > 8 else tuple(dice.choice(finishes) for _ in ring)
    motif = (float(dice.randrange(200)), 0.0) if style.repeat and dice.random() < 0.5 else None
    return Patch(
        f"patch {number}",
        ring,
        dice.choice((0.0, 0.0, 90.0, 25.0)),
        edges,
        motif=motif,
        max_parts=1 if len(ring) > 8 else parts,
        turns=dice.choice(((0.0,), (0.0, 180.0))),
    )


def _ring(dice: random.Random) -> Ring:
    width, length = float(dice.randrange(200, 900)), float(dice.randrange(200, 900))
    form = dice.randrange(6)
    if form == 0:
        return round_outline((200.0, 300.0), dice.randrange(60, 250), outside=True).ring
    if form == 1:
        x, y = width * dice.uniform(0.3, 0.7), length * dice.uniform(0.3, 0.7)
        return (0.0, 0.0), (width, 0.0), (width, y), (x, y), (x, length), (0.0, length)
    if form == 2:
        return (0.0, 0.0), (width, 30.0), (width - 40.0, length), (25.0, length - 20.0)
    return rectangle(width, length).ring


def _stock(dice: random.Random, job: Job, style: Style) -> Sequence[Candidate]:
    """Strips of each patch with some to spare, and some odd pieces."""
    made: list[Candidate] = []
    for patch in job.patches:
        across = max(x for x, _ in patch.ring) - min(x for x, _ in patch.ring) + 160.0
        along = max(y for _, y in patch.ring) - min(y for _, y in patch.ring) + 160.0
        share = dice.choice((1.0, 0.7, 0.55, 0.45)) if patch.max_parts > 1 else 1.0
        for _ in range(dice.choice((2, 3, 4))):
            size = (across * share + dice.randrange(60), along * dice.choice((1.0, 1.1, 0.6)) + dice.randrange(60))
            made.append(_piece(dice, f"R-{len(made)}", size, style))
    return made


def _piece(dice: random.Random, tag: str, size: tuple[float, float], style: Style) -> Candidate:
    width, length = size
    cutouts: list[Ring] = []
    if dice.random() < 0.3:
        x, y = dice.uniform(0, width - 40), dice.uniform(0, length - 40)
        cutouts.append(((x, y), (x + 40, y), (x + 40, y + 40), (x, y + 40)))
    outline = None
    if dice.random() < 0.2:
        ring = ((0.0, 0.0), (width, 0.0), (width, length * 0.7), (width * 0.8, length), (0.0, length))
        outline, cutouts = Outline(ring), []
    motif: Point | None = (dice.uniform(0, 100), dice.uniform(0, 100)) if style.repeat else None
    same = dice.random() < 0.7
    made = a_piece(tag, width, length, outline=outline, cutouts=cutouts, style=style, motif=motif, match=SAME if same else OTHER)
    return replace(made, piece=replace(made.piece, pile_deg=dice.choice((0.0, 0.0, 0.0, 90.0, 180.0, 25.0))))
