"""Repeats and rows, worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remnants.errors import BadInput
from remnants.geometry.lattice import Lattice, Rows, offset
from remnants.geometry.turn import turned_point

INCH = 25.4


def inches(value: float) -> float:
    return value * INCH


def test_a_set_match_comes_again_straight_across() -> None:
    # Repeat 12 x 18 in: 24 in across and 36 in up meets; 24 across and 27 up is half a repeat (9 in) out.
    lattice = Lattice(inches(12), inches(18))
    assert lattice.meets((inches(24), inches(36)))
    assert lattice.out_by((inches(24), inches(30))) == pytest.approx((0, inches(-6)))
    assert abs(lattice.out_by((inches(24), inches(27)))[1]) == pytest.approx(inches(9))


def test_a_half_drop_comes_again_half_a_repeat_up() -> None:
    # One repeat across shifts by 18/2 = 9 in; two across by a whole repeat, so straight across again.
    lattice = Lattice(inches(12), inches(18), 0.5)
    assert lattice.meets((inches(12), inches(9)))
    assert not lattice.meets((inches(12), 0.0))
    assert lattice.meets((inches(24), 0.0))


def test_a_quarter_drop_takes_four_breadths_to_come_round() -> None:
    # Source: four breadths to come round, from memory. One repeat across shifts by 18/4 = 4.5 in.
    lattice = Lattice(inches(12), inches(18), 0.25)
    assert lattice.meets((inches(12), inches(4.5)))
    assert [lattice.meets((inches(12 * breadths), 0.0)) for breadths in (1, 2, 3, 4)] == [False, False, False, True]


def test_points_in_a_region_by_hand() -> None:
    # Half-drop of 100 x 60: columns at 0, 100, 200; the middle one 30 up. Edges count.
    points = Lattice(100, 60, 0.5).points_in((0, 0, 200, 90))
    assert points.tolist() == [[0, 0], [0, 60], [100, 30], [100, 90], [200, 0], [200, 60]]


def test_the_first_point_at_or_after_a_place() -> None:
    lattice = Lattice(100, 60, 0.5)
    assert lattice.at_or_after((0, 0)) == (0, 0)
    assert lattice.at_or_after((1, 1)) == (100, 30)
    assert lattice.at_or_after((100, 31), (5, 5)) == (105, 35)


def test_too_many_points_are_a_slip_of_the_unit() -> None:
    with pytest.raises(BadInput, match="check its unit"):
        Lattice(0.1, 0.1).points_in((0, 0, 5000, 5000))


def test_motifs_meet_whatever_the_bearings() -> None:
    # The piece's pile points right (90°), the patch's up: the piece, turned by 270°, is laid so that both motifs coincide.
    motif, onto = (40.0, 70.0), (500.0, 20.0)
    shift = offset(motif, 90, onto, 0)
    x, y = turned_point(motif, 270)
    assert (x + shift[0], y + shift[1]) == onto


@pytest.mark.parametrize("figures", [(0, 10, 0), (10, math.nan, 0), (10, 10, 1), (10, 10, -0.5)])
def test_what_is_no_repeat_is_refused(figures: tuple[float, float, float]) -> None:
    with pytest.raises(BadInput):
        Lattice(*figures)


lattices = st.builds(Lattice, st.floats(20, 900), st.floats(20, 900), st.sampled_from([0, 0.25, 0.5, 1 / 3, 0.7]))
places = st.floats(-3000, 3000)


@given(lattices, places, places)
def test_the_nearest_is_of_the_lattice_and_none_is_nearer(lattice: Lattice, x: float, y: float) -> None:
    nearest = lattice.nearest((x, y))
    assert lattice.meets(nearest)
    far = math.dist(nearest, (x, y))
    around = lattice.points_in((x - far, y - far, x + far, y + far))
    assert min(math.dist(point, (x, y)) for point in around) >= far - 1e-6


@given(lattices, places, places)
def test_moving_by_whole_repeats_changes_nothing(lattice: Lattice, x: float, y: float) -> None:
    move = lattice.move(3, -2)
    out, moved = lattice.out_by((x, y)), lattice.out_by((x + move[0], y + move[1]))
    assert math.hypot(*out) == pytest.approx(math.hypot(*moved), abs=1e-6)


def test_a_cut_with_the_row_runs_in_a_gap() -> None:
    # Rows 1/4 in apart, one gap at 1/8 in: gaps at 1/8, 3/8, 5/8 ...
    rows = Rows(inches(0.25), inches(0.125))
    assert rows.at_or_before(inches(1)) == pytest.approx(inches(0.875))
    assert rows.at_or_after(inches(1)) == pytest.approx(inches(1.125))
    assert rows.nearest(inches(1)) == pytest.approx(inches(0.875))
    assert rows.at_or_after(inches(1.125) + 0.005) == pytest.approx(inches(1.125)), "within the tolerance is in the gap"
    assert rows.between(inches(0), inches(1)) == pytest.approx((inches(0.125), inches(0.875)))
    assert rows.between(inches(0.9), inches(1)) is None
    with pytest.raises(BadInput):
        Rows(0)
