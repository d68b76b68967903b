"""The bound by lines along the strip: worked by hand, never above a plain exact model, left alone where lines are too many."""

from collections.abc import Iterator, Sequence

import highspy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.packing import Watch
from remnants.packing.strip import lines_bound as module
from remnants.packing.strip.lines_bound import lines_bound
from tests.packing.test_divided_bound import exactly, problem_of
from tests.thorough import share


@pytest.mark.parametrize(
    ("sizes", "least"),
    [
        ([(12, 5)], 10),  # on 10 wide some line crosses two of its pieces; by area it is 6
        ([(9, 4), (9, 7)], 11),  # up to 10 long no line crosses both, and 9 + 9 / 2 is wider than 10; by area it is 9.9
        ([(6, 4), (6, 7), (6, 5)], 11),  # up to 10 long goes 4 with 5, or 7: 6 + 6 wide; into 11 go 4 with 7, and twice 5: 6 + 3
        ([(20, 3)], 6),
    ],
)
def test_some_line_crosses_the_mean_of_all(sizes: list[tuple[int, int]], least: int) -> None:
    assert lines_bound(sizes, 10, bound=1, known=100, watch=Watch()) == least


def test_a_house_of_five_rooms_is_bounded_nearer_than_by_area() -> None:
    # 19.58 m by area on 4 m; by another programme (the least width of lines that hold all, for one length after another) 19.88 m
    sizes = [(5515, 5465), (2585, 2035), (4465, 3505), (2395, 3655), (5315, 3485)]
    area = -(-sum(wide * long for wide, long in sizes) // 4000)
    assert (area, lines_bound(sizes, 4000, bound=area, known=10**6, watch=Watch())) == (19582, 19880)


def test_with_too_many_lines_or_no_programmes_the_bound_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    many = [(600 + n, 1000 + 7 * n) for n in range(9)]
    assert lines_bound(many, 1000, bound=5600, known=10**6, watch=Watch()) == 5600
    two = [(9, 4), (9, 7)]
    assert lines_bound(two, 10, bound=1, known=9, watch=Watch()) <= 11
    monkeypatch.setattr(module, "MOST_ROUNDS", 0)
    assert lines_bound(two, 10, bound=1, known=100, watch=Watch()) == 7


def test_what_would_take_too_long_leaves_the_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once time is up, of a thousand items, and on a strip so narrow that a line is worth millions."""
    two = [(9, 4), (9, 7)]
    assert lines_bound(two, 10, bound=1, known=100, watch=Watch(tries=0)) == 7
    assert lines_bound(two * 500, 10, bound=1, known=10**6, watch=Watch()) == 7
    assert lines_bound(two, 10, bound=1, known=100, watch=Watch()) == 11
    monkeypatch.setattr(module, "MOST_WORTH", 10)  # at 12 a line, both together are worth more
    assert lines_bound(two, 10, bound=1, known=100, watch=Watch()) == 7


def test_where_the_solver_tells_nothing_the_bound_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken(highspy.Highs):  # type: ignore[misc]
        def run(self) -> None:
            """Ends without an answer."""

    monkeypatch.setattr("remnants.packing.strip.lines_bound.highspy.Highs", Broken)
    assert lines_bound([(9, 4), (9, 7)], 10, bound=1, known=100, watch=Watch()) == 7


def test_no_line_is_looked_at_in_vain(monkeypatch: pytest.MonkeyPatch) -> None:
    """A closet first, each number of its lengths was tried with all that the others leave, mostly for no line."""
    asked: list[int] = []
    lines = module._lines

    def counted(lengths: Sequence[int], most: int) -> Iterator[tuple[int, ...]]:
        asked.append(most)
        return lines(lengths, most)

    monkeypatch.setattr(module, "_lines", counted)
    assert lines_bound([(9, 1), (9, 3000), (9, 3100)], 10, bound=9000, known=10**6, watch=Watch()) == 9000
    assert len(asked) < 100


sides = st.integers(2, 7)


@settings(max_examples=share(12), deadline=None)
@given(sizes=st.lists(st.tuples(sides, sides), min_size=1, max_size=3))
def test_it_is_never_above_the_least(sizes: list[tuple[int, int]]) -> None:
    problem = problem_of(*sizes, turned=False)
    divided = [(wide + problem.seam * problem.fewest(wide), long) for wide, long in sizes]
    assert lines_bound(divided, problem.width, bound=1, known=100, watch=Watch()) <= exactly(problem, 30)
