"""The largest rectangle, against searches that share nothing with it."""

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.geometry.outline import Outline, outline_of, rectangle
from remnants.geometry.rectangles import Rectangle, largest_rectangle
from remnants.geometry.turn import turned
from tests.shapes import SHAPES, SLANTED, SQUARE_CUT
from tests.thorough import share


def brute_square_cut(outline: Outline) -> float:
    """The greatest area over every two x and two y of the corners that shapely finds covered."""
    points = [point for ring in (outline.ring, *outline.cutouts) for point in ring]
    across = list(combinations(sorted({x for x, _ in points}), 2))
    along = list(combinations(sorted({y for _, y in points}), 2))
    boxes = shapely.box(*np.array([(x1, y1, x2, y2) for x1, x2 in across for y1, y2 in along]).T)
    shapely.prepare(outline.usable)
    return float(shapely.area(boxes[shapely.covers(outline.usable, boxes)]).max(initial=0.0))


def brute_grid(outline: Outline, cells: int = 150) -> float:
    """The greatest block of inner cells of a grid: a little less than the best rectangle."""
    left, bottom, right, top = outline.bounds
    xs, ys = np.linspace(left, right, cells + 1), np.linspace(bottom, top, cells + 1)
    low_x, low_y = np.meshgrid(xs[:-1], ys[:-1])
    high_x, high_y = np.meshgrid(xs[1:], ys[1:])
    shapely.prepare(outline.usable)
    inner = shapely.covers(outline.usable, shapely.box(low_x, low_y, high_x, high_y))
    best, heights = 0, np.zeros(cells, dtype=int)
    for row in inner:
        heights = np.where(row, heights + 1, 0)
        for start in range(cells):
            least = np.minimum.accumulate(heights[start:])
            best = max(best, int((least * np.arange(1, cells - start + 1)).max()))
    return float(best * (xs[1] - xs[0]) * (ys[1] - ys[0]))


def box(found: Rectangle, grow: tuple[float, float, float, float] = (0, 0, 0, 0)) -> shapely.Polygon:
    left, bottom, right, top = grow
    return shapely.box(found.x - left, found.y - bottom, found.x + found.width_mm + right, found.y + found.length_mm + top)


def assert_inside_and_touching(outline: Outline, found: Rectangle) -> None:
    room = outline.usable.buffer(1e-5)
    assert room.covers(box(found))
    for side in range(4):
        left, bottom, right, top = (0.05 if at == side else 0.0 for at in range(4))
        assert not room.covers(box(found, (left, bottom, right, top))), f"side {side} could move out"


@pytest.mark.parametrize("name", SQUARE_CUT)
def test_square_cut_outlines_get_the_very_largest(name: str) -> None:
    found = largest_rectangle(SQUARE_CUT[name])
    assert found.area_mm2 == pytest.approx(brute_square_cut(SQUARE_CUT[name]), rel=1e-12)


@pytest.mark.parametrize("name", SHAPES)
def test_it_lies_inside_and_no_side_can_move_out(name: str) -> None:
    assert_inside_and_touching(SHAPES[name], largest_rectangle(SHAPES[name]))


@pytest.mark.parametrize("name", SLANTED)
def test_slanted_outlines_come_near_the_best(name: str) -> None:
    assert largest_rectangle(SLANTED[name]).area_mm2 >= brute_grid(SLANTED[name])


def test_known_largest_rectangles() -> None:
    # A triangle's largest rectangle on its base is half its area: 1200 x 900 / 2 / 2 = 270,000 mm².
    assert largest_rectangle(SLANTED["triangle"]).area_mm2 == pytest.approx(270_000, rel=1e-6)
    # In a 12-gon of radius 600 it is the square on four corners, 600 √2 on a side (corners at 15°, so the corner at 45° is one).
    assert largest_rectangle(SLANTED["12-gon"]).area_mm2 == pytest.approx(720_000, rel=1e-4)


