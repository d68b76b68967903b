"""What cuts leave: areas balance, slivers go, holes become cutouts."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.geometry.outline import TOLERANCE_MM, Outline, Ring, outline_of, rectangle
from remnants.geometry.remainders import remainders
from tests.shapes import SHAPES


def box(x: float, y: float, width: float, length: float) -> Ring:
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))


def assert_balanced(outline: Outline, cuts: list[Ring]) -> None:
    """Remains and cuts make up the usable region, but for slivers; each remain could have been measured."""
    remains = remainders(outline, cuts)
    taken = shapely.union_all([shapely.Polygon(cut) for cut in cuts]).intersection(outline.usable)
    reach = outline.usable.length + sum(shapely.Polygon(cut).length for cut in cuts)
    left = sum(remain.usable_area_mm2 for remain in remains)
    assert left + taken.area == pytest.approx(outline.usable_area_mm2, abs=TOLERANCE_MM * reach)
    room = outline.usable.difference(taken).buffer(TOLERANCE_MM)
    for remain in remains:
        assert room.covers(remain.usable)
        assert outline_of(remain.ring, remain.cutouts) == remain


def test_a_corner_cut_leaves_an_l() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(0, 0, 400, 600)])
    assert len(left.ring) == 6
    assert left.usable_area_mm2 == 1000 * 1600 - 400 * 600


def test_a_cut_across_leaves_two_largest_first() -> None:
    big, small = remainders(rectangle(1000, 1600), [box(0, 300, 1000, 500)])
    assert (big.bounds, small.bounds) == ((0, 800, 1000, 1600), (0, 0, 1000, 300))
    assert big.is_rectangle and small.is_rectangle


def test_a_cut_in_the_middle_leaves_a_cutout() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(300, 500, 150, 120)])
    assert len(left.ring) == 4
    assert len(left.cutouts) == 1


def test_a_cut_of_everything_leaves_nothing_whatever_the_dust() -> None:
    # 12 ft is 12 x 304.8 = 3657.6000000000004 in floats and 144 x 25.4 = 3657.6.
    assert remainders(rectangle(12 * 304.8, 1000), [box(0, 0, 144 * 25.4, 1000 - 1e-9)]) == ()


def test_a_cut_along_the_edge_leaves_clean_corners_whatever_the_dust() -> None:
    (left,) = remainders(rectangle(1000, 1600), [box(0.004, -0.003, 400.0, 1600.004), box(400.001, 1000, 200, 599.998)])
    assert left.is_rectangle is False
    assert sorted(left.ring) == sorted([(400.004, 0), (1000, 0), (1000, 1600), (600.001, 1600), (600.001, 1000), (400.004, 1000)])


def test_no_cut_leaves_the_usable_region() -> None:
    assert remainders(rectangle(1000, 1600), []) == (rectangle(1000, 1600),)
    assert len(remainders(SHAPES["touching pair"], [])) == 2


@pytest.mark.parametrize("name", SHAPES)
def test_areas_balance_for_every_shape(name: str) -> None:
    left, bottom, _, _ = SHAPES[name].bounds
    assert_balanced(SHAPES[name], [box(left, bottom, 333.3, 41.7), box(left + 500, bottom + 200, 210, 430)])
    assert_balanced(SHAPES[name], [((left, bottom), (left + 700, bottom + 50), (left + 640, bottom + 510))])


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(SHAPES)),
    st.lists(st.tuples(st.floats(-200, 1500), st.floats(-200, 1500), st.floats(1, 900), st.floats(1, 900)), max_size=4),
)
def test_areas_balance_for_any_cuts(name: str, boxes: list[tuple[float, float, float, float]]) -> None:
    assert_balanced(SHAPES[name], [box(*figures) for figures in boxes])
