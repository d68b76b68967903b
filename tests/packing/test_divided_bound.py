"""What no packing of divided items goes below: never above what a plain exact model finds, and of few items mostly just that."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from remnants.packing import DividedProblem, Divisible, Watch, divided_bound, shorten_divided
from tests.thorough import share

MOST_PIECES = 3


def exactly(problem: DividedProblem, top: int) -> int:
    """The least length by a plain model: for each item its way, its pieces, how wide each and where; no start, bound or hint."""
    model = cp_model.CpModel()
    length = model.new_int_var(0, top, "")
    across, along = [], []
    ways = {item.turn: model.new_int_var(0, len(item.sizes) - 1, "") for item in problem.items}
    for item in problem.items:
        wide, long = model.new_int_var(0, top, ""), model.new_int_var(0, top, "")
        for value, place in ((wide, 0), (long, 1)):
            model.add_element(ways[item.turn], [size[place] if size else top for size in item.sizes], value)
        there = [model.new_bool_var("") for _ in range(MOST_PIECES)]
        model.add_bool_and(there[0])
        widths: list[cp_model.IntVar] = []
        for place, is_there in enumerate(there):
            if place:
                model.add_implication(is_there, there[place - 1])
            x, y, end, far = (model.new_int_var(0, top, "") for _ in range(4))
            width = model.new_int_var(0, problem.width, "")
            model.add(width == 0).only_enforce_if(~is_there)
            if place:
                model.add(width >= problem.least).only_enforce_if(is_there)
                model.add(widths[0] >= problem.least).only_enforce_if(is_there)
            across.append(model.new_optional_interval_var(x, width, end, is_there, ""))
            along.append(model.new_optional_interval_var(y, long, far, is_there, ""))
            model.add(end <= problem.width).only_enforce_if(is_there)
            model.add(far <= length).only_enforce_if(is_there)
            widths.append(width)
        model.add(sum(widths) == wide + problem.seam * (sum(there) - 1))
    model.add_no_overlap_2d(across, along)
    model.minimize(length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 2.0
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def problem_of(*sizes: tuple[int, int], turned: bool = True, wide: int = 6) -> DividedProblem:
    ways = [((x, y), (y, x)) if turned else ((x, y),) for x, y in sizes]
    return DividedProblem(wide, tuple(Divisible(each, turn) for turn, each in enumerate(ways)), 1, 2)


@pytest.mark.parametrize(
    "sizes",
    [((2, 4), (8, 4), (3, 3)), ((4, 4), (7, 4), (2, 6)), ((4, 5), (6, 3), (3, 3)), ((5, 4), (2, 6), (8, 4))],
)
def test_three_items_come_out_as_a_plain_exact_model_has_them(sizes: tuple[tuple[int, int], ...]) -> None:
    problem = problem_of(*sizes)
    found = shorten_divided(problem, shorter_than=40, bound=1, most=100, watch=Watch(tries=100))
    assert found is not None
    assert divided_bound(problem, bound=1, known=found.length, watch=Watch(tries=100)) == found.length == exactly(problem, 20)


def test_a_sum_of_lengths_that_can_not_be_is_passed_over() -> None:
    # 7 and 7 wide on 12, 5 long each: 5.83 by area; lengths end at 5 or 10, and both don't lie beside each other undivided
    problem = problem_of((7, 5), (7, 5), turned=False, wide=12)
    assert divided_bound(problem, bound=6, known=10, watch=Watch(tries=10)) == 10


def test_five_items_of_hundreds_of_starts_are_refuted_where_it_is_quickly_told() -> None:
    # a house of five rooms on 3.66 m: 16.97 m by area, and it takes 17.295 m at least, whatever is divided where
    sizes = ((923, 493), (633, 1073), (1049, 495), (545, 847), (373, 963))
    problem = DividedProblem(732, tuple(Divisible((size,), turn) for turn, size in enumerate(sizes)), 10, 65)
    watch = Watch(tries=40)
    assert divided_bound(problem, bound=3450, known=3459, watch=watch) == 3459
    assert 4 < watch.tries < 40  # a programme so large counts for some five


def test_one_way_of_which_nothing_can_be_told_ends_it_at_once() -> None:
    # laid the other way, both together take 5 by area at least and end at one of too many sums: there nothing is asked
    many = [Divisible(((700 + n, 3000), (600 + n, 1000 + 7 * n)), 0) for n in range(9)]
    watch = Watch(tries=9)
    problem = DividedProblem(1000, tuple(many), 1, 3)
    area = sum((600 + n) * (1000 + 7 * n) for n in range(9))
    assert divided_bound(problem, bound=9, known=27_000, watch=watch) == -(-area // 1000)
    assert watch.tries == 0


def test_without_effort_or_with_too_many_sums_the_bound_stays() -> None:
    problem = problem_of((8, 2), (3, 6), (6, 4))
    assert divided_bound(problem, bound=8, known=11, watch=Watch(tries=0)) < divided_bound(
        problem, bound=8, known=11, watch=Watch(tries=60)
    )
    many = DividedProblem(1000, tuple(Divisible(((999, 1000 + 7 * n),), n) for n in range(9)), 1, 3)
    assert divided_bound(many, bound=9200, known=9600, watch=Watch(tries=9)) <= 9280
    turns = problem_of(*((5 + n, 9) for n in range(6)))
    assert divided_bound(turns, bound=30, known=40, watch=Watch(tries=9)) == 30


sides = st.integers(2, 7)


@settings(max_examples=share(18), deadline=None)
@given(sizes=st.lists(st.tuples(sides, sides), min_size=1, max_size=2))
def test_the_bound_is_never_above_the_least(sizes: list[tuple[int, int]]) -> None:
    problem = problem_of(*sizes)
    least = exactly(problem, 20)
    assert divided_bound(problem, bound=1, known=40, watch=Watch(tries=60)) <= least
