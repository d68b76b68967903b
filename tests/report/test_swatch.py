"""A swatch shows a shade as a screen can, says what it rests on, and nothing where the colour is not known."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.matching.colours import lab_of_srgb, srgb_of_lab
from remnants.model import Lab
from remnants.report.rack_view import rack_bar, rack_drawings
from remnants.report.svg import INK, PAPER, svg_text
from remnants.report.swatch import swatch_svg, tint_of
from remnants.units import Unit
from tests.stock_values import a_piece

CHANNEL = st.floats(0, 1)
HOLE = ((80.0, 80.0), (240.0, 80.0), (240.0, 240.0), (80.0, 240.0))


def contrast(one: str, other: str) -> float:
    """Of two colours, `#rrggbb` or `#rgb` (WCAG 2.2, contrast ratio and relative luminance)."""

    def luminance(colour: str) -> float:
        digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
        channels = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


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


@pytest.mark.parametrize("lab", [Lab(0, 0, 0), Lab(30, 40, -60), Lab(52, 30, 20), Lab(100, 0, 0)])
def test_words_are_read_with_ease_on_drawn_carpet_however_dark_it_is(lab: Lab) -> None:
    """WCAG 2.2, 1.4.6: 7 to 1, of ink on the tint."""
    tint = tint_of(a_piece("R-0001", 40, 60, lab=lab))
    assert re.fullmatch("#[0-9a-f]{6}", tint) and contrast(tint, INK) >= 7


def test_carpet_is_drawn_in_its_colour_with_tufts_and_paper_is_not() -> None:
    piece = a_piece("R-0001", 40, 60, lab=Lab(52, 30, 20))
    piece = replace(piece, outline=replace(piece.outline, cutouts=(HOLE,)))
    drawn = svg_text(rack_drawings([piece])[0])
    outline, tufts, hole = re.findall(r'<path d="M[^"]*Z" fill="([^"]*)"', drawn)[:3]
    assert (outline, tufts, hole) == (tint_of(piece), "url(#tufts)", PAPER)
    assert drawn.count('<pattern id="tufts"') == 1
    assert tint_of(replace(piece, lab=None, colour="no colour")) == ""
    assert "tufts" not in svg_text(rack_bar([piece], Unit.IN)), "a scale is no carpet"
