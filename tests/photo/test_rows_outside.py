"""Rows on real textures that others took: told where there are some, refused where there are none.

The data: brick, grass and gravel (CC0) as the package scikit-image carries them in its wheel, 512 x 512. The courses of the brick
run up the picture, seen a little aslant: they fan out by some degrees, and 14 of them lie across it (counted by eye, 36.5 pixels
each by a Fourier transform of the sums of its columns).
"""

import io
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from remnants.errors import NotMeasured
from remnants.photo.flattened import Flattened
from remnants.photo.refusals import WhyNot
from remnants.photo.rows import rows_at
from tests.photo.test_rows import SPOT, flat, turned

__all__ = ["flat"]

WIDE_MM = 240.0
COURSES = 512 / 36.5


def covered(flat: Flattened, name: str, turn_deg: float, wide_mm: float = WIDE_MM) -> Flattened:
    """The carpet with a texture laid round the spot, turned clockwise, so many mm wide."""
    spec = find_spec("skimage")
    assert spec is not None and spec.submodule_search_locations, "the test data is not installed"
    with Image.open(Path(spec.submodule_search_locations[0]) / "data" / f"{name}.png") as image:
        texture = np.asarray(image.convert("L"), dtype=np.float32)
    across, down = flat.flat.size
    x = flat.flat.corner_mm[0] + (np.arange(across) + 0.5) / flat.flat.px_per_mm - SPOT[0]
    y = flat.flat.corner_mm[1] + (down - np.arange(down) - 0.5) / flat.flat.px_per_mm - SPOT[1]
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    scale, half = len(texture) / wide_mm, len(texture) / 2
    right = ((x[None, :] * cos - y[:, None] * sin) * scale + half).astype(np.float32)
    lower = (half - (x[None, :] * sin + y[:, None] * cos) * scale).astype(np.float32)
    seen = cv2.remap(texture, right, lower, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=128)
    out = io.BytesIO()
    Image.fromarray(np.asarray(seen, dtype=np.uint8)).convert("RGB").save(out, "JPEG", quality=88)
    return replace(flat, flat=replace(flat.flat, jpeg=out.getvalue()))


@pytest.mark.parametrize("turn_deg", [0.0, 17.0])
def test_courses_of_brick_are_found_as_they_run_and_as_far_apart_as_they_are(flat: Flattened, turn_deg: float) -> None:
    first, second = rows_at(covered(flat, "brick", turn_deg), SPOT)
    assert turned(first.bearing_deg, turn_deg) < 1.0
    assert first.apart and first.apart.mm == pytest.approx(WIDE_MM / COURSES, rel=0.02)
    assert turned(second.bearing_deg, turn_deg + 90.0) < 1.0, "the other candidate lies square to it"


@pytest.mark.parametrize("name", ["grass", "gravel"])
@pytest.mark.parametrize("wide_mm", [160.0, 330.0])
def test_grass_and_gravel_have_no_rows(flat: Flattened, name: str, wide_mm: float) -> None:
    with pytest.raises(NotMeasured) as refused:
        rows_at(covered(flat, name, 0.0, wide_mm), SPOT)
    assert refused.value.why == WhyNot.NO_ROWS
