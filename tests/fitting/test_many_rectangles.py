"""Rectangles packed whole: planted jobs, what must not change, and what it is worth at the most."""

import itertools
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from remnants.fitting import fit
from remnants.fitting.patch.asked import ask_of
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Leaf
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing import many_rectangles, search
from remnants.fitting.sharing.donors_left import fields_of
from remnants.fitting.sharing.many_rectangles import (
    FEW,
    FEWEST,
    MOST_DONORS,
    lay_rectangles,
    likely_donors,
    tries_for,
)
from remnants.fitting.sharing.search import Shared, share
from remnants.geometry.outline import bounds
from remnants.model import Candidate, Job, Repeat, Style, Verdict
from remnants.model.merit import Merit
from remnants.packing import DonorPacking, DonorProblem, Watch, pack_donors
from tests.bench.many_rectangles import planted
from tests.fitting.builders import a_job, a_patch, a_piece, faults_of
from tests.thorough import some

TRIES = 10
"""The fewest for which packing is thorough."""


@pytest.fixture(autouse=True)
def less_exact_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """The exact solver, asked before, would take most of the time of these tests."""
    monkeypatch.setattr(search, "EXACT_WORK", 0.02)


def shared(job: Job, pieces: Sequence[Candidate], *, seed: int = 0, tries: int = TRIES) -> Shared:
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    return share(asks, [pieces] * len(asks), watch=Watch(tries=tries), seed=seed)


