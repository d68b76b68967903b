"""HEIC pictures, as many phones store them: read like any other where a library is there, else told how to send another kind.

`tests/photo/hall.heic` is a synthetic photograph of marker page 7 on a carpet, 1280 x 960, 26 mm by 35 mm film, with a place.
"""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from remnants.errors import BadFile
from remnants.exchange.keepsake import kept_picture
from remnants.limits import PHOTO_PIXELS_WHOLE
from remnants.matching import heif, picture
from remnants.photo.view import view_of
from tests.photo.photographs import Shot

HEIC = (Path(__file__).parents[1] / "photo" / "hall.heic").read_bytes()
SHOT = Shot(width=1280, height=960, tilt_deg=12.0, away=1100.0, looks_at=(120.0, 20.0))
"""How it was taken."""


def test_a_length_in_one_is_true_within_its_bar() -> None:
    view = view_of(HEIC, lambda page: 150.0)
    ends = SHOT.pixel_of(np.array([(150.0, 90.0, 0.0), (300.0, 90.0, 0.0)]))
    found = view.length(*((float(x), float(y)) for x, y in ends))
    assert abs(found.mm - 150.0) <= found.bar_mm < 10.0
    assert view.camera.pages == (7,) and view.picture.full_size == (1280, 960)


def test_it_is_kept_as_a_jpeg_of_bare_pixels() -> None:
    kept = kept_picture(HEIC)
    with Image.open(io.BytesIO(kept.jpeg)) as image:
        assert image.format == "JPEG" and not image.getexif() and image.size == (1280, 960)


def test_without_the_library_it_is_told_how_to_send_another_kind(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heif, "find_spec", lambda name: None)
    with pytest.raises(BadFile, match="Set the camera to JPEG"):
        view_of(HEIC, lambda page: 150.0)
    assert heif.kinds_of(b"\xff\xd8\xff") == heif.KINDS


@pytest.mark.parametrize("at", [24, 300, 4000, len(HEIC) // 2, len(HEIC) - 1])
def test_one_that_breaks_off_or_is_damaged_is_refused_or_read(at: int) -> None:
    with pytest.raises(BadFile):
        picture.picture_in(HEIC[: min(at, len(HEIC) // 2)], 4000)
    damaged = HEIC[:at] + bytes(each ^ 0x5A for each in HEIC[at : at + 40]) + HEIC[at + 40 :]
    try:
        assert picture.picture_in(damaged, 4000).size[0] <= 4000
    except BadFile as error:
        assert "picture" in str(error)


def test_its_size_is_bounded_as_that_of_any_that_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    assert PHOTO_PIXELS_WHOLE > 12_000_000
    monkeypatch.setattr(picture, "PHOTO_PIXELS_WHOLE", 1_000_000)
    with pytest.raises(BadFile, match="1280 x 960"):
        picture.picture_in(HEIC, 4000)
