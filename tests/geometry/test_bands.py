"""Bands of a floor: of a rectangle found without geometry, corner for corner what geometry gives."""

from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from remnants.geometry import rectangle
from remnants.geometry.bands import band
from remnants.geometry.tolerances import UNION_GRID_MM
from remnants.geometry.turn import turned

mms = st.floats(500.0, 9000.0)
shares = st.floats(-0.1, 1.1)


@given(width=mms, length=mms, quarters=st.integers(0, 3), shares=st.tuples(shares, shares))
def test_a_band_of_a_rectangle_is_what_geometry_gives(
    width: float, length: float, quarters: int, shares: tuple[float, float]
) -> None:
    floor = turned(rectangle(width, length), 90.0 * quarters)
    left, low, right, high = floor.bounds
    start, end = sorted(left + share * (right - left) for share in shares)
    due = Polygon(floor.ring).intersection(box(start, low - 1, end, high + 1), grid_size=UNION_GRID_MM)
    found = band(floor, start, end)
    if found:
        assert Polygon(found[0].ring).equals(due)
        assert Polygon(found[0].ring).exterior.is_ccw
    else:
        assert due.area <= 0.02 * (due.length + 1)


def test_a_band_beyond_the_floor_is_none() -> None:
    assert band(rectangle(1000.0, 2000.0), 1000.0, 1500.0) == ()
    assert band(rectangle(1000.0, 2000.0), -50.0, 500.0)[0].bounds == (0.0, 0.0, 500.0, 2000.0)
    assert band(rectangle(1000.0, 2000.0), 500.0, 1500.0)[0].bounds == (500.0, 0.0, 1000.0, 2000.0)
