"""Rectangles on donors: every plan is checked from scratch, and small ones against exhaustive search."""

import math
import random
from collections.abc import Sequence
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.packing import Donor, DonorPacking, DonorProblem, Part, Watch, WhyStopped, pack_donors
from remnants.packing.donors import search
from remnants.packing.donors.choice import choose
from remnants.packing.donors.end_to_end import EndToEnd
from remnants.packing.donors.kinds import Filling, Kinds, Lay, kinds_of
from remnants.packing.donors.least_count import _resized, least_donors
from remnants.packing.rectpack_bins import Way, pack_bins

Size = tuple[int, int]


def assert_sound(problem: DonorProblem, plan: DonorPacking) -> None:
    """Each part once or told as unplaced, on a donor it may lie on, inside it, over no other; the cost adds up."""
    assert sorted([*(spot.part for spot in plan.spots), *plan.unplaced]) == list(range(len(problem.parts)))
    for spot in plan.spots:
        part, donor = problem.parts[spot.part], problem.donors[spot.donor]
        assert part.donors is None or spot.donor in part.donors
        assert 0 <= spot.x <= donor.width - part.width
        assert 0 <= spot.y <= donor.length - part.length
    for one, other in combinations(plan.spots, 2):
        a, b = problem.parts[one.part], problem.parts[other.part]
        beside = one.x + a.width <= other.x or other.x + b.width <= one.x
        past = one.y + a.length <= other.y or other.y + b.length <= one.y
        assert one.donor != other.donor or beside or past
    assert plan.cost == sum(problem.donors[donor].cost for donor in plan.donors)
    assert plan.unplaced or plan.bound <= plan.cost


def exhaustive(problem: DonorProblem) -> tuple[int, int]:
    """The best (parts left out, cost): every part on every donor or none, and every corner that sums of sizes can reach."""
    choices = [[None, *range(len(problem.donors))] for _ in problem.parts]
    best = (len(problem.parts), 0)
    for chosen in product(*choices):
        out = sum(donor is None for donor in chosen)
        cost = sum(problem.donors[donor].cost for donor in {donor for donor in chosen if donor is not None})
        tied = any(
            d is not None and p.donors is not None and d not in p.donors for p, d in zip(problem.parts, chosen, strict=True)
        )
        if (out, cost) >= best or tied:
            continue
        groups = [
            [(p.width, p.length) for p, d in zip(problem.parts, chosen, strict=True) if d == k]
            for k in range(len(problem.donors))
        ]
        if all(can_lie(group, (d.width, d.length)) for group, d in zip(groups, problem.donors, strict=True)):
            best = (out, cost)
    return best


def can_lie(sizes: list[Size], room: Size) -> bool:
    """True if the rectangles fit together in the room: every corner tried at every sum of others' sizes."""
    if sum(w * h for w, h in sizes) > room[0] * room[1]:
        return False
    xs, ys = ({sum(s[axis] for s in some) for r in range(len(sizes)) for some in combinations(sizes, r)} for axis in (0, 1))

    def place(index: int, laid: list[tuple[int, int, int, int]]) -> bool:
        if index == len(sizes):
            return True
        width, length = sizes[index]
        for x, y in product((x for x in xs if x + width <= room[0]), (y for y in ys if y + length <= room[1])):
            clear = all(x + width <= a or c <= x or y + length <= b or d <= y for a, b, c, d in laid)
            if clear and place(index + 1, [*laid, (x, y, x + width, y + length)]):
                return True
        return False

    return place(0, [])


def cut_up(room: Size, count: int, rng: random.Random) -> list[Size]:
    """A full donor cut into `count` rectangles, edge to edge, at random."""
    sizes = [room]
    while len(sizes) < count:
        width, length = sizes.pop(rng.choices(range(len(sizes)), [w * h for w, h in sizes])[0])
        if rng.random() * (width + length) < width:
            cut = rng.randint(1, width - 1)
            sizes += [(cut, length), (width - cut, length)]
        else:
            cut = rng.randint(1, length - 1)
            sizes += [(width, cut), (width, length - cut)]
    return sizes


def problem_of(parts: list[Size], donors: list[Size]) -> DonorProblem:
    return DonorProblem(tuple(Part(*size) for size in parts), tuple(Donor(*size) for size in donors))


@pytest.mark.parametrize("seed", range(6))
def test_donors_cut_up_with_nothing_left_are_filled_again(seed: int) -> None:
    rng = random.Random(seed)
    rooms = [(3660, 2000), (2740, 1500), (1200, 900)]
    parts = [size for room in rooms for size in cut_up(room, 5, rng)]
    problem = problem_of(parts, rooms)
    plan = pack_donors(problem, watch=Watch(tries=4000), seed=1)
    assert_sound(problem, plan)
    assert not plan.unplaced


