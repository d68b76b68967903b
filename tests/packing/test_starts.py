"""Where pieces may begin: worked by hand, and enough of it: none of the shortest packings is lost."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.packing.strip.starts import starts_of, sums_of
from tests.thorough import share


def test_sums_are_all_of_them_and_none_where_they_are_too_many() -> None:
    assert sums_of([3, 5], 11, places=20) == [0, 3, 5, 6, 8, 9, 10, 11]
    # up to 8 the shorter may begin at 0, 3, 5, 6 and 8, up to 6 the longer at 0, 3, 5 and 6
    assert sums_of([3, 5], 11, places=9) is not None
    assert sums_of([3, 5], 11, places=8) is None


def test_half_is_pushed_down_and_half_up() -> None:
    # a strip of 11: pushed to one end 3 begins at 0, 3, 5, 6, 8 and 5 at 0, 3, 5, 6; parted at 3 it is 0, 3, 5, 8 and 0, 3, 6
    assert starts_of([3, 5], 11, sums_of([3, 5], 11, places=20) or ()) == [[0, 3, 5, 8], [0, 3, 6]]
    assert starts_of([7, 7], 7, [0, 7]) == [[0], [0]]


def test_a_length_that_is_too_long_begins_nowhere() -> None:
    # pushed up all of them, 3 begins at 2
    assert starts_of([3, 9], 5, [0, 3]) == [[2], []]


@pytest.mark.parametrize("end", [7, 12])
def test_with_hundreds_of_sums_it_is_much_fewer(end: int) -> None:
    lengths = [2465, 5365, 2475, 4235, 4815]
    sums = sums_of(lengths, end * 1465, places=9999) or []
    pushed_one_way = sum(start + length <= end * 1465 for start in sums for length in lengths)
    assert sum(map(len, starts_of(lengths, end * 1465, sums))) < 0.6 * pushed_one_way


@settings(max_examples=share(60), deadline=None)
@given(boxes=st.lists(st.tuples(st.integers(1, 3), st.integers(1, 7)), min_size=1, max_size=4), spare=st.integers(0, 3))
def test_what_packs_anywhere_packs_at_these(boxes: list[tuple[int, int]], spare: int) -> None:
    """By trying all: levels of 3 side by side, from any whole place, and from these alone."""
    lengths = [long for _, long in boxes]
    end = max(*lengths, sum(wide * long for wide, long in boxes) // 3) + spare
    anywhere = [list(range(end - long + 1)) for long in lengths]

    def goes(places: list[list[int]]) -> bool:
        return any(
            all(
                sum(wide for (wide, long), start in zip(boxes, starts, strict=True) if start <= level < start + long) <= 3
                for level in starts
            )
            for starts in product(*places)
        )

    assert goes(anywhere) == goes(starts_of(lengths, end, sums_of(lengths, end, places=10**6) or ()))
