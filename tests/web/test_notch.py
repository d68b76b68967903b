"""An L with its notch at any corner: the whole without the part cut out, told against the clock from its lower side."""

from itertools import pairwise

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from remnants_web.shapes import NOTCHES, outline_of
from tests.thorough import share

SIDE, SHARE = st.integers(2, 400), st.floats(0.05, 0.95)
NAMES = ("ell_width", "ell_length", "out_width", "out_length")


@pytest.mark.parametrize("notch", [name for name, _ in NOTCHES])
@settings(max_examples=share(12), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(sides=st.tuples(SIDE, SIDE), shares=st.tuples(SHARE, SHARE))
def test_an_l_is_the_whole_without_its_notch(app: Flask, notch: str, sides: tuple[int, int], shares: tuple[float, float]) -> None:
    outs = [round(side * share, 3) for side, share in zip(sides, shares, strict=True)]
    form = {"shape": "ell", "notch": notch} | {name: f"{mm} mm" for name, mm in zip(NAMES, (*sides, *outs), strict=True)}
    with app.test_request_context():
        ring = [(float(x.removesuffix(" mm")), float(y.removesuffix(" mm"))) for x, y in outline_of(form)["outline"]]
    far = notch[1] == "r", notch[0] == "u"
    left, low = (side - out if beyond else 0 for side, out, beyond in zip(sides, outs, far, strict=True))
    wanted = box(0, 0, *sides).difference(box(left, low, left + outs[0], low + outs[1]))
    assert Polygon(ring).symmetric_difference(wanted).area < 1e-6
    assert Polygon(ring).exterior.is_ccw
    assert ring[0][1] == ring[1][1] == min(y for _, y in ring), "side 1 is the lower one"
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise([*ring, ring[0]]))