def test_like_donors_cut_up_into_many_parts_with_nothing_left_are_filled_again() -> None:
    """Donor by donor 1,000 tries don't find it."""
    rng = random.Random(0)
    problem = problem_of([size for _ in range(3) for size in cut_up((200, 200), 16, rng)], [(200, 200)] * 5)
    plan = pack_donors(problem, watch=Watch(tries=600), seed=1)
    assert_sound(problem, plan)
    assert (plan.cost, plan.unplaced, plan.why) == (3, (), WhyStopped.BEST_POSSIBLE)


@pytest.mark.parametrize("seed", range(2))
def test_donors_laid_end_to_end_hold_every_part_in_whichever_way(seed: int) -> None:
    rng = random.Random(seed)
    problem = problem_of([(rng.randint(5, 60), rng.randint(5, 40)) for _ in range(36)], [(120, 70)] * 6)
    donors = -(-sum(part.width * part.length for part in problem.parts) // (120 * 70)) + 1
    kinds = kinds_of(problem)
    end_to_end = EndToEnd(kinds, seed=seed)
    plans = [end_to_end.lay(donors, watch=Watch()) for _ in range(4)]
    assert any(plans)
    for fillings in filter(None, plans):
        lay = kinds.lay(fillings)
        assert len(lay.fillings) <= donors
        spots = kinds.spots(lay)
        assert_sound(problem, DonorPacking(spots, (), lay.cost, 0, WhyStopped.LIMIT, 0, 0, 0))


def test_only_like_donors_for_any_part_are_laid_end_to_end_and_only_few_of_them() -> None:
    parts = tuple(Part(10, 10) for _ in range(24))
    like = (Donor(50, 50), Donor(50, 50))
    assert EndToEnd(kinds_of(DonorProblem(parts, like)), seed=0).few(2)
    assert not EndToEnd(kinds_of(DonorProblem(parts, like)), seed=0).few(3)
    assert not EndToEnd(kinds_of(DonorProblem(parts, like)), seed=0).few(0)
    assert not EndToEnd(kinds_of(DonorProblem(parts, (Donor(50, 50), Donor(50, 60)))), seed=0).few(2)
    tied = Part(10, 10, frozenset({0}))
    assert not EndToEnd(kinds_of(DonorProblem((tied, *parts), like)), seed=0).few(2)


small = st.tuples(st.integers(1, 9), st.integers(1, 9))


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.tuples(small, st.sampled_from([None, None, {0}, {0, 1}])), min_size=1, max_size=4),
    st.lists(st.tuples(st.tuples(st.integers(4, 12), st.integers(4, 12)), st.integers(1, 3)), min_size=2, max_size=3),
)
def test_small_problems_agree_with_exhaustive_search(
    parts: list[tuple[Size, set[int] | None]], donors: list[tuple[Size, int]]
) -> None:
    problem = DonorProblem(
        tuple(Part(*size, None if tie is None else frozenset(tie)) for size, tie in parts),
        tuple(Donor(*size, cost) for size, cost in donors),
    )
    plan = pack_donors(problem, watch=Watch(), seed=1)
    assert_sound(problem, plan)
    best = exhaustive(problem)
    assert (len(plan.unplaced), plan.cost) == best
    if best[0] == 0:
        assert plan.bound <= best[1]


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_seed_and_tries_give_the_same_plan_and_more_are_never_worse(seed: int) -> None:
    rng = random.Random(7)
    parts = [(rng.randint(10, 60), rng.randint(10, 60)) for _ in range(30)]
    problem = problem_of(parts, [(100, 100)] * 30)
    plans = [pack_donors(problem, watch=Watch(tries=tries), seed=seed) for tries in (1, 60, 60, 400)]
    assert plans[1] == plans[2] or plans[1].spots == plans[2].spots
    assert plans[0].cost >= plans[1].cost >= plans[3].cost
    for plan in plans:
        assert_sound(problem, plan)


def test_what_fits_nowhere_is_told_and_the_rest_is_laid() -> None:
    problem = problem_of([(10, 10), (50, 10), (10, 10)], [(20, 10), (40, 8)])
    plan = pack_donors(problem, watch=Watch(tries=50))
    assert_sound(problem, plan)
    assert plan.unplaced == (1,)
    assert plan.donors == (0,)


def test_two_cheap_donors_beat_a_dear_one_and_a_tie_is_kept() -> None:
    donors = (Donor(100, 100, 5), Donor(50, 100, 2), Donor(50, 100, 2))
    free = DonorProblem((Part(50, 100), Part(50, 100)), donors)
    plan = pack_donors(free, watch=Watch(tries=200))
    assert (plan.donors, plan.cost, plan.why) == ((1, 2), 4, WhyStopped.BEST_POSSIBLE)
    tied = DonorProblem((Part(50, 100, frozenset({0})), Part(50, 100)), donors)
    assert pack_donors(tied, watch=Watch(tries=200)).donors == (0,)


