"""Measures as they are typed, and as they are written back."""

import math
import re
import time
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants import units
from remnants.errors import BadMeasure
from remnants.units import Unit, is_imperial, parse_length, to_unit, write_area, write_length

IN = 25.4


READ: list[tuple[str | float, Unit, float]] = [
    # feet and inches
    ("12' 6 1/2\"", Unit.IN, 150.5 * IN),
    ("12ft 6.5in", Unit.MM, 150.5 * IN),
    ("12'-6 1/2\"", Unit.MM, 150.5 * IN),
    ("12' - 6-1/2\"", Unit.MM, 150.5 * IN),
    ("12'6½\"", Unit.MM, 150.5 * IN),
    ("12′ 6½″", Unit.MM, 150.5 * IN),
    ("12’–6½”", Unit.MM, 150.5 * IN),
    ("12 ft., 6 1⁄2 in.", Unit.MM, 150.5 * IN),
    ("12 FEET 6 1/2 Inches", Unit.MM, 150.5 * IN),
    ("12' 6 1/2", Unit.MM, 150.5 * IN),
    ("12' 6 1/2''", Unit.MM, 150.5 * IN),
    ("12''", Unit.MM, 12 * IN),
    ("6-1/2 in", Unit.MM, 6.5 * IN),
    ("6 1/2'", Unit.MM, 78 * IN),
    ('3/4"', Unit.MM, 0.75 * IN),
    ("¾ in", Unit.MM, 0.75 * IN),
    ("3' 2 1/2\"", Unit.M, 38.5 * IN),
    ("1 yd 2 ft 3 in", Unit.M, 63 * IN),
    ("4 yards", Unit.M, 144 * IN),
    ("12'", Unit.MM, 144 * IN),
    # metric
    ("96.5 cm", Unit.IN, 965),
    ("96,5 cm", Unit.IN, 965),
    ("0.97m", Unit.IN, 970),
    ("0,970 m", Unit.IN, 970),
    ("2 m 40 cm", Unit.IN, 2400),
    ("2m 400mm", Unit.IN, 2400),
    ("1200 mm", Unit.IN, 1200),
    ("3.66 metres", Unit.IN, 3660),
    # as dictation and a phone's keys give them
    ("ten foot six", Unit.MM, 126 * IN),
    ("ten feet six and a half", Unit.MM, 126.5 * IN),
    ("10’6”", Unit.MM, 126 * IN),
    ("3’ 2½”", Unit.MM, 38.5 * IN),
    ("thirty-one and a half inches", Unit.MM, 31.5 * IN),
    ("three quarters of an inch", Unit.MM, 0.75 * IN),
    ("half an inch", Unit.MM, 0.5 * IN),
    ("a foot", Unit.MM, 12 * IN),
    ("12 and five eighths", Unit.IN, 12.625 * IN),
    ("one thousand two hundred and five millimetres", Unit.IN, 1205),
    ("one point two five metres", Unit.IN, 1250),
    ("1 200 mm", Unit.IN, 1200),
    ("1\u202f200 mm", Unit.IN, 1200),
    ("1 250.5 mm", Unit.IN, 1250.5),
    # bare, in the stated unit
    ("40", Unit.IN, 40 * IN),
    ("40 1/2", Unit.IN, 40.5 * IN),
    ("40,5", Unit.CM, 405),
    (".5", Unit.IN, 0.5 * IN),
    (40, Unit.IN, 40 * IN),
    (1.5, Unit.FT, 18 * IN),
    (0.97, Unit.M, 970),
    (0, Unit.M, 0),
    # below zero: a point may lie there
    ("-3' 6\"", Unit.MM, -42 * IN),
    ("− 6½ in", Unit.MM, -6.5 * IN),
    (-2.5, Unit.CM, -25),
]


@pytest.mark.parametrize(("text", "unit", "mm"), READ)
def test_a_measure_is_read_as_it_is_written_on_site(text: str | float, unit: Unit, mm: float) -> None:
    assert parse_length(text, unit) == pytest.approx(mm, abs=1e-9)


