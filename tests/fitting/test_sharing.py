"""Many patches share the donors: against exhaustive search, and against what is known by construction."""

import itertools
import random
from dataclasses import replace

import pytest

from remnants.fitting import fit
from remnants.fitting.patch.asked import ask_of, donors_of
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.donors_left import left_of
from remnants.fitting.sharing.exact import solve_exactly
from remnants.fitting.sharing.exact_terms import counts_of, stages_of
from remnants.fitting.sharing.merit import merit_of
from remnants.fitting.sharing.search import share
from remnants.fitting.telling.plan import bound_words
from remnants.model import Candidate, Job, Repeat, SeamKind, Style, Verdict
from remnants.model.merit import reaches
from remnants.packing import Watch
from tests.fitting.builders import SAME, a_job, a_patch, a_piece, a_plan, faults_of

Box = tuple[int, int]


def test_the_small_patch_leaves_the_only_large_donor_to_the_large_one() -> None:
    """Largest first would do; but here the larger patch could use either donor, and only one leaves room for the other."""
    job = a_job(a_patch(500, 600, name="hall", parts=1), a_patch(900, 200, name="stair", parts=1))
    plan = a_plan(job, a_piece("R-1", 900, 600), a_piece("R-2", 520, 640))
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound == "best possible"


def packs(parts: tuple[Box, ...], board: Box) -> bool:
    """Exhaustive: whole-unit places for all parts on one board."""

    def place(rest: tuple[Box, ...], taken: list[tuple[int, int, int, int]]) -> bool:
        if not rest:
            return True
        (w, h), *more = rest
        return any(
            place(tuple(more), [*taken, (x, y, w, h)])
            for x, y in itertools.product(range(board[0] - w + 1), range(board[1] - h + 1))
            if all(x + w <= a or a + c <= x or y + h <= b or b + d <= y for a, b, c, d in taken)
        )

    return sum(w * h for w, h in parts) <= board[0] * board[1] and place(parts, [])


def ways(patch: Box) -> list[tuple[int, int, tuple[Box, ...]]]:
    """(parts, points, part sizes): whole, or split at every whole unit; a cross seam shows one point."""
    w, h = patch
    found: list[tuple[int, int, tuple[Box, ...]]] = [(1, 0, ((w, h),))]
    found += [(2, 0, ((at, h), (w - at, h))) for at in range(1, w)]
    found += [(2, 1, ((w, at), (w, h - at))) for at in range(1, h)]
    return found


def best_by_search(patches: list[Box], boards: list[Box]) -> tuple[int, int, int]:
    """Exhaustive: (not filled, parts, points) of the best plan, over every subset, split and deal."""
    best = (len(patches), 0, 0)
    for chosen in itertools.product(*[[None, *ways(patch)] for patch in patches]):
        filled = [way for way in chosen if way is not None]
        merit = (len(patches) - len(filled), sum(way[1] for way in filled), sum(way[0] for way in filled))
        if merit >= best:
            continue
        parts = [part for way in filled for part in way[2]]
        if sum(w * h for w, h in parts) > sum(w * h for w, h in boards):
            continue
        for deal in itertools.product(range(len(boards)), repeat=len(parts)):
            shares = [tuple(p for p, to in zip(parts, deal, strict=True) if to == b) for b in range(len(boards))]
            if all(packs(share, board) for share, board in zip(shares, boards, strict=True)):
                best = merit
                break
    return best


def merit(job: Job, pieces: list[Candidate]) -> tuple[int, int, int]:
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    shared = share(asks, [pieces] * len(asks), watch=Watch(tries=30))
    merit = shared.merit
    seams = list(merit.points)
    filled = len(job.patches) - merit.unfilled
    inside = len(seams) - 4 * filled  # four seams round each
    assert reaches(shared.bound, merit)  # which the test below finds to be the exhaustive best
    return merit.unfilled, sum(seams) - 2 * filled, filled + inside