@pytest.mark.parametrize(("seed", "count"), some([(3, 25), (6, 22), (2, 20), (1, 17), (2, 25), (4, 20), (5, 15), (1, 13)], of=4))
def test_patches_cut_from_a_few_pieces_come_out_of_them_and_never_worse_than_without(
    seed: int, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, pieces = planted(seed, count)
    merits: list[Merit] = []
    plan = fit(job, [pieces] * count, watch=Watch(tries=TRIES), told=lambda merit, _bound: merits.append(merit))
    assert faults_of(job, pieces, plan) == ()
    assert plan.verdict is Verdict.WHOLE, "as it was planted"
    assert plan == fit(job, [pieces[::-1]] * count, watch=Watch(tries=TRIES)), "the same again, in any order of stock"
    monkeypatch.setattr(search, "FEWEST", count + 1)
    without = shared(job, pieces).merit
    assert without.unfilled, "else the job shows nothing"
    assert merits[-1].key <= without.key


def test_what_one_try_is_worth_is_packed_too_and_nothing_where_nothing_shall_be_tried() -> None:
    """A way beside the answer has one try; a thorough packing begins with the quick one, so more tries give nothing worse."""
    assert tries_for(0) == ()
    assert tries_for(1) == tries_for(TRIES - 1) == tries_for(TRIES)[:1]
    assert sum(tries_for(1)) < 50 < sum(tries_for(TRIES)) == sum(tries_for(math.inf))


def laid(
    job: Job, per: Sequence[Sequence[Candidate]], alone: Sequence[Made | None], *, watch: Watch | None = None, tries: int = 500
) -> list[list[Made | None]]:
    """The plans of the packing alone; every other patch is made as it is alone."""
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    best = [each if asks[index].shape.is_rectangle is False else None for index, each in enumerate(alone)]
    return list(lay_rectangles(asks, fields_of(asks, per), alone, best, watch=watch or Watch(), tries=tries, seed=0))


def alone_on(job: Job, candidate: Candidate) -> list[Made | None]:
    """Each patch whole on this piece by itself."""
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    fields = fields_of(asks, [[candidate]] * len(asks))
    return [
        settled(ask, Option(Leaf(ask.shape, next(d for d in field.donors if ask.lies(ask.shape, d)))))
        for ask, field in zip(asks, fields, strict=True)
    ]


def test_among_thousands_of_pieces_and_many_patches_a_bounded_part_is_packed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of 2000 pieces and 70 patches, 30 of which hardly any piece holds, the most are packed, with the tries for so many."""
    rng = random.Random(2)
    asked: list[DonorProblem] = []
    came: list[DonorPacking] = []

    def heard(problem: DonorProblem, *, watch: Watch, seed: int, told: Callable[[int, int, int], None]) -> DonorPacking:
        asked.append(problem)
        came.append(pack_donors(problem, watch=watch, seed=seed, told=told))
        return came[-1]

    monkeypatch.setattr(many_rectangles, "pack_donors", heard)
    monkeypatch.setattr(many_rectangles, "MOST_PATCHES", 60)
    monkeypatch.setattr(many_rectangles, "MOST_DONORS", 50)
    monkeypatch.setattr(many_rectangles, "MOST_TRIES", 45)
    pieces = [a_piece(f"R-{i:04d}", rng.randint(200, 310), rng.randint(200, 310)) for i in range(2000)]
    large = a_piece("R-large", 311, 311)
    sizes = [(309, 309) if i < 30 else (rng.randint(200, 310), rng.randint(200, 310)) for i in range(70)]
    job = a_job(*(a_patch(*size, name=f"p{i}", parts=1) for i, size in enumerate(sizes)))
    alone = alone_on(job, large)
    fields = fields_of([ask_of(job, job.patches[0], FitRules())], [[*pieces, large]])
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    (plan,) = lay_rectangles(asks, fields * 70, alone, [None] * 70, watch=Watch(), tries=10_000, seed=0)
    assert [(len(problem.parts), len(problem.donors)) for problem in asked] == [(60, 50)]
    tries = 45 * FEW**2 // 60**2
    assert tries <= came[0].tries < tries + 3, "the bound of effort is reached, and ends it"
    assert sum(each is not None for each in plan) == 60 - len(came[0].unplaced) > 20


def test_donors_that_can_matter_are_the_largest_and_the_smallest_that_hold_a_patch() -> None:
    rng = random.Random(3)
    donors = [
        (rng.randint(300, 3000), rng.randint(300, 3000), Donor(candidate, candidate.piece.outline, 0.0))
        for candidate in (a_piece(f"R-{i:04d}", 400, 400) for i in range(3000))
    ]
    sizes = [(rng.randint(300, 900), rng.randint(300, 900)) for _ in range(40)]
    found = likely_donors(sizes, donors)
    assert found == likely_donors(sizes, donors[::-1])
    assert len(found) == MOST_DONORS
    holding = [donor for donor in donors if any(width <= donor[0] and length <= donor[1] for width, length in sizes)]
    by_area = sorted(holding, key=lambda donor: (donor[0] * donor[1], donor[2].tag))
    assert set(found) >= set(by_area[-MOST_DONORS // 2 :])
    for width, length in sizes:
        assert next(donor for donor in by_area if width <= donor[0] and length <= donor[1]) in found
    few = donors[:100]
    assert set(likely_donors([(300, 300)], few)) == set(few), "all of them where they are not too many"


def test_parts_that_fill_a_piece_to_the_last_micrometre_are_laid() -> None:
    """Thirds of a metre across, sixteenths of an inch along: rounded up they would be a micrometre too much."""
    sizes = [(1000 / 3, 40 * 25.4 + 25.4 / 16)] * 3 + [(2000 / 3, 7.4), (1000 / 3, 7.4)]
    piece = a_piece("R-1", 1000, 40 * 25.4 + 25.4 / 16 + 7.4)
    job = a_job(*(a_patch(*size, name=f"p{i}", parts=1) for i, size in enumerate(sizes)), min_part=1)
    (plan,) = laid(job, [[piece]] * 5, alone_on(job, piece))
    assert all(made is not None for made in plan)
    told = fit(job, [[piece]] * 5)
    assert told.verdict is Verdict.WHOLE
    assert faults_of(job, [piece], told) == ()


def test_patches_that_lie_half_a_turn_apart_are_laid_side_by_side() -> None:
    """Every other patch takes the pile the other way: all of one piece, none over another, and together they spend all of it."""
    sizes = [(700, 500), (300, 500), (600, 400), (400, 400), (250, 600), (750, 600)]
    job = a_job(*(a_patch(*size, name=f"p{i}", parts=1, turns=(180.0 * (i % 2),)) for i, size in enumerate(sizes)))
    piece = a_piece("R-1", 1000, 1500)
    (plan,) = laid(job, [[piece]] * 6, alone_on(job, piece))
    boxes = [bounds(ring) for made in plan if made is not None for _, ring in made.cuts]
    assert len(boxes) == 6
    area = 1000.0 * 1500
    assert sum(made.spoiled for made in plan if made is not None) == pytest.approx(FitRules().value_mm2(area, area))
    for one, other in itertools.combinations(boxes, 2):
        assert one[2] <= other[0] + 0.01 or other[2] <= one[0] + 0.01 or one[3] <= other[1] + 0.01 or other[3] <= one[1] + 0.01
    told = fit(job, [[piece]] * 6)
    assert (told.verdict, faults_of(job, [piece], told)) == (Verdict.WHOLE, ())


def test_no_room_has_two_carpets_where_one_is_enough() -> None:
    """Two lots that match as well: all patches of the room come of the one that has area for all, though both would do."""
    job, pieces = planted(1, 17)
    other = [a_piece(f"A-{i}", 900, 900, lot="8813-C") for i in range(3)]
    (plan,) = laid(job, [[*other, *pieces]] * 17, alone_on(job, a_piece("R-0", 4000, 4000)), tries=1500)
    assert {leaf.donor.candidate.piece.lot for made in plan if made is not None for leaf in made.parts} == {"4471-B"}
    assert all(made is not None for made in plan)


def test_what_others_have_stays_theirs_and_no_pattern_is_packed() -> None:
    """An L keeps its piece; patches whose pattern must meet the room's are laid by others; a piece that must be used is."""
    el = [(0, 0), (900, 0), (900, 400), (400, 400), (400, 900), (0, 900)]
    figured = Style("Velder Figure", repeat=Repeat(90.0, 90.0))
    plain = [a_patch(400, 300, name=f"p{i}", parts=1) for i in range(5)]
    job = a_job(
        replace(plain[0], use=("R-3",)), *plain[1:4], replace(plain[4], motif=(0.0, 0.0)), a_patch(ring=el, name="L", parts=1)
    )
    wide = a_piece("R-1", 1000, 1000)
    of_pattern = a_piece("F-1", 1000, 1000, style=figured, motif=(0.0, 0.0))
    alone = [*alone_on(a_job(*job.patches[:4], job.patches[5]), wide)]
    alone.insert(4, alone_on(a_job(job.patches[4]), of_pattern)[0])
    per = [[wide, a_piece("R-2", 500, 700), a_piece("R-3", 500, 320)]] * 4 + [[of_pattern]] + [[wide]]
    (plan,) = laid(job, per, alone)
    assert plan[5] is alone[5]
    assert plan[4] is None, "no packing knows a pattern"
    tags = [made.parts[0].donor.tag if made is not None else "" for made in plan[:4]]
    assert tags[0] == "R-3", "the piece that is named for it"
    assert sorted(tags[1:]) == ["", "R-2", "R-2"], "the other has room for two; that of the L is not looked at"


def test_somebody_who_asks_to_stop_is_heard_in_the_packing_and_time_that_is_up_ends_it() -> None:
    job, pieces = planted(2, 25)
    alone = alone_on(job, a_piece("R-0", 4000, 4000))
    looks = itertools.count()
    plans = laid(job, [pieces] * 25, alone, watch=Watch(stop=lambda: next(looks) >= 40), tries=100_000)
    assert next(looks) < 60
    assert len(plans) <= 1
    assert laid(job, [pieces] * 25, alone, watch=Watch(stop=lambda: True)) == []


def test_few_patches_and_those_of_other_outlines_are_not_packed() -> None:
    piece = a_piece("R-1", 2000, 2000)
    few = a_job(*(a_patch(300, 300, name=f"p{i}") for i in range(FEWEST - 1)))
    assert laid(few, [[piece]] * (FEWEST - 1), alone_on(few, piece)) == []
    odd = a_job(*(a_patch(ring=[(0, 0), (300, 0), (0, 300)], name=f"p{i}") for i in range(FEWEST)))
    assert laid(odd, [[piece]] * FEWEST, alone_on(odd, piece)) == []