REFUSED: list[tuple[str | float, str]] = [
    ("", "no figure"),
    ("   ", "no figure"),
    ("-", "no figure"),
    ("dozen feet", "can't be read"),
    ("1 200", "can't be read"),
    ("twelve and", "'and' is no unit"),
    ("12 quux", "'quux' is no unit"),
    ("12 ' 6 ' ", "ft can't follow ft"),
    ("6 in 12 ft", "ft can't follow in"),
    ("5' 14\"", "14 in is 1 ft or more"),
    ("12.5' 6\"", "a part of 1 ft"),
    ("2 m 6 in", "mixes metric"),
    ("2 m 40", "no unit"),
    ("12 6", "can't be read"),
    ("1,200 mm", "may mean 1200"),
    ("1,200.5 mm", "write 1200.5"),
    ("1.234,5 mm", "write 1234.5"),
    ("1.234.567,8 mm", "write 1234567.8"),
    ("1,200,000 mm", "write 1200000"),
    ("1,2.3,4 mm", "can't be told apart"),
    ("1,2,3 mm", "can't be told apart"),
    ("12.34,5 mm", "can't be told apart"),
    ("12,5 in", "with a point"),
    ("1.2.3 m", "more than one point"),
    ("61/2 in", "61/2 is no fraction"),
    ("6 4/4 in", "4/4 is no fraction"),
    ("1/0 in", "1/0 is no fraction"),
    ("6.5 1/2 in", "both a decimal and a fraction"),
    ("12' -", "nothing follows"),
    ("1e3", "'e' is no unit"),
    ("nan", "can't be read"),
    ("inf", "can't be read"),
    ("--3", "can't be read"),
    ("12 m2", "no unit"),
    ("12\x00", "can't be read"),
    (math.nan, "not finite"),
    (math.inf, "not finite"),
    (1e308, "not finite"),
    (10**400, "not a number"),
    (True, "yes or no"),
]


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_nonsense_is_refused_with_the_text_the_reason_and_three_examples(text: str | float, why: str) -> None:
    with pytest.raises(BadMeasure) as refused:
        parse_length(text, Unit.IN)
    message = str(refused.value)
    assert why in message
    assert all(example in message for example in ("12' 6 1/2\"", "31 1/2 in", "96.5 cm"))
    if isinstance(text, str) and len(text) < 40:
        assert repr(text) in message


@pytest.mark.parametrize(
    "junk", ["9" * 10_000, "1/" * 5_000, "'" * 10_000, " " * 9_999 + "x", "½" * 10_000, "1 " * 32, "1.1." * 16, "1-" * 32]
)
def test_junk_is_refused_at_once_and_shown_short(junk: str) -> None:
    started = time.process_time()
    with pytest.raises(BadMeasure) as refused:
        parse_length(junk, Unit.MM)
    assert len(str(refused.value)) < 300
    assert time.process_time() - started < 1  # a second is ages: a blow-up would take minutes


def test_what_is_no_text_and_no_number_is_refused() -> None:
    nothing: tuple[Any, ...] = (None, [], {})
    for value in nothing:
        with pytest.raises(BadMeasure):
            parse_length(value, Unit.MM)


def test_conversions_are_those_of_nist_sp_811() -> None:
    """NIST SP 811, appendix B.8 (the yard by the 1959 agreement): inch, foot and yard exactly; area as their squares."""
    assert parse_length("1 in", Unit.MM) == 25.4
    assert parse_length("1 ft", Unit.MM) == 304.8
    assert parse_length("1 yd", Unit.MM) == 914.4
    assert Fraction(str(units.MM2_PER_FT2)) == Fraction("0.09290304") * 1_000_000
    assert Fraction(str(units.MM2_PER_YD2)) == Fraction("0.83612736") * 1_000_000
    assert math.isclose(units.MM_PER_FT**2, units.MM2_PER_FT2, rel_tol=1e-15)
    assert math.isclose(units.MM_PER_YD**2, units.MM2_PER_YD2, rel_tol=1e-15)


def test_a_roll_of_twelve_feet_is_one_length_however_it_is_said() -> None:
    """12 x 304.8 and 144 x 25.4 differ in floats; the measure must not."""
    said = {parse_length(*way) for way in (("12'", Unit.MM), (144, Unit.IN), (12, Unit.FT), ("4 yd", Unit.M), (3657.6, Unit.MM))}
    assert said == {3657.6}


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (31.5 * IN, Unit.IN, "31 1/2 in"),
        (0.75 * IN, Unit.IN, "3/4 in"),
        (40 * IN, Unit.IN, "40 in"),
        (0, Unit.IN, "0 in"),
        (150.5 * IN, Unit.FT, "12' 6 1/2\""),
        (144 * IN, Unit.FT, "12'"),
        (6.5 * IN, Unit.FT, '6 1/2"'),
        (0, Unit.FT, '0"'),
        (11.97 * IN, Unit.FT, "1'"),  # 11 31/32 and a bit is nearer 12 than 11 15/16
        (23.99 * IN, Unit.FT, "2'"),
        (11.97 * IN, Unit.IN, "12 in"),
        (970, Unit.MM, "970 mm"),
        (970, Unit.CM, "97.0 cm"),
        (970, Unit.M, "0.970 m"),
        (999.6, Unit.M, "1.000 m"),
        (-6.5 * IN, Unit.IN, "-6 1/2 in"),
        (-150.5 * IN, Unit.FT, "-12' 6 1/2\""),
        (-12.4, Unit.MM, "-12 mm"),
        (0.5, Unit.IN, "under 1/16 in"),
        (0.5, Unit.FT, "under 1/16 in"),
        (0.3, Unit.MM, "under 1 mm"),
        (0.3, Unit.M, "under 1 mm"),
        (-0.3, Unit.MM, "over -1 mm"),
        (1e-9, Unit.IN, "0 in"),
        (-1e-9, Unit.CM, "0.0 cm"),
    ],
)
def test_a_length_is_written_as_a_carpet_layer_writes_it(mm: float, unit: Unit, text: str) -> None:
    assert write_length(mm, unit) == text


