"""Laws that hold for every job: each plan is proved, more stock never hurts, and axes and units change nothing."""

import itertools
import random
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remnants.fitting import Known, fit, fit_ways
from remnants.fitting.patch.best_way import best_for
from remnants.fitting.patch.made import Made
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.sharing import made_before
from remnants.geometry.outline import Outline, rectangle
from remnants.geometry.turn import turned_ring
from remnants.model import Allowance, Candidate, Job, Verdict
from remnants.packing import Watch
from tests.fitting.builders import NO_ALLOWANCE, OTHER, SAME, a_job, a_patch, a_piece, faults_of
from tests.geometry.test_lie import star
from tests.thorough import few, some

ORDER = [Verdict.WHOLE, Verdict.JOINED, Verdict.PARTLY, Verdict.NONE]
quick = settings(max_examples=few(36), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def random_pieces(rng: random.Random, count: int) -> list[Candidate]:
    """Plain, odd and holed pieces at several bearings and of two lots."""
    made = []
    for index in range(count):
        outline = Outline(star(rng, rng.randint(4, 8), 600)) if rng.random() < 0.5 else None
        cutouts = [((50, 50), (120, 50), (120, 120), (50, 120))] if rng.random() < 0.3 else []
        other = rng.random() < 0.3
        made.append(
            a_piece(
                f"R-{index}", rng.randint(150, 900), rng.randint(150, 900), outline=outline, cutouts=cutouts,
                pile=rng.choice([0.0, 90.0, 180.0, 25.0]), match=OTHER if other else SAME, lot="9" if other else "4471-B",
            )
        )  # fmt: skip
    return made


def random_job(rng: random.Random, parts: int = 2) -> Job:
    ring = star(rng, rng.randint(3, 6), 400, rough=0.4) if rng.random() < 0.4 else ()
    patch = a_patch(rng.randint(200, 900), rng.randint(200, 900), ring=ring, pile=rng.choice([0.0, 90.0, 25.0]), parts=parts)
    return a_job(patch, allowance=rng.choice([NO_ALLOWANCE, Allowance(10, 30, 30)]), min_part=60)


@quick
@given(st.integers(0, 10**9))
def test_no_answer_ever_fails_its_check_and_more_stock_never_gives_a_worse_verdict(seed: int) -> None:
    rng = random.Random(seed)
    job, pieces = random_job(rng, rng.choice([1, 2, 2, 3])), random_pieces(rng, 4)
    few, all_of_them = fit(job, [pieces[:2]]), fit(job, [pieces])
    assert faults_of(job, pieces, few) == ()
    assert faults_of(job, pieces, all_of_them) == ()
    assert all_of_them.verdict is not Verdict.NONE or few.verdict is Verdict.NONE
    if {candidate.match for candidate in pieces} == {SAME}:  # a better lot may be worth a join
        assert ORDER.index(all_of_them.verdict) <= ORDER.index(few.verdict)


@pytest.mark.parametrize("seed", range(8))
def test_what_one_fit_found_out_saves_the_ways_work_and_changes_no_word_of_them(seed: int) -> None:
    rng = random.Random(seed)
    job, pieces, known = random_job(rng), random_pieces(rng, 6), Known()
    plan = fit(job, [pieces], known=known)
    assert plan == fit(job, [pieces])
    assert fit_ways(job, [pieces], plan, known=known) == fit_ways(job, [pieces], plan)


@pytest.mark.parametrize("seed", range(3))
def test_what_patches_came_to_is_found_again_when_another_one_is_changed_and_changes_no_word(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = random.Random(seed)
    patches = [a_patch(rng.randint(200, 500), rng.randint(200, 500), name=name) for name in ("hall", "closet", "landing")]
    pieces, known, asked = (
        [a_piece(f"R-{index}", rng.randint(300, 900), rng.randint(300, 900)) for index in range(3)],
        Known(),
        [],
    )

    def noted(ask: Ask, field: Field) -> Made | None:
        asked.append(ask.patch.name)
        return best_for(ask, field)

    monkeypatch.setattr(made_before, "best_for", noted)
    work = []
    for changed in (patches, patches, [*patches[:2], replace(patches[2], max_parts=1)]):
        job, offered = a_job(*changed, min_part=60), [pieces] * len(changed)
        asked.clear()
        plan, with_it = fit(job, offered, watch=Watch(tries=2), known=known), len(asked)
        assert plan == fit(job, offered, watch=Watch(tries=2))
        work.append((with_it, len(asked) - with_it))
    first, again, changed_one = work
    assert first[0] == first[1] > 0
    assert again[0] == 0, "the same job once more is looked up"
    assert changed_one[0] < changed_one[1]


@quick
@given(st.integers(0, 10**9), st.sampled_from([90.0, 180.0, 270.0, 31.0]))
def test_turning_patch_and_donors_together_changes_nothing(seed: int, turn: float) -> None:
    rng = random.Random(seed)
    job, pieces = random_job(rng), random_pieces(rng, 3)
    patch = job.patches[0]
    turned_job = replace(job, patches=(replace(patch, ring=turned_ring(patch.ring, turn), pile_deg=patch.pile_deg + turn),))
    turned_pieces = [
        replace(
            candidate,
            piece=replace(
                candidate.piece,
                outline=Outline(
                    turned_ring(candidate.piece.outline.ring, turn),
                    tuple(turned_ring(ring, turn) for ring in candidate.piece.outline.cutouts),
                ),
                pile_deg=candidate.piece.pile_deg + turn,
            ),
        )
        for candidate in pieces
    ]
    plan, again = fit(job, [pieces]), fit(turned_job, [turned_pieces])
    assert plan.verdict is again.verdict
    assert sorted(part.piece for part in plan.patches[0].parts) == sorted(part.piece for part in again.patches[0].parts)


@quick
@given(st.integers(0, 10**9), st.integers(0, 40), st.integers(0, 40))
def test_a_larger_allowance_never_makes_an_impossible_patch_possible(seed: int, base: int, more: int) -> None:
    rng = random.Random(seed)
    job, pieces = random_job(rng), random_pieces(rng, 3)
    small = fit(replace(job, allowance=Allowance(base, base, base)), [pieces])
    large = fit(replace(job, allowance=Allowance(base + more, base + more, base + more)), [pieces])
    assert small.verdict is not Verdict.NONE or large.verdict is Verdict.NONE


@pytest.mark.parametrize("seed", range(8))
def test_feet_inches_and_metric_give_one_plan(seed: int) -> None:
    """The same sizes typed in inches, feet and millimetres."""
    rng = random.Random(seed)
    sizes = [(rng.randint(8, 40), rng.randint(8, 40)) for _ in range(4)]
    width, length = rng.randint(10, 40), rng.randint(10, 40)
    plans = []
    for unit, per in (("in", 1.0), ("ft", 12.0), ("mm", 1 / 25.4)):
        pieces = [a_piece(f"R-{i}", f"{w / per!r} {unit}", f"{h / per!r} {unit}") for i, (w, h) in enumerate(sizes)]
        plans.append(fit(a_job(a_patch(f"{width / per!r} {unit}", f"{length / per!r} {unit}")), [pieces]))
    assert len({plan.verdict for plan in plans}) == 1
    assert len({tuple(part.piece for part in plan.patches[0].parts) for plan in plans}) == 1


def tilings(width: int, length: int, parts: int) -> set[tuple[tuple[int, int], ...]]:
    """Every multiset of whole-unit rectangles that straight seams, one after the other, can split a rectangle into."""
    if parts == 1:
        return {((width, length),)}
    found = set()
    for first in range(1, parts):
        for at in range(1, width):
            found |= _both(tilings(at, length, first), tilings(width - at, length, parts - first))
        for at in range(1, length):
            found |= _both(tilings(width, at, first), tilings(width, length - at, parts - first))
    return found


def _both(low: set[tuple[tuple[int, int], ...]], high: set[tuple[tuple[int, int], ...]]) -> set[tuple[tuple[int, int], ...]]:
    return {tuple(sorted(one + two)) for one in low for two in high}


def packs(parts: tuple[tuple[int, int], ...], board: tuple[int, int]) -> bool:
    """Exhaustive: whole-unit places for all parts on one board, none overlapping."""

    def place(rest: tuple[tuple[int, int], ...], taken: list[tuple[int, int, int, int]]) -> bool:
        if not rest:
            return True
        w, h = rest[0]
        for x, y in itertools.product(range(board[0] - w + 1), range(board[1] - h + 1)):
            if all(x + w <= a or a + c <= x or y + h <= b or b + d <= y for a, b, c, d in taken) and place(
                rest[1:], [*taken, (x, y, w, h)]
            ):
                return True
        return False

    return place(parts, [])


def makes(width: int, length: int, parts: int, boards: list[tuple[int, int]]) -> bool:
    """Exhaustive: some tiling in at most so many parts, dealt out to boards in some way, packs."""
    for count in range(1, parts + 1):
        for tiling in tilings(width, length, count):
            for dealt in itertools.product(range(len(boards)), repeat=count):
                shares = [tuple(p for p, to in zip(tiling, dealt, strict=True) if to == b) for b in range(len(boards))]
                if all(packs(share, board) for share, board in zip(shares, boards, strict=True)):
                    return True
    return False


@pytest.mark.parametrize("parts", [3, 4])
@pytest.mark.parametrize("seed", some(range(25)))
def test_three_and_four_part_answers_agree_with_an_exhaustive_search(seed: int, parts: int) -> None:
    rng = random.Random(seed * 7 + parts)
    width, length = rng.randint(3, 5), rng.randint(3, 5)
    boards = [(rng.randint(1, 4), rng.randint(1, 5)) for _ in range(rng.randint(1, 3))]
    pieces = [a_piece(f"R-{index}", w * 100, h * 100) for index, (w, h) in enumerate(boards)]
    job = a_job(a_patch(width * 100, length * 100, parts=parts), min_part=100)
    plan = fit(job, [pieces])
    assert faults_of(job, pieces, plan) == ()
    assert (plan.verdict is not Verdict.NONE) is makes(width, length, parts, boards), boards


def test_an_outline_is_what_was_measured() -> None:
    """The plan shrinks no measured outline: leftovers and cuts lie within it."""
    candidate = a_piece("R-1", outline=Outline(rectangle(800, 700).ring))
    plan = fit(a_job(a_patch(300, 300)), [[candidate]])
    assert all(candidate.piece.outline.usable.buffer(0.01).covers(left.outline.usable) for left in plan.leftovers)
