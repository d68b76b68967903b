"""A swatch shows a shade as a screen can, says what it rests on, and nothing where the colour is not known."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.matching.colours import lab_of_srgb, srgb_of_lab
from remnants.model import Lab
from remnants.report.swatch import swatch_svg
from tests.stock_values import a_piece

CHANNEL = st.floats(0, 1)


@given(rgb=st.tuples(CHANNEL, CHANNEL, CHANNEL))
def test_a_screen_s_colour_comes_back_from_its_lab(rgb: tuple[float, float, float]) -> None:
    assert srgb_of_lab(lab_of_srgb(rgb)) == pytest.approx(rgb, abs=0.002)


@given(shade=st.tuples(st.floats(0, 100), st.floats(-160, 160), st.floats(-160, 160)))
def test_what_a_screen_cant_show_is_cut_to_what_it_can(shade: tuple[float, float, float]) -> None:
    assert all(0 <= channel <= 1 for channel in srgb_of_lab(Lab(*shade)))


def test_a_measured_shade_goes_before_a_name_and_a_name_is_told_as_one() -> None:
    piece = replace(a_piece("R-1"), colour="navy", lab=None)
    by_name, measured = swatch_svg(piece), swatch_svg(replace(piece, lab=Lab(100.0, 0.0, 0.0)))
    assert "roughly, by its name" in by_name and "#ffffff" not in by_name
    assert "measured shade" in measured and re.search(r'fill="#f[ef]f[ef]f[ef]"', measured)
    assert swatch_svg(replace(piece, colour="Quorl")) == ""


def test_a_colour_s_name_is_escaped() -> None:
    assert "<script" not in swatch_svg(replace(a_piece("R-1"), colour='navy"><script>', lab=Lab(50.0, 0.0, 0.0)))