@pytest.mark.parametrize("seed", range(16))
def test_small_jobs_agree_with_an_exhaustive_search_in_verdict_and_merit(seed: int) -> None:
    rng = random.Random(seed)
    patches = [(rng.randint(1, 3), rng.randint(1, 3)) for _ in range(rng.randint(2, 4 if seed % 4 == 0 else 3))]
    boards = [(rng.randint(1, 4), rng.randint(1, 3)) for _ in range(rng.randint(1, 3))]
    pieces = [a_piece(f"R-{i}", w * 100, h * 100) for i, (w, h) in enumerate(boards)]
    job = a_job(*(a_patch(w * 100, h * 100, name=f"p{i}") for i, (w, h) in enumerate(patches)), min_part=100)
    plan = a_plan(job, *pieces)
    best = best_by_search(patches, boards)
    assert merit(job, pieces) == best, (patches, boards)
    assert sum(patch.verdict is Verdict.NONE for patch in plan.patches) == best[0]


def test_four_patches_of_eight_parts_use_three_donors_up() -> None:
    """The exhaustive best of (3, 2), (2, 3), (2, 1), (2, 3) from (2, 2), (4, 3), (4, 1): all filled, 8 parts, nothing left."""
    pieces = [a_piece(f"R-{i}", w * 100, h * 100) for i, (w, h) in enumerate([(2, 2), (4, 3), (4, 1)])]
    sizes = [(3, 2), (2, 3), (2, 1), (2, 3)]
    job = a_job(*(a_patch(w * 100, h * 100, name=f"p{i}") for i, (w, h) in enumerate(sizes)), min_part=100)
    assert merit(job, pieces) == (0, 3, 8)


