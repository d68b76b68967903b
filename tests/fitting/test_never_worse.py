"""Laws over planted jobs: what makes no difference on the floor changes no verdict, and asking for more finds no more."""

import random
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from remnants.fitting import fit
from remnants.geometry.outline import Outline
from remnants.geometry.turn import turned_ring
from remnants.model import Allowance, Candidate, Job, Verdict
from tests.bench.adversary_plant import planted
from tests.fitting.builders import a_piece

pytestmark = pytest.mark.no_cover

CASES = [
    planted(kind, seed) for kind in ("whole", "two", "two of one", "hair", "three, rectangles", "short") for seed in (31, 32)
]
Asked = tuple[Job, tuple[Candidate, ...]]


def verdict_of(asked: Asked) -> tuple[Verdict, int]:
    """The verdict, and in how many parts."""
    (patch,) = fit(asked[0], [asked[1]]).patches
    return patch.verdict, len(patch.parts)


@cache
def told(number: int) -> tuple[Verdict, int]:
    """Those of a case as it was planted."""
    return verdict_of((CASES[number].job, CASES[number].pieces))


def shuffled(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """The stock in another order."""
    return job, tuple(random.Random(1).sample(pieces, len(pieces)))


def doubled(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """Every length twice as long."""
    patch = replace(job.patches[0], ring=tuple((2 * x, 2 * y) for x, y in job.patches[0].ring))
    takes = Allowance(2 * job.allowance.seam_mm, 2 * job.allowance.wall_mm, 2 * job.allowance.transition_mm)
    grown = []
    for each in pieces:
        rings = [tuple((2 * x, 2 * y) for x, y in ring) for ring in (each.piece.outline.ring, *each.piece.outline.cutouts)]
        grown.append(replace(each, piece=replace(each.piece, outline=Outline(rings[0], tuple(rings[1:])))))
    return replace(job, patches=(patch,), allowance=takes, min_part_mm=2 * job.min_part_mm), tuple(grown)


def turned_a_quarter(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """The room drawn from another side."""
    patch = job.patches[0]
    turned = replace(patch, ring=turned_ring(patch.ring, 90.0), pile_deg=(patch.pile_deg + 90.0) % 360.0)
    return replace(job, patches=(turned,)), pieces


def with_a_useless_piece(job: Job, pieces: tuple[Candidate, ...]) -> Asked:
    """One more that is too small for anything."""
    return job, (*pieces, a_piece("X-99", 20, 20))


@pytest.mark.parametrize("change", [shuffled, doubled, turned_a_quarter, with_a_useless_piece])
def test_what_makes_no_difference_changes_no_verdict(change: Callable[[Job, tuple[Candidate, ...]], Asked]) -> None:
    """Whole stays whole, two parts two parts, and none none."""
    for number, case in enumerate(CASES):
        assert verdict_of(change(case.job, case.pieces)) == told(number), (case.kind, case.seed)


def test_more_allowance_never_finds_a_plan_that_less_does_not() -> None:
    """5 mm more at every joint and wall: as many parts, more, or none."""
    for number, case in enumerate(CASES):
        takes = case.job.allowance
        more = replace(case.job, allowance=Allowance(takes.seam_mm + 5, takes.wall_mm + 5, takes.transition_mm + 5))
        parts, now = told(number)[1], verdict_of((more, case.pieces))[1]
        assert now == 0 or 0 < parts <= now, (case.kind, case.seed)
