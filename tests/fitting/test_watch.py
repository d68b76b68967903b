"""One patch, too, heeds the watch: what was found by then is told, and what was left is named."""

import math
import random
from collections.abc import Sequence

import pytest

from remnants.fitting import fit
from remnants.fitting.patch import question, worth
from remnants.fitting.patch.question import OUT_OF_TIME
from remnants.geometry.grow import grown
from remnants.geometry.lie import Ground, fits
from remnants.geometry.outline import Outline, Ring, bounds
from remnants.geometry.remainders import remainders
from remnants.model import Allowance, Candidate, Verdict
from remnants.packing import Watch
from tests.fitting.builders import OTHER, a_job, a_patch, a_piece, faults_of

OVAL = [(900 * math.cos(math.tau * step / 24), 700 * math.sin(math.tau * step / 24)) for step in range(24)]
WHOLE = grown(tuple(OVAL), [25.0] * len(OVAL))
JOB = a_job(a_patch(ring=OVAL, parts=4), allowance=Allowance(25, 25, 25), min_part=100)


def odd_pieces(count: int) -> list[Candidate]:
    """Six-cornered pieces, all too small for any half of the oval; four of them have carpet enough for it."""
    rng = random.Random(4)
    rings = [
        [(rng.uniform(470, 550) * math.cos(angle), rng.uniform(470, 550) * math.sin(angle)) for angle in (0, 1, 2, 3, 4, 5)]
        for _ in range(count)
    ]
    return [a_piece(f"R-{index:02d}", outline=Outline(tuple(ring))) for index, ring in enumerate(rings)]


class Bell:
    """Asks to stop from the given look at the watch on, and counts how often it was looked at."""

    def __init__(self, rings_at: int) -> None:
        self.rings_at, self.looks = rings_at, 0

    @property
    def rung(self) -> bool:
        return self.looks > self.rings_at

    def __call__(self) -> bool:
        self.looks += 1
        return self.rung


@pytest.mark.parametrize("rings_at", [1, 40, 400])
def test_a_search_in_one_patch_ends_where_somebody_asks_to_stop(rings_at: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """After that no part of a join is laid on any piece, and the no isn't told as proved."""
    bell, late = Bell(rings_at), list[Ring]()

    def watched(ground: Ground, part: Ring) -> bool:
        late.extend([part] if bell.rung and bounds(part) != bounds(WHOLE) else [])
        return fits(ground, part)

    monkeypatch.setattr(question, "fits", watched)
    pieces = odd_pieces(20)
    plan = fit(JOB, [pieces], watch=Watch(tries=5, stop=bell))
    assert bell.rung
    assert late == []
    assert plan.verdict is Verdict.NONE
    assert OUT_OF_TIME in plan.short[0].reason
    assert plan.bound != "best possible"


@pytest.mark.parametrize("rings_at", [0, 7, 60])
def test_a_job_of_ninety_patches_ends_where_somebody_asks_to_stop(rings_at: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each odd patch was made whole first, asked to stop or not. Now nothing more is laid on a piece, and nothing weighed."""
    bell, late = Bell(rings_at), list[str]()

    def watched(ground: Ground, part: Ring) -> bool:
        late.extend(["laid"] if bell.rung else [])
        return fits(ground, part)

    def weighed(outline: Outline, cuts: Sequence[Ring]) -> tuple[Outline, ...]:
        late.extend(["weighed"] if bell.rung else [])
        return remainders(outline, cuts)

    monkeypatch.setattr(question, "fits", watched)
    monkeypatch.setattr(worth, "remainders", weighed)
    patches = [a_patch(ring=OVAL, parts=4, name=f"room {number}") for number in range(90)]
    pieces = [a_piece(f"R-{number:02d}", 1900 + number, 1500) for number in range(40)]
    plan = fit(a_job(*patches, min_part=100), [pieces] * 90, watch=Watch(tries=60, stop=bell))
    assert late == []
    left = [patch.name for patch in plan.patches if patch.verdict is Verdict.NONE]
    assert len(left) > 60
    assert [short.patch for short in plan.short if OUT_OF_TIME in short.reason] == left
    assert plan.bound != "best possible"


def test_time_that_is_up_at_once_leaves_the_first_piece_that_makes_a_patch_whole() -> None:
    """Six are weighed where there is time; here one is taken, and that another would do as well isn't denied."""
    pieces = [a_piece(f"R-{number:02d}", 1900 + number, 1500) for number in range(6)]
    ticks = iter(range(0, 100_000, 50))
    plan = fit(JOB, [pieces], watch=Watch(seconds=20, clock=lambda: float(next(ticks))))
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound != "best possible"
    assert faults_of(JOB, pieces, plan) == ()


def test_seconds_end_a_search_in_one_patch() -> None:
    """The clock here goes on by a second at each look: after twenty the search is over, and says so."""
    ticks = iter(range(10_000))
    plan = fit(JOB, [odd_pieces(20)], watch=Watch(seconds=20, clock=lambda: float(next(ticks))))
    assert OUT_OF_TIME in plan.short[0].reason
    assert next(ticks) < 200  # a look for each of the pieces that are told as passed over


def test_what_was_found_by_then_is_told_and_not_claimed_to_be_the_best() -> None:
    """Whole from the large one of another lot at once; that the rest would show no less was not looked at any more."""
    large = a_piece("R-99", 1900, 1500, match=OTHER)
    pieces = [*odd_pieces(10), large]
    plan = fit(JOB, [pieces], watch=Watch(tries=5, stop=Bell(12)))
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound != "best possible"
    assert faults_of(JOB, pieces, plan) == ()


def test_patches_that_come_later_have_their_share_of_the_time() -> None:
    """The first patch alone could take all of it; the second is made whole at a look."""
    ticks = iter(range(100_000))
    job = a_job(a_patch(ring=OVAL, parts=4), a_patch(200, 200, name="landing"), allowance=Allowance(0, 0, 0), min_part=100)
    pieces = odd_pieces(20)
    plan = fit(job, [pieces, pieces], watch=Watch(seconds=300, clock=lambda: float(next(ticks))))
    assert plan.patches[1].verdict is Verdict.WHOLE
    assert faults_of(job, pieces, plan) == ()
