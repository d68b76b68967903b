"""The screen errs only in the safe direction, against containment by shapely, and is exact where edges run with the axes."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.geometry.outline import Outline, outline_of, rectangle
from remnants.geometry.rectangles import largest_rectangle
from remnants.geometry.staircase import Screened, Staircase, Staircases, largest_step, staircase_of
from remnants.geometry.turn import turned
from tests.shapes import SHAPES, SQUARE_CUT
from tests.thorough import share


def holds(outline: Outline, width: float, length: float) -> bool:
    """True if a rectangle can lie in the usable region: somewhere its corner is clear of every edge swept by its mirror image."""
    usable = outline.usable
    corners = np.array([(0.0, 0.0), (-width, 0.0), (-width, -length), (0.0, -length)])
    swept = []
    for part in shapely.get_parts(usable):
        for ring in (part.exterior, *part.interiors):
            points = np.array(ring.coords)
            for start, end in pairwise(points):
                swept.append(shapely.MultiPoint(np.concatenate([start + corners, end + corners])).convex_hull)
    # On a grid: plain floats lose the whole remainder of some outlines with slivers.
    rest = shapely.difference(usable, shapely.union_all(swept, grid_size=1e-6), grid_size=1e-6)
    return not rest.buffer(-1e-4).is_empty


def screened(outline: Outline, width: float, length: float) -> Screened:
    return Screened(Staircases([staircase_of(outline).pack()]).screen((width, length))[0])


SIZES = [(40, 1500), (150, 900), (300, 300), (410, 600), (480, 480), (700, 400), (990, 640), (1100, 90), (1700, 20)]


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("width", "length"), SIZES)
def test_what_it_says_is_so(name: str, width: float, length: float) -> None:
    said = screened(SHAPES[name], width, length)
    if said is Screened.FITS:
        assert holds(SHAPES[name], width - 0.05, length - 0.05)
    if said is Screened.CANT:
        assert not holds(SHAPES[name], width, length)
    if name in SQUARE_CUT:
        assert said is not Screened.UNDECIDED


@st.composite
def jagged(draw: st.DrawFn) -> Outline:
    """An outline round a centre with 5 to 16 corners at any distance, perhaps with a cutout."""
    corners = draw(st.integers(5, 16))
    reach = draw(st.lists(st.integers(200, 1200), min_size=corners, max_size=corners))
    steps = [2 * math.pi * index / corners for index in range(corners)]
    ring = [(far * math.cos(step), far * math.sin(step)) for far, step in zip(reach, steps, strict=True)]
    return outline_of(ring, [[(-60, -200), (90, -150), (20, -40)]] if draw(st.booleans()) else [])


@settings(max_examples=share(60), deadline=None)
@given(jagged(), st.lists(st.tuples(st.floats(5, 1400), st.floats(5, 1400)), min_size=3, max_size=3))
def test_what_it_says_is_so_of_any_outline(outline: Outline, sizes: list[tuple[float, float]]) -> None:
    for width, length in sizes:
        said = screened(outline, width, length)
        if said is Screened.FITS:
            assert holds(outline, width - 0.05, length - 0.05)
        if said is Screened.CANT:
            assert not holds(outline, width, length)


@settings(max_examples=share(40), deadline=None)
@given(jagged(), st.floats(5, 1400))
def test_the_longest_lies_between_its_bounds(outline: Outline, width: float) -> None:
    bounds = Staircases([staircase_of(outline).pack()]).longest(width)
    certain, possible = float(bounds.certain[0]), float(bounds.possible[0])
    assert certain <= possible
    assert certain == 0 or holds(outline, width - 0.05, certain - 0.05)
    assert not holds(outline, width, possible + 0.05)
    back = Staircases([staircase_of(outline).pack()]).widest(certain) if certain else None
    assert back is None or back.certain[0] >= width - 0.01


@pytest.mark.parametrize("name", SQUARE_CUT)
def test_square_cut_outlines_have_one_exact_staircase(name: str) -> None:
    stairs = staircase_of(SQUARE_CUT[name])
    assert stairs.upper == stairs.lower
    for width, length in stairs.lower:
        assert holds(SQUARE_CUT[name], width - 0.05, length - 0.05)
        assert not holds(SQUARE_CUT[name], width + 0.05, length)
        assert not holds(SQUARE_CUT[name], width, length + 0.05)


def test_the_staircase_of_an_l_by_hand() -> None:
    # 1200 x 500 at the foot, 400 x 1500 upright.
    stairs = staircase_of(SHAPES["L"])
    assert stairs.lower == ((400, 1500), (1200, 500))
    bounds = Staircases([stairs.pack()]).longest(401)
    assert (bounds.certain[0], bounds.possible[0]) == (500, 500)


def test_float_dust_neither_hides_a_fit_nor_makes_one() -> None:
    # 12 ft is 12 x 304.8 = 3657.6000000000004 in floats and 144 x 25.4 = 3657.6.
    assert screened(rectangle(144 * 25.4, 1000), 12 * 304.8, 1000) is Screened.FITS
    assert screened(rectangle(3657.6, 1000), 3657.607, 1000) is Screened.UNDECIDED, "within the tolerance: left to the exact test"
    assert screened(rectangle(3657.6, 1000), 3657.63, 1000) is Screened.CANT


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("pile_deg", [90.0, 180.0, 270.0])
def test_it_is_seen_along_the_pile(name: str, pile_deg: float) -> None:
    plain = staircase_of(SHAPES[name])
    along = staircase_of(turned(SHAPES[name], pile_deg), pile_deg)
    assert np.allclose(plain.lower, along.lower, atol=0.002)
    assert np.allclose(plain.upper, along.upper, atol=0.002)


@pytest.mark.parametrize("name", SHAPES)
def test_packed_small_and_read_back(name: str) -> None:
    stairs = staircase_of(SHAPES[name])
    assert Staircase.unpack(stairs.pack()) == stairs
    assert len(stairs.pack()) <= 8 + 2 * 8 * 24
    if name == "rectangle":
        assert len(stairs.pack()) == 16


def test_many_are_asked_at_once_each_its_own_answer() -> None:
    every = Staircases([staircase_of(outline).pack() for outline in SHAPES.values()])
    assert len(every) == len(SHAPES)
    for size in SIZES:
        assert every.screen(size).tolist() == [screened(outline, *size) for outline in SHAPES.values()]


def test_an_odd_part_can_be_ruled_out_by_a_rectangle_inside_it() -> None:
    # An L of 900 x 900 with arms 300 wide holds 300 x 900 and 900 x 300; no rectangle of 600 x 2000 holds the second.
    pieces = Staircases([staircase_of(rectangle(600, 2000)).pack(), staircase_of(rectangle(1000, 1000)).pack()])
    assert pieces.screen((900, 900), [(300, 900), (900, 300)]).tolist() == [Screened.CANT, Screened.FITS]
    notched = Staircases([staircase_of(SHAPES["U"]).pack()])
    assert notched.screen((1500, 900), [(1500, 200)]).tolist() == [Screened.UNDECIDED]


def test_no_pieces_no_answers() -> None:
    assert Staircases([]).screen((100, 100)).size == 0
    assert Staircases([]).longest(100).certain.size == 0


@pytest.mark.parametrize("name", SHAPES)
def test_the_largest_step_is_the_largest_rectangle_or_a_little_smaller_where_edges_slant(name: str) -> None:
    for pile_deg in (0.0, 90.0, 37.0):
        width, length = largest_step(staircase_of(SHAPES[name], pile_deg).pack())
        most = largest_rectangle(SHAPES[name], pile_deg).area_mm2
        least = 0.9 if name not in SQUARE_CUT or pile_deg == 37.0 else 1 - 1e-4
        assert least * most - 1000 <= width * length <= most * (1 + 1e-6), (pile_deg, width, length)  # but for slivers


@pytest.mark.parametrize("name", SQUARE_CUT)
@pytest.mark.parametrize("pile_deg", [0.0, 90.0, 180.0])
def test_a_few_strips_gone_through_one_by_one_give_the_same_steps_as_arrays(
    name: str, pile_deg: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    one_by_one = staircase_of(SHAPES[name], pile_deg)
    monkeypatch.setattr("remnants.geometry.staircase.FEW_STRIPS", 0)
    assert staircase_of(SHAPES[name], pile_deg) == one_by_one
