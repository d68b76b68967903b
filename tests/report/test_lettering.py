"""Room kept for words, against the metrics of an embedded open font and by hand."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from remnants.report.lettering import width_mm, wrapped
from remnants.report.ordinates import spread


@given(st.text(min_size=0, max_size=200), st.floats(min_value=20, max_value=200))
def test_wrapped_lines_keep_to_the_room_and_lose_no_letter(text: str, room_mm: float) -> None:
    lines = wrapped(text, 3.0, room_mm)
    assert all(width_mm(line, 3.0) <= room_mm for line in lines)
    assert "".join(lines).replace(" ", "") == "".join(text.split())


def test_width_grows_with_size_and_weight() -> None:
    assert width_mm("1' 2 1/2\"", 6.0) == 2 * width_mm("1' 2 1/2\"", 3.0)
    assert width_mm("hall", 3.0, bold=True) > width_mm("hall", 3.0) > width_mm("hal", 3.0)


@given(st.lists(st.floats(min_value=0, max_value=500), max_size=30).map(sorted), st.floats(min_value=0.5, max_value=10))
def test_figures_are_spread_until_none_runs_into_the_next(places: list[float], gap: float) -> None:
    moved = spread(places, gap)
    assert len(moved) == len(places)
    assert all(after - before >= gap - 1e-6 for before, after in pairwise(moved))


def test_figures_with_room_stay_where_they_are() -> None:
    assert spread([0.0, 10.0, 20.0], 4.0) == (0.0, 10.0, 20.0)
    assert spread([10.0, 10.0], 4.0) == (8.0, 12.0)