@st.composite
def slotted(draw: st.DrawFn) -> Outline:
    """A rectangle with up to six rectangular cutouts on a 10 mm grid, some over its edge or one another."""
    width, length = draw(st.integers(10, 40)), draw(st.integers(10, 40))
    cutouts = []
    for _ in range(draw(st.integers(0, 6))):
        x, y = draw(st.integers(-3, width - 1)), draw(st.integers(-3, length - 1))
        dx, dy = draw(st.integers(1, 12)), draw(st.integers(1, 12))
        cutouts.append(rectangle(10 * dx, 10 * dy, (10 * x, 10 * y)).ring)
    return Outline(rectangle(10 * width, 10 * length).ring, tuple(cutouts))


@settings(max_examples=share(60), deadline=None)
@given(slotted())
def test_any_square_cut_outline_gets_the_very_largest(outline: Outline) -> None:
    assert largest_rectangle(outline).area_mm2 == pytest.approx(brute_square_cut(outline), rel=1e-12)


@st.composite
def starry(draw: st.DrawFn) -> Outline:
    """An outline round a centre with 5 to 20 corners at any distance, and perhaps a slanted cutout."""
    corners = draw(st.integers(5, 20))
    reach = draw(st.lists(st.integers(250, 900), min_size=corners, max_size=corners))
    steps = [2 * math.pi * index / corners for index in range(corners)]
    ring = [(far * math.cos(step), far * math.sin(step)) for far, step in zip(reach, steps, strict=True)]
    cutouts = [[(-60, -200), (90, -150), (20, -40)]] if draw(st.booleans()) else []
    return outline_of(ring, cutouts)


@settings(max_examples=share(40), deadline=None)
@given(starry())
def test_any_slanted_outline_gets_one_inside_and_near_the_best(outline: Outline) -> None:
    found = largest_rectangle(outline)
    assert_inside_and_touching(outline, found)
    assert found.area_mm2 >= 0.99 * brute_grid(outline, 80)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("pile_deg", [90.0, 180.0, 270.0])
def test_a_quarter_turn_of_pile_and_piece_changes_nothing(name: str, pile_deg: float) -> None:
    plain = largest_rectangle(SHAPES[name])
    turned_along = largest_rectangle(turned(SHAPES[name], pile_deg), pile_deg)
    assert (turned_along.width_mm, turned_along.length_mm) == pytest.approx((plain.width_mm, plain.length_mm))


def test_sides_run_along_the_pile_and_the_ring_is_in_the_pieces_axes() -> None:
    outline = turned(rectangle(400, 1000), 30)
    found = largest_rectangle(outline, 30)
    assert (found.width_mm, found.length_mm) == pytest.approx((400, 1000), abs=1e-4)
    assert outline.usable.buffer(1e-4).covers(shapely.Polygon(found.ring))


def test_what_is_thinner_than_the_tolerance_holds_no_rectangle() -> None:
    # All but the top 0.005 mm is cut out, half the tolerance.
    found = largest_rectangle(Outline(rectangle(100, 100).ring, (((-1, -1), (101, -1), (101, 99.995), (-1, 99.995)),)))
    assert (found.width_mm, found.length_mm) == (0, 0)


def test_a_long_sliver_aslant_has_a_rectangle_too() -> None:
    # 0.5 mm thick and 2.1 m long at 45 degrees: no slice of 2,000 across it is fine enough to see what fits upright in it.
    sliver = Outline(((-260.81068, 2772.39457), (-261.16494, 2772.04031), (1255.43768, 1255.43768), (1255.79194, 1255.79194)))
    upright, along = largest_rectangle(sliver), largest_rectangle(sliver, 45)
    assert upright.area_mm2 == pytest.approx(0.5**2 / 2, rel=0.1), "a quarter of a millimetre square or so"
    assert sliver.usable.buffer(0.001).contains(shapely.Polygon(upright.ring))
    assert along.area_mm2 == pytest.approx(0.5 * 2144.8, rel=0.01)