def test_inches_go_to_the_fraction_asked_for() -> None:
    length_mm = (6 + 5 / 16) * IN
    assert [write_length(length_mm, Unit.IN, fraction=n) for n in (1, 2, 4, 8, 16, 32)] == [
        "6 in",
        "6 1/2 in",
        "6 1/4 in",
        "6 3/8 in",  # halfway goes up
        "6 5/16 in",
        "6 5/16 in",
    ]
    assert write_length(1.0, Unit.IN, fraction=8) == "under 1/8 in"
    with pytest.raises(BadMeasure, match="1/0"):
        write_length(1.0, Unit.IN, fraction=0)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_never_written(value: float) -> None:
    for write in (write_length, write_area):
        with pytest.raises(BadMeasure, match="not finite"):
            write(value, Unit.MM)


def test_areas_in_the_unit_of_the_country() -> None:
    """Twelve-foot goods: one running foot is 12 ft², one and a third square yards."""
    running_foot_mm2 = 144 * IN * 12 * IN
    assert write_area(running_foot_mm2, Unit.FT) == "12.0 ft²"
    assert write_area(running_foot_mm2, Unit.IN, yards=True) == "1.33 yd²"
    assert write_area(running_foot_mm2, Unit.M) == "1.11 m²"
    assert write_area(100, Unit.MM) == "under 0.01 m²"
    assert write_area(100, Unit.IN) == "under 0.1 ft²"
    assert write_area(0, Unit.IN) == "0.0 ft²"


def test_inches_and_feet_are_imperial() -> None:
    assert [unit for unit in Unit if is_imperial(unit)] == [Unit.IN, Unit.FT]


LENGTHS_MM = st.floats(min_value=-900_000, max_value=900_000, allow_nan=False)


def test_the_page_of_measures_tells_the_truth() -> None:
    page = Path(__file__).parent.parent / "docs" / "reference" / "measures.md"
    rows = re.findall(r"^\| `([^`]+)` \| (-?[0-9.]+) \|$", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert len(rows) >= 10
    for typed, length_mm in rows:
        assert parse_length(typed, Unit.MM) == float(length_mm), typed


@given(length_mm=LENGTHS_MM, unit=st.sampled_from(list(Unit)))
def test_a_figure_in_an_answer_reads_back_within_the_tolerance(length_mm: float, unit: Unit) -> None:
    figure = to_unit(length_mm, unit)
    assert abs(parse_length(figure, unit) - length_mm) <= 0.001
    assert to_unit(parse_length(figure, unit), unit) == figure


@given(length_mm=LENGTHS_MM, unit=st.sampled_from(list(Unit)), fraction=st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_what_is_written_reads_back_within_half_a_step(length_mm: float, unit: Unit, fraction: int) -> None:
    text = write_length(length_mm, unit, fraction=fraction)
    step_mm = IN / fraction if is_imperial(unit) else 1.0
    if text.startswith(("under", "over")):
        assert abs(length_mm) < step_mm
        return
    read_mm = parse_length(text, Unit.MM)
    assert abs(read_mm - length_mm) <= step_mm / 2 + 1e-4
    assert write_length(read_mm, unit, fraction=fraction) == text


@given(sixteenths=st.integers(min_value=1, max_value=16 * 12 * 200))
def test_every_sixteenth_survives_writing_and_reading_exactly(sixteenths: int) -> None:
    length_mm = parse_length(sixteenths / 16, Unit.IN)
    assert parse_length(write_length(length_mm, Unit.FT), Unit.MM) == length_mm
    assert parse_length(write_length(length_mm, Unit.IN), Unit.MM) == length_mm


@given(text=st.text(max_size=80))
def test_any_text_is_a_finite_length_or_a_clear_refusal(text: str) -> None:
    try:
        assert math.isfinite(parse_length(text, Unit.FT))
    except BadMeasure as refused:
        assert "Write it like" in str(refused)
