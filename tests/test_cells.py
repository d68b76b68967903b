"""Cells of a spreadsheet: nothing that we write in one runs, and all of it is read back."""

import csv
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.cells import Figure, cells_text, guarded, unguarded

SIGNS = "=+-@\t\r\n＝＋－＠"


@pytest.mark.parametrize("sign", SIGNS)
def test_no_cell_begins_like_a_formula(sign: str) -> None:
    assert guarded(f"{sign}1+1") == f"'{sign}1+1"
    assert guarded(f"Bay {sign}1") == f"Bay {sign}1"


def test_what_nobody_guarded_is_left_as_it_is() -> None:
    assert [unguarded(cell) for cell in ("Bay 3", "'t Hof", "'", "12' 6\"", "-5")] == ["Bay 3", "'t Hof", "'", "12' 6\"", "-5"]


def test_a_figure_keeps_its_minus_and_a_text_that_looks_like_one_does_not_become_one() -> None:
    assert cells_text([[Figure("-90"), "-90", 7, "=1"]]) == "-90,'-90,7,'=1\r\n"


@given(st.text(st.sampled_from("'= a") | st.sampled_from(SIGNS), max_size=6) | st.text())
def test_a_guard_taken_off_leaves_the_text(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(tuple(SIGNS))


@given(st.lists(st.text(st.characters(exclude_categories=["Cs"]), min_size=1), min_size=1))
def test_a_row_that_is_written_is_read_back(row: list[str]) -> None:
    (cells,) = csv.reader(StringIO(cells_text([row]), newline=""))
    assert [unguarded(cell) for cell in cells] == row