def cut_up(rng: random.Random, width: int, length: int, parts: int) -> list[Box]:
    """A full donor cut up into parts by straight cuts, nothing left."""
    made = [(width, length)]
    while len(made) < parts:
        made.sort(key=lambda box: box[0] * box[1])
        w, h = made.pop()
        if w >= h:
            at = rng.randint(w // 4, 3 * w // 4)
            made += [(at, h), (w - at, h)]
        else:
            at = rng.randint(h // 4, 3 * h // 4)
            made += [(w, at), (w, h - at)]
    return made


@pytest.mark.parametrize("seed", range(8))
def test_donors_cut_up_with_nothing_left_are_put_together_again(seed: int) -> None:
    """Known by construction: two donors, each cut into three or four patches; all come out of them again."""
    rng = random.Random(seed)
    boards = [(rng.randint(800, 2000), rng.randint(800, 2000)) for _ in range(2)]
    sizes = [size for board in boards for size in cut_up(rng, *board, rng.randint(3, 4))]
    job = a_job(*(a_patch(w, h, name=f"p{i}", parts=1) for i, (w, h) in enumerate(sizes)))
    plan = a_plan(job, *(a_piece(f"R-{i}", w, h) for i, (w, h) in enumerate(boards)))
    assert plan.verdict is Verdict.WHOLE
    assert plan.bound == "best possible"


def test_same_seed_same_plan_and_more_tries_never_a_worse_one() -> None:
    rng = random.Random(5)
    pieces = [
        a_piece(f"R-{i}", rng.randint(300, 1500), rng.randint(300, 1500), cutouts=[((40, 40), (90, 50), (60, 95))])
        for i in range(4)
    ]
    job = a_job(*(a_patch(rng.randint(200, 700), rng.randint(200, 700), name=f"p{i}") for i in range(7)))
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    merits = []
    for tries in (0, 3, 8):
        plan = fit(job, [pieces] * 7, watch=Watch(tries=tries), seed=3)
        assert plan == fit(job, [pieces] * 7, watch=Watch(tries=tries), seed=3)
        assert faults_of(job, pieces, plan) == ()
        merits.append(share(asks, [pieces] * 7, watch=Watch(tries=tries), seed=3).merit)
    assert merits == sorted(merits, key=lambda merit: merit.key, reverse=True)


def test_the_bound_is_told_in_words() -> None:
    """Two of 420 x 420 have carpet enough on 600 x 600, but what one leaves is 180 wide: of three parts no model says so."""
    job = a_job(a_patch(420, 420, name="a", parts=3), a_patch(420, 420, name="b", parts=3))
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    odd = a_piece("R-1", 600, 600, cutouts=[((1, 1), (9, 3), (5, 9))])
    shared = share(asks, [[odd], [odd]], watch=Watch(tries=2))
    assert shared.merit.unfilled == 1
    assert bound_words(shared) == "at most 1 patch not filled from the best"


def test_two_patches_whose_pattern_does_not_come_twice_on_one_piece_are_called_the_best_possible_with_one() -> None:
    job = a_job(a_patch(500, 500, name="a", parts=1), a_patch(500, 500, name="b", parts=1))
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    figured = Style("Velder Figure", repeat=Repeat(90.0, 90.0))
    odd = a_piece("R-1", 600, 600, cutouts=[((1, 1), (9, 3), (5, 9))], style=figured, motif=(0.0, 0.0))
    shared = share(asks, [[odd], [odd]], watch=Watch(tries=2))
    assert shared.merit.unfilled == 1
    assert bound_words(shared) == "best possible"


def test_somebody_who_asks_to_stop_is_heard_while_the_exact_solver_works() -> None:
    """The watch is asked only from the solver's side here: it would work on without an end."""
    rng = random.Random(8)
    pieces = [a_piece(f"R-{i}", rng.randint(600, 1800), rng.randint(600, 1800)) for i in range(4)]
    sizes = [(rng.randint(200, 900), rng.randint(200, 900)) for _ in range(4)]
    job = a_job(*(a_patch(*sizes[i % 4], name=f"p{i}") for i in range(10)))
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    own = [donors_of(patch, pieces, left_of([pieces], ())) for patch in job.patches]
    asked = itertools.count()
    answer = solve_exactly(asks, own, work=1e6, watch=Watch(stop=lambda: next(asked) >= 0), seed=0)
    assert next(asked) > 0
    assert answer is not None and not answer.proved
    assert answer.bound.unfilled <= 2  # 2 left out is the best of a long search


def test_the_terms_that_are_weighed_into_one_sum_sort_as_the_merit_does() -> None:
    terms = {
        ("unfilled", 0): 40,
        ("sights", 303): 9,
        ("sights", 100): 60,
        ("points", 3): 9,
        ("points", 0): 200,
        ("seen_mm", 0): 90_000,
    }
    stages = stages_of({term: [(most, None)] for term, most in terms.items()})
    assert [term for stage in stages for _, term in stage] == list(terms), "in the order of merit, the worst sight first"
    assert len(stages) > 1, "more than one sum can hold"
    rng = random.Random(1)
    for stage in stages:
        plans = [tuple(rng.randint(0, terms[term]) for _, term in stage) for _ in range(50)]
        costs = {sum(count * weight for count, (weight, _) in zip(plan, stage, strict=True)): plan for plan in plans}
        assert [costs[cost] for cost in sorted(costs)] == sorted(set(plans))
        assert all(tuple(counts_of(cost, stage).values()) == plan for cost, plan in costs.items())


def test_a_carpet_that_is_seen_less_wins_over_a_seam_that_shows_less() -> None:
    """Side by side from a piece one step worn: seen at worst. End to end from those that are not: seen when looked for."""
    worn = replace(SAME, wear_steps=1)
    pieces = [
        a_piece("R-1", 500, 400, match=worn, worn=1), a_piece("R-2", 500, 400, match=worn, worn=1),
        a_piece("R-3", 900, 250), a_piece("R-4", 900, 250),
    ]  # fmt: skip
    plan = a_plan(a_job(a_patch(900, 400)), *pieces)
    assert [seam.kind for seam in plan.patches[0].seams] == [SeamKind.CROSS]
    assert plan.bound == "best possible"


def test_what_one_patch_takes_is_gone_for_the_others() -> None:
    piece = a_piece("R-1", 1000, 400, match=SAME)
    job = a_job(a_patch(600, 400, name="a", parts=1), a_patch(600, 400, name="b", parts=1))
    asks = [ask_of(job, patch, FitRules()) for patch in job.patches]
    shared = share(asks, [[piece], [piece]], watch=Watch(tries=2))
    assert merit_of(shared.made).unfilled == 1
    left = left_of([[piece], [piece]], shared.made)["R-1"]
    assert left.usable_area_mm2 == pytest.approx(400 * 400)
    assert len(donors_of(job.patches[0], [piece], {"R-1": left})) == 1


def test_a_piece_gives_several_parts_lying_one_way_only() -> None:
    """Laid both ways, R-1 was taken for two pieces: 500 and 400 of its 600 across, and 100 of R-2, for 1000."""
    job = a_job(a_patch(1000, 800, parts=3, turns=(0.0, 180.0)), min_part=50)
    assert a_plan(job, a_piece("R-1", 600, 1100), a_piece("R-2", 100, 1500)).verdict is Verdict.NONE