def test_each_better_plan_is_told_and_asking_to_stop_keeps_the_best() -> None:
    rng = random.Random(3)
    problem = problem_of([(rng.randint(20, 60), rng.randint(20, 60)) for _ in range(25)], [(100, 100)] * 25)
    told: list[tuple[int, int, int]] = []
    plan = pack_donors(problem, watch=Watch(stop=lambda: len(told) > 0), told=lambda *news: told.append(news))
    assert_sound(problem, plan)
    assert told[-1] == (len(plan.unplaced), plan.cost, plan.bound)
    assert plan.why in (WhyStopped.ASKED, WhyStopped.BEST_POSSIBLE)


def test_nothing_to_cut_costs_nothing() -> None:
    plan = pack_donors(problem_of([], [(10, 10)]), watch=Watch(tries=5))
    assert (plan.spots, plan.unplaced, plan.cost, plan.bound) == ((), (), 0, 0)
    assert pack_donors(problem_of([(5, 5)], []), watch=Watch(tries=5)).unplaced == (0,)


def test_nonsense_is_refused_all_at_once() -> None:
    with pytest.raises(BadInput) as refused:
        DonorProblem((Part(0, 5), Part(5, 5, frozenset({3}))), (Donor(5, -1), Donor(5, 5, 0)))
    assert [fault.where for fault in refused.value.faults] == ["parts[0]", "donors[0]", "donors[1].cost", "parts[1].donors"]


# The adapter


def test_whole_micrometres_lay_two_six_foot_widths_in_twelve() -> None:
    # 12 ft = 3,657,600 µm, 6 ft = 1,828,800 µm. Given float millimetres only one of them is laid.
    for way in Way:
        laid = pack_bins([(1_828_800, 1_000_000)] * 2, [(3_657_600, 1_000_000)], way)
        assert not laid.unplaced, way


def test_the_adapter_tells_what_found_no_place_and_never_turns() -> None:
    for way in Way:
        laid = pack_bins([(10, 20), (20, 10)], [(10, 20), (10, 20)], way)
        assert laid.unplaced == (1,), way
        assert [spot[1] for spot in laid.spots] == [0]
    assert pack_bins([(1, 1)], []).unplaced == (0,)


def test_the_adapter_refuses_a_size_of_nothing() -> None:
    with pytest.raises(ValueError, match="no size"):
        pack_bins([(0, 5)], [(10, 10)])


def test_somebody_who_asks_to_stop_is_heard_while_the_exact_choice_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """25 parts for four donors that hold 23: with a million seconds of its own to choose, it ends where it is asked to."""
    rng = random.Random(1)
    sizes = [(rng.randint(200, 900), rng.randint(200, 1200)) for _ in range(25)]
    side = math.sqrt(sum(width * length for width, length in sizes) * 1.02 / 4)
    donors = tuple(Donor(round(side * rng.uniform(0.7, 1.4)), round(side * rng.uniform(0.7, 1.4))) for _ in range(4))
    problem = DonorProblem(tuple(Part(*size) for size in sizes), donors)
    monkeypatch.setattr(search, "CHOOSE_EFFORT", 1e6)
    monkeypatch.setattr(search, "CHOOSE_EVERY", 2)
    asked: list[Watch] = []

    def choosing(kinds: Kinds, fillings: Sequence[Filling], *, rank: tuple[int, int], effort: float, watch: Watch) -> Lay | None:
        asked.append(watch)
        return choose(kinds, fillings, rank=rank, effort=effort, watch=watch)

    monkeypatch.setattr(search, "choose", choosing)
    plan = pack_donors(problem, watch=Watch(tries=2000, stop=lambda: bool(asked)))
    assert len(asked) == 1, "it was asked to choose"
    assert_sound(problem, plan)


# The bound


@settings(max_examples=60, deadline=None)
@given(st.integers(4, 40), st.lists(st.integers(1, 40), min_size=1, max_size=7))
def test_resizing_never_makes_what_lies_side_by_side_too_wide(whole: int, sizes: list[int]) -> None:
    sizes = [min(size, whole) for size in sizes]
    resized = _resized(np.array(sizes, dtype=np.int64), whole)
    for count in range(1, len(sizes) + 1):
        for some in combinations(range(len(sizes)), count):
            if sum(sizes[index] for index in some) <= whole:
                assert resized[:, some].sum(axis=1).max() <= 1 + 1e-9


def test_known_bounds_by_hand() -> None:
    # Three parts of 51 x 51 can't share a donor of 100 x 100, though their area is under one.
    assert least_donors([(51, 51)] * 3, 100, 100) == 3
    # 34 wide: two side by side (68 of 100), 51 long: one: so five need three donors. By area (5 x 1734 / 10,000) one would do.
    assert least_donors([(34, 51)] * 5, 100, 100) == 3
    assert least_donors([], 100, 100) == 0
