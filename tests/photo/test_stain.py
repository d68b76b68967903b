"""One tap in a stain gives its outline, as far off as its bar says at most, and none where it hardly stands out."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from remnants.errors import BadInput, NotMeasured
from remnants.photo.refusals import WhyNot
from remnants.photo.stain import stain_at
from remnants.photo.view import View, view_of
from tests.photo.photographs import Shot, as_jpeg, photographed

SHOT = Shot(width=1280, height=960, tilt_deg=18.0, roll_deg=20.0, away=1100.0, looks_at=(150.0, 0.0), shade=0.4)
ANGLES = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
FAR = 70.0 * (1.0 + 0.25 * np.sin(2 * ANGLES) + 0.1 * np.cos(3 * ANGLES))
MIDDLE = (270.0, 20.0)
BLOT: NDArray[np.float64] = np.column_stack((MIDDLE[0] + FAR * np.cos(ANGLES), MIDDLE[1] + FAR * np.sin(ANGLES)))


def seen(dark: float, shot: Shot = SHOT) -> View:
    return view_of(as_jpeg(photographed(shot, stain=BLOT, dark=dark)), lambda page: 150.0)


def pixel(x: float, y: float) -> tuple[float, float]:
    at = SHOT.pixel_of(np.array([[x, y, 0.0]]))[0]
    return float(at[0]), float(at[1])


@pytest.mark.parametrize(("dark", "least"), [(40.0, 0.96), (18.0, 0.93), (-30.0, 0.95)])
def test_a_stain_is_outlined_as_it_is_within_its_bar(dark: float, least: float) -> None:
    view = seen(dark)
    stain = stain_at(view, pixel(*MIDDLE))
    found = view.outline(stain.corners, edge_mm=stain.edge_mm)
    own, truth = shapely.Polygon(found.ring), shapely.Polygon(BLOT)
    assert own.intersection(truth).area / own.union(truth).area >= least
    assert own.hausdorff_distance(truth) <= found.bar_mm
    assert 8 <= len(found.ring) <= 40


def test_a_stain_that_hardly_stands_out_is_refused() -> None:
    with pytest.raises(NotMeasured, match="tell its corners yourself") as refused:
        stain_at(seen(3.0), pixel(*MIDDLE))
    assert refused.value.why == WhyNot.FAINT


def test_a_tap_on_carpet_on_the_page_or_outside_is_refused() -> None:
    view = seen(40.0)
    with pytest.raises(NotMeasured):
        stain_at(view, pixel(100.0, 330.0))
    with pytest.raises(BadInput, match="the tap lies on the marker page"):
        stain_at(view, pixel(10.0, 10.0))
    with pytest.raises(BadInput, match="lies outside the picture"):
        stain_at(view, (5000.0, 10.0))


def test_a_stain_that_runs_under_the_page_is_refused() -> None:
    near = replace(SHOT, seed=2)
    under = BLOT - np.array([130.0, 0.0])
    view = view_of(as_jpeg(photographed(near, stain=under, dark=40.0)), lambda page: 150.0)
    with pytest.raises(NotMeasured, match="runs under the marker page"):
        stain_at(view, pixel(MIDDLE[0] - 90.0, MIDDLE[1]))
