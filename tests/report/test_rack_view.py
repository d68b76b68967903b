"""What lies at a place, a drawing a piece."""

from math import isclose
from typing import Any

import pytest

from remnants.model import Piece
from remnants.report.drawing import Area, Drawing, Fill, Words, extent
from remnants.report.rack_view import LARGEST_MM, rack_bar, rack_drawings
from remnants.units import Unit
from tests.stock_values import IN, a_piece


def rectangle(tag: str, width_mm: float, length_mm: float, **more: Any) -> Piece:
    return a_piece(tag=tag, width=width_mm / IN, length=length_mm / IN, **more)


PIECES = (
    rectangle("R-1", 3657.6, 4572.0),
    rectangle("R-2", 355.6, 914.4, pile_deg=90.0),
    rectangle("R-3", 100.0, 50.0),
)


def outline_size(drawing: Drawing) -> tuple[float, float]:
    left, bottom, right, top = extent([next(mark for mark in drawing.marks if isinstance(mark, Area))])
    return right - left, top - bottom


def figure_of(bar: Drawing) -> str:
    (words,) = (mark for mark in bar.marks if isinstance(mark, Words))
    return words.text


def test_all_pieces_are_drawn_to_one_scale_the_longest_side_as_wide_as_a_phone_shows() -> None:
    drawn = rack_drawings(PIECES)
    assert max(outline_size(drawn[0])) == LARGEST_MM or isclose(max(outline_size(drawn[0])), LARGEST_MM)
    for drawing, piece in zip(drawn, PIECES, strict=True):
        left, bottom, right, top = piece.outline.bounds
        wide, high = outline_size(drawing)
        assert isclose(wide * drawing.scale, right - left) and isclose(high * drawing.scale, top - bottom)
        assert drawing.scale == drawn[0].scale
        assert drawing.width_mm >= wide and drawing.height_mm >= high


def test_the_arrow_points_the_way_the_pile_lays_and_lies_in_the_piece() -> None:
    up, right, _ = rack_drawings(PIECES)

    def head(drawing: Drawing) -> tuple[float, float, float, float]:
        return extent([mark for mark in drawing.marks if isinstance(mark, Area) and mark.fill is Fill.INK])

    assert head(up)[1] > up.height_mm / 2, "up: the head lies in the upper half"
    assert head(right)[0] > right.width_mm / 2, "90 degrees: to the right"
    assert head(right)[2] < right.width_mm


def test_a_speck_of_a_piece_is_drawn_without_an_arrow() -> None:
    assert len(rack_drawings(PIECES)[2].marks) == 1


def test_small_pieces_alone_are_not_blown_up() -> None:
    (drawing,) = rack_drawings(PIECES[2:])
    assert outline_size(drawing) == pytest.approx((10.0, 5.0))


def test_words_tell_what_the_drawing_shows() -> None:
    (drawing,) = rack_drawings([rectangle("R-1", 900, 900, style="Velder Loop", colour="Oatmeal", lot="4471-B", pile_deg=90.0)])
    assert drawing.told == "Velder Loop, Oatmeal, lot 4471-B, pile → 90°"


def test_the_bar_has_the_scale_of_the_pieces() -> None:
    for unit, length_mm, word in ((Unit.FT, 914.4, "3'"), (Unit.CM, 1000.0, "100.0 cm")):
        bar = rack_bar(PIECES, unit)
        left, _, right, _ = extent(bar.marks[:1])
        assert isclose((right - left) * bar.scale, length_mm) and bar.scale == rack_drawings(PIECES)[0].scale
        assert figure_of(bar) == word
    tiny = rack_bar(PIECES[2:], Unit.FT)
    left, _, right, _ = extent(tiny.marks[:1])
    assert right - left <= LARGEST_MM and figure_of(tiny) == "1'"


def test_a_place_where_nothing_lies_has_no_drawings() -> None:
    assert rack_drawings([]) == ()
