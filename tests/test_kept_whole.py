"""A length is never parted by the end of a line, on paper or in tables; and it is read back with the blanks that hold it."""

import re
from io import StringIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.table import Table as Columns

from remnants.kept_whole import NO_BREAK, plain_blanks, whole_lengths, wrapped_whole
from remnants.report.flow import document, table
from remnants.report.lettering import width_mm, wrapped
from remnants.report.page import PageSize
from remnants.report.pdf import register
from remnants.report.terminal import Terminal
from remnants.units import MM_PER_FT, MM_PER_IN, Unit, parse_length, write_area, write_length
from tests.report.sheets import FONTS, pages

LENGTHS = st.floats(min_value=1, max_value=20_000)
UNITS = st.sampled_from(Unit)


@pytest.mark.parametrize(
    ("told", "whole"),
    [
        ("5' 0 1/2\" wide", "5'_0_1/2\" wide"),
        ("cut 38 in across", "cut 38_in across"),
        ("3/8 in to spare", "3/8_in to spare"),
        ("12' 6\" × 4' 1/4\"", "12'_6\" ×_4'_1/4\""),
        ("R-0142, 31 1/2 in × 66 in", "R-0142, 31_1/2_in ×_66_in"),
        ("0.97 m, 27.5 ft²", "0.97_m, 27.5_ft²"),
        ("5&#39; 0 1/2&#34; wide", "5&#39;_0_1/2&#34; wide"),
        ("bay 12 4 in from the door", "bay 12 4_in from the door"),
        ("2 insets and 3 mmm", "2 insets and 3 mmm"),
    ],
)
def test_the_blanks_of_a_length_do_not_break_and_no_others_do(told: str, whole: str) -> None:
    assert whole_lengths(told) == whole.replace("_", NO_BREAK)


@given(LENGTHS, UNITS)
def test_each_length_and_area_that_is_written_is_held_and_the_length_is_read_back_the_same(length_mm: float, unit: Unit) -> None:
    told = write_length(length_mm, unit)
    whole = whole_lengths(told)
    assert " " not in whole.removeprefix("under ") and plain_blanks(whole) == told
    if not told.startswith("under"):
        assert parse_length(whole, unit) == parse_length(told, unit)
    assert " " not in whole_lengths(write_area(length_mm * 1000, unit)).removeprefix("under ")


@given(st.lists(LENGTHS, min_size=4, max_size=9), UNITS, st.integers(min_value=30, max_value=90))
def test_no_line_of_a_paper_a_text_or_a_table_ends_inside_a_length(lengths: list[float], unit: Unit, room: int) -> None:
    told = [write_length(length, unit) for length in lengths]
    text = "Cut the part for the hall " + ", then ".join(told)
    page = StringIO()
    columns = Columns(box=None)
    columns.add_column("piece", no_wrap=True)
    columns.add_column("where")
    columns.add_row("R-0142", text)
    Terminal(width=room, file=page).print(columns)
    on_paper = wrapped(text, 3.0, width_mm("x" * room, 3.0))
    for lines in (on_paper, wrapped_whole(text, room), [line.rstrip() for line in page.getvalue().splitlines()]):
        assert NO_BREAK not in "".join(lines) and "\ufdd0" not in "".join(lines)
        joined = "\n".join(re.sub(r"^(R-0142|piece)?\s+", "", line) for line in lines)
        assert all(joined.count(length) >= told.count(length) for length in told), joined


def test_a_line_too_narrow_for_a_length_breaks_it_rather_than_running_off_the_paper() -> None:
    lines = wrapped("12' 10 15/16\"", 3.0, 12.0)
    assert all(width_mm(line, 3.0) <= 12.0 for line in lines) and " ".join(lines) == "12' 10 15/16\""


def test_no_line_of_a_narrow_column_of_a_sheet_ends_inside_a_length() -> None:
    """5' 0 1/2", 5' 1 1/2" and so on: without their blanks held, some of these end a line after the feet."""
    told = [write_length(MM_PER_FT * feet + MM_PER_IN * (feet + 0.5), Unit.FT) for feet in range(3, 9)]
    register(FONTS)
    blocks = [table(("cut",), [[f"{'c' * letters}ut {' and '.join(told)}"] for letters in range(1, 9)], (1.0,), 24.0)]
    (page,) = pages(document(blocks, size=PageSize.A4, name="a list"))
    lines = page.text.replace(NO_BREAK, " ")
    assert [lines.count(length) for length in told] == [8] * len(told)
