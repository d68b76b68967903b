"""A photograph is measured in, or refused with what to do; a rendered one tells the truth within its bars."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from remnants.errors import BadFile, BadInput, NotMeasured
from remnants.photo import opened as opening
from remnants.photo.refusals import WhyNot
from remnants.photo.view import View, view_of
from tests.photo.known import off_mm
from tests.photo.photographs import Laid, Shot, as_jpeg, photographed

STAIN: NDArray[np.float64] = np.array([(150.0, 0.0), (260.0, -20.0), (330.0, 60.0), (240.0, 130.0), (140.0, 90.0)])
SHOT = Shot(width=1280, height=960, tilt_deg=20.0, roll_deg=30.0, away=1100.0, lens=0.01, looks_at=(120.0, 20.0))


def bar(page: int) -> float:
    return 150.0


def pixels(shot: Shot, points: NDArray[np.float64]) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in shot.pixel_of(np.column_stack((points, np.zeros(len(points)))))]


def refusal(shot: Shot, jpeg: bytes | None = None, lens_35: float | None = None) -> NotMeasured:
    with pytest.raises(NotMeasured) as refused:
        view_of(jpeg or as_jpeg(photographed(shot)), bar, lens_35=lens_35)
    return refused.value


@pytest.fixture(scope="module")
def picture() -> NDArray[np.uint8]:
    return photographed(SHOT, stain=STAIN)


@pytest.fixture(scope="module")
def view(picture: NDArray[np.uint8]) -> View:
    return view_of(as_jpeg(picture), bar)


def test_where_the_camera_stood_is_found(view: View) -> None:
    assert view.camera.tilt_deg == pytest.approx(20.0, abs=1.5)
    assert view.camera.rms_px < 0.2
    assert max(view.camera.curls_mm) < 1.5


def test_sides_and_outline_of_a_stain_are_true_within_their_bars(view: View) -> None:
    found = view.outline(pixels(SHOT, STAIN))
    for side, one, other in zip(found.sides, STAIN, np.roll(STAIN, -1, axis=0), strict=True):
        assert abs(side.mm - np.hypot(*(other - one))) <= side.bar_mm
    assert off_mm(found.ring, STAIN) <= found.bar_mm < 12.0


def test_a_page_printed_too_small_is_measured_by_its_own_bar(picture: NDArray[np.uint8]) -> None:
    one, other = pixels(SHOT, STAIN)[:2]
    small = view_of(as_jpeg(picture), lambda page: 145.5).length(one, other)
    assert small.mm == pytest.approx(0.97 * np.hypot(110.0, 20.0), abs=small.bar_mm)


def test_what_lies_above_the_page_is_measured_there() -> None:
    lifted = np.column_stack((STAIN[:2], [60.0, 60.0]))
    ends = [(float(x), float(y)) for x, y in SHOT.pixel_of(lifted)]
    view = view_of(as_jpeg(photographed(SHOT)), bar)
    truth = float(np.hypot(*(STAIN[1] - STAIN[0])))
    assert view.length(*ends, above_mm=60.0).mm == pytest.approx(truth, abs=2.0)
    assert view.length(*ends).mm > truth + 3.0


def test_pictures_come_back_upright_and_taps_are_of_the_upright_one(picture: NDArray[np.uint8]) -> None:
    sideways = np.ascontiguousarray(np.rot90(picture))  # stored turned, shown as it was
    view = view_of(as_jpeg(sideways, orientation=6), bar)
    assert view.picture.full_size == (1280, 960)
    assert off_mm(view.outline(pixels(SHOT, STAIN)).ring, STAIN) < 6.0


def test_taps_on_a_large_picture_are_brought_to_the_one_looked_at(
    picture: NDArray[np.uint8], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "MOST_SIDE", 1000)
    view = view_of(as_jpeg(picture), bar)
    assert view.picture.size == (1000, 750)
    assert off_mm(view.outline(pixels(SHOT, STAIN)).ring, STAIN) < 8.0


def test_a_lens_that_is_told_stands_in_for_one_that_is_not(picture: NDArray[np.uint8]) -> None:
    bare = as_jpeg(picture, told_35=None)
    refused = refusal(SHOT, bare)
    assert refused.why == WhyNot.NO_LENS and "as the camera stored it" in str(refused)
    assert off_mm(view_of(bare, bar, lens_35=26.0).outline(pixels(SHOT, STAIN)).ring, STAIN) < 6.0
    with pytest.raises(BadInput, match="3 mm is no lens"):
        view_of(bare, bar, lens_35=3.0)


def test_a_zoomed_a_cropped_and_a_mirrored_picture_are_refused(picture: NDArray[np.uint8]) -> None:
    cut = np.ascontiguousarray(picture[:720])
    assert refusal(SHOT, as_jpeg(picture, zoom=2.0)).why == WhyNot.ZOOMED
    assert refusal(SHOT, as_jpeg(cut, sensor=(1280, 960))).why == WhyNot.CROPPED
    assert refusal(SHOT, as_jpeg(cut)).why == WhyNot.OTHER_SHAPE
    assert refusal(SHOT, as_jpeg(picture, orientation=2)).why == WhyNot.MIRRORED
    assert refusal(SHOT, as_jpeg(np.ascontiguousarray(picture[:, ::-1]))).why == WhyNot.MIRRORED


def test_marks_of_a_board_that_others_print_are_told_apart_from_no_page_at_all() -> None:
    told = refusal(replace(SHOT, pages=(Laid(page=0),)))
    assert told.why == WhyNot.FOREIGN and "print a page of ours" in str(told)
    assert refusal(replace(SHOT, pages=())).why == WhyNot.NO_PAGE


def test_a_picture_that_is_a_part_of_another_of_the_same_shape_is_refused_where_it_can_be_told() -> None:
    aslant = replace(SHOT, tilt_deg=38.0, away=900.0)
    part = photographed(aslant)[120:840, 160:1120]
    assert refusal(aslant, as_jpeg(np.ascontiguousarray(part)), 13.0).why == WhyNot.CROPPED


def test_a_page_that_curls_is_refused() -> None:
    refused = refusal(replace(SHOT, tilt_deg=30.0, pages=(Laid(bent=(0.0, 0.0, 6.0)),)))
    assert refused.why == WhyNot.CURLED and "put it on a clipboard" in str(refused)


def test_a_page_that_is_not_as_printed_is_refused(picture: NDArray[np.uint8]) -> None:
    stretched = replace(SHOT, pages=(Laid(wave=3.0),), tilt_deg=38.0)
    assert refusal(stretched).why in (WhyNot.SPOILED, WhyNot.CURLED)


def test_a_second_page_on_a_stair_is_refused() -> None:
    on_a_stair = Laid(page=8, middle=(300.0, 0.0), bent=(0.0, 0.0, 0.0), scale=1.12)
    refused = refusal(replace(SHOT, pages=(Laid(), on_a_stair), looks_at=(150.0, 0.0), tilt_deg=30.0))
    assert refused.why == WhyNot.OTHER_PLANE


def test_two_pages_reach_further_than_one() -> None:
    far = Laid(page=8, middle=(420.0, 0.0), turn_deg=20.0)
    shot = replace(SHOT, pages=(Laid(), far), away=1500.0, looks_at=(420.0, 0.0), tilt_deg=5.0, roll_deg=0.0)
    view = view_of(as_jpeg(photographed(shot)), bar)
    assert view.camera.pages == (7, 8)
    ends = np.array([(300.0, 250.0), (800.0, 250.0)])
    found = view.length(*pixels(shot, ends))
    assert abs(found.mm - 500.0) <= found.bar_mm


def test_what_is_too_far_or_too_aslant_is_refused(view: View) -> None:
    with pytest.raises(NotMeasured, match="lay it nearer") as refused:
        view.length((5.0, 5.0), (700.0, 500.0)) if _far(view, (5.0, 5.0)) else view.length((1275.0, 5.0), (700.0, 500.0))
    assert refused.value.why == WhyNot.FAR_FROM_PAGE
    steep = replace(SHOT, tilt_deg=46.0, roll_deg=0.0)
    slanted = view_of(as_jpeg(photographed(steep)), bar)
    assert slanted.length(*pixels(steep, STAIN[:2])).mm == pytest.approx(np.hypot(110, 20), abs=6.0)
    with pytest.raises(NotMeasured, match="away from straight down") as refused:
        slanted.outline(pixels(steep, STAIN))
    assert refused.value.why == WhyNot.TILTED


def _far(view: View, pixel: tuple[float, float]) -> bool:
    return bool(np.hypot(*view.camera.on_carpet(np.array([pixel]))[0]) > 760.0)


def test_a_bar_over_half_the_allowance_is_refused(view: View) -> None:
    with pytest.raises(NotMeasured, match="over half of its allowance of 2 mm") as refused:
        view.outline(pixels(SHOT, STAIN), most_bar_mm=1.0)
    assert refused.value.why == WhyNot.WIDE_BAR


def test_corners_outside_the_picture_or_too_few_are_told(view: View) -> None:
    with pytest.raises(BadInput, match=r"corners\[1\]: \(5000, 10\) lies outside the picture of 1280 x 960"):
        view.length((10.0, 10.0), (5000.0, 10.0))
    with pytest.raises(BadInput, match="3 to 100 corners, not 2"):
        view.outline([(600.0, 500.0), (640.0, 500.0)])


def test_a_page_whose_bar_nobody_told_is_refused_by_who_knows(picture: NDArray[np.uint8]) -> None:
    def untold(page: int) -> float:
        raise NotMeasured(f"page {page}")

    with pytest.raises(NotMeasured, match="page 7"):
        view_of(as_jpeg(picture), untold)


@pytest.mark.parametrize("cut", [20, 400, 5000, 20_000])
def test_what_is_no_picture_or_breaks_off_is_refused(picture: NDArray[np.uint8], cut: int) -> None:
    with pytest.raises((BadFile, NotMeasured)):
        view_of(as_jpeg(picture)[:cut], bar)
