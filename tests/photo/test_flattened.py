"""A photograph made flat measures as the photograph itself does, after it is gone; its pixels lie where the camera saw them."""

import io
import json
from dataclasses import replace

import numpy as np
import pytest
import shapely
from PIL import Image

from remnants.desk.workers import Budget, Worker, parcel_of, value_of
from remnants.errors import BadInput, NotMeasured
from remnants.limits import READ_MEMORY, READ_SECONDS
from remnants.photo.camera import turn_of
from remnants.photo.flat import whole_flat
from remnants.photo.flattened import Flattened, flattened, flattened_of
from remnants.photo.refusals import WhyNot
from remnants.photo.stain import stain_on
from remnants.photo.view import View, view_of
from remnants_web.photo_questions import PhotoMeasured, StainTapped
from tests.photo.known import off_mm
from tests.photo.photographs import Shot, as_jpeg, photographed
from tests.thorough import EVERY

BLOT = np.array([(170, -60), (230, -85), (300, -60), (322, 10), (300, 90), (225, 75), (150, 90), (140, 20)], dtype=np.float64)
SHOT = Shot(width=1280, height=960, tilt_deg=14.0, roll_deg=25.0, away=1100.0, looks_at=(120.0, 20.0), lens=0.01)


@pytest.fixture(scope="module")
def jpeg() -> bytes:
    return as_jpeg(photographed(SHOT, stain=BLOT))


@pytest.fixture(scope="module")
def view(jpeg: bytes) -> View:
    return view_of(jpeg, lambda page: 150.0)


@pytest.fixture(scope="module")
def flat(view: View) -> Flattened:
    made = flattened(view)
    return flattened_of(made.flat.jpeg, json.loads(json.dumps(made.told())))


def test_a_corner_is_measured_as_in_the_photograph_itself(view: View, flat: Flattened) -> None:
    pixels = [(float(x), float(y)) for x, y in SHOT.pixel_of(np.column_stack((BLOT, np.zeros(len(BLOT)))))]
    there = view.outline(pixels)
    here = flat.outline(there.ring)
    assert here.bar_mm == pytest.approx(there.bar_mm, rel=1e-3)
    for one, other in zip(here.sides, there.sides, strict=True):
        assert (one.mm, one.bar_mm) == pytest.approx((other.mm, other.bar_mm), rel=1e-3)
    assert off_mm(here.ring, BLOT) <= here.bar_mm


def test_its_pixels_lie_where_the_camera_saw_them(view: View, flat: Flattened) -> None:
    """The stain's corners, worked out by the generator, are at the edge of what is dark in the flat picture."""
    assert max(flat.flat.size) == 2400 and 1.4 < flat.flat.px_per_mm < 3.0
    columns, rows = flat.flat.pixel_of(*BLOT.T)
    box = (int(columns.min()), int(rows.min()), int(columns.max()), int(rows.max()))
    dark = flat.colour(box).mean(axis=2)
    middle = dark[dark.shape[0] // 2 - 30 : dark.shape[0] // 2 + 30, dark.shape[1] // 2 - 30 : dark.shape[1] // 2 + 30]
    corner = dark[:20, :20]
    assert corner.mean() - middle.mean() > 25


def test_what_lies_above_the_page_is_flattened_there(view: View) -> None:
    lifted = flattened(view, above_mm=60.0)
    ends = view.camera.on_carpet(SHOT.pixel_of(np.array([(150.0, 0.0, 60.0), (300.0, 0.0, 60.0)])), 60.0)
    found = lifted.length(*((float(x), float(y)) for x, y in ends))
    assert abs(found.mm - 150.0) <= found.bar_mm


def test_a_tap_on_it_gives_the_outline_within_its_bar(flat: Flattened) -> None:
    stain = stain_on(flat, (230.0, 10.0))
    found = flat.outline(stain.corners, edge_mm=stain.edge_mm)
    own, truth = shapely.Polygon(found.ring), shapely.Polygon(BLOT)
    assert own.intersection(truth).area / own.union(truth).area >= 0.95
    assert own.hausdorff_distance(truth) <= found.bar_mm
    for tap, told in (((0.0, 0.0), "marker page"), ((9000.0, 0.0), "outside the photograph")):
        with pytest.raises(BadInput, match=told):
            stain_on(flat, tap)
    with pytest.raises(NotMeasured, match="tell its corners yourself"):
        stain_on(flat, (100.0, 260.0))


def test_what_can_not_be_believed_is_refused_with_what_to_do(view: View, flat: Flattened) -> None:
    with pytest.raises(BadInput, match="corner 2 lies outside the photograph"):
        flat.length((0.0, 0.0), (5000.0, 0.0))
    with pytest.raises(BadInput, match="3 to 100 corners, not 1"):
        flat.outline([(0.0, 0.0)])
    turned = replace(view.camera, base=turn_of(np.array([0.9, 0.0, 0.0])), figures=view.camera.figures * (np.arange(14) > 2))
    with pytest.raises(NotMeasured) as refused:
        flattened(replace(view, camera=turned))
    assert refused.value.why == WhyNot.TILTED


def test_all_of_the_carpet_within_reach_is_in_it_and_no_more_than_the_picture_shows(view: View) -> None:
    made = whole_flat(view, side_px=300)
    left, bottom = made.corner_mm
    right, top = left + made.size[0] / made.px_per_mm, bottom + made.size[1] / made.px_per_mm
    assert left < BLOT[:, 0].min() and right > BLOT[:, 0].max() and bottom < BLOT[:, 1].min() and top > BLOT[:, 1].max()
    assert right - left < 2200 and top - bottom < 2200


@pytest.mark.skipif(EVERY != 1, reason="starts a process and reads twelve megapixels; REMNANTS_THOROUGH=1 asks for it")
def test_twelve_megapixels_are_flattened_and_tapped_within_what_a_reading_process_may_take(jpeg: bytes) -> None:
    with Image.open(io.BytesIO(jpeg)) as small:
        out = io.BytesIO()
        small.resize((4000, 3000)).save(out, "JPEG", quality=85, exif=as_exif(small))
    reader = Worker(Budget(READ_SECONDS, READ_MEMORY))
    try:
        asked = PhotoMeasured(out.getvalue(), ((7, 150.0),), None, 0.0)
        found = value_of(reader.work(parcel_of(asked)))
        assert isinstance(found, Flattened) and found.camera.size == (4000, 3000)
        stain = value_of(reader.work(parcel_of(StainTapped(found, (230.0, 10.0)))))
        assert shapely.Polygon(stain.corners).area == pytest.approx(shapely.Polygon(BLOT).area, rel=0.05)
        assert reader.fit_to_go_on
    finally:
        reader.end()


def as_exif(small: Image.Image) -> Image.Exif:
    """The picture's own data, its size as it is now."""
    data = small.getexif()
    data.get_ifd(0x8769).update({0xA002: 4000, 0xA003: 3000})
    return data
