"""Rows and repeats of carpet that was made flat: true within their bars, both candidates told, none where there is none."""

import io
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from remnants.errors import NotMeasured
from remnants.photo.flattened import Flattened, flattened
from remnants.photo.refusals import WhyNot
from remnants.photo.rows import repeat_at, rows_at
from remnants.photo.view import view_of
from tests.photo.photographs import Shot, as_jpeg, photographed
from tests.thorough import share

SHOT = Shot(width=1280, height=960, tilt_deg=4.0, away=1250.0, looks_at=(250.0, 0.0))
SPOT = (420.0, 0.0)


@pytest.fixture(scope="module")
def flat() -> Flattened:
    return flattened(view_of(as_jpeg(photographed(SHOT)), lambda page: 150.0))


def laid(flat: Flattened, *waves: tuple[float, float, float], noise: float = 10.0, seed: int = 1) -> Flattened:
    """The same with other carpet: waves by the bearing that their lines run, how far apart (mm), and how strong."""
    across, down = flat.flat.size
    x = flat.flat.corner_mm[0] + (np.arange(across) + 0.5) / flat.flat.px_per_mm
    y = flat.flat.corner_mm[1] + (down - np.arange(down) - 0.5) / flat.flat.px_per_mm
    grey: NDArray[np.float64] = 120.0 + np.random.default_rng(seed).normal(0.0, noise, (down, across))
    for bearing, apart, strong in waves:
        way = np.radians(bearing)
        grey += strong * np.sin(2 * np.pi * (np.cos(way) * x[None, :] - np.sin(way) * y[:, None]) / apart)
    out = io.BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=88)
    return replace(flat, flat=replace(flat.flat, jpeg=out.getvalue()))


def turned(one: float, other: float) -> float:
    return abs((one - other + 90.0) % 180.0 - 90.0)


@pytest.mark.parametrize("seed", range(share(18)))
def test_rows_are_found_as_they_run_and_as_far_apart_as_they_are(flat: Flattened, seed: int) -> None:
    chance = np.random.default_rng(seed)
    bearing, apart = float(chance.uniform(0.0, 180.0)), float(chance.uniform(3.2, 9.0))
    stitches = float(chance.uniform(2.2, 6.0))
    carpet = laid(flat, (bearing, apart, 16.0), (bearing + 90.0, stitches, 7.0), seed=seed)
    first, second = rows_at(carpet, SPOT)
    assert turned(first.bearing_deg, bearing) <= first.bar_deg < 1.0
    assert first.apart and abs(first.apart.mm - apart) <= first.apart.bar_mm < 0.02 * apart
    assert turned(second.bearing_deg, bearing + 90.0) <= second.bar_deg + 0.3
    if second.apart:
        assert abs(second.apart.mm - stitches) <= second.apart.bar_mm


def test_where_stitches_are_the_stronger_rhythm_the_rows_are_the_other_candidate(flat: Flattened) -> None:
    first, second = rows_at(laid(flat, (0.0, 4.0, 7.0), (90.0, 3.0, 18.0)), SPOT)
    assert turned(first.bearing_deg, 90.0) < 1.0 and turned(second.bearing_deg, 0.0) < 1.0
    assert second.apart and second.apart.mm == pytest.approx(4.0, abs=0.05)


def test_carpet_without_rows_is_refused_and_so_is_a_point_without_carpet_round_it(flat: Flattened) -> None:
    with pytest.raises(NotMeasured, match="cut pile hides them") as refused:
        rows_at(laid(flat, noise=20.0), SPOT)
    assert refused.value.why == WhyNot.NO_ROWS
    with pytest.raises(NotMeasured, match="too little carpet round that point"):
        rows_at(flat, (100.0, 0.0))


@pytest.mark.parametrize(("repeat", "seed"), [(38.0, 1), (55.0, 2), (80.0, 3)])
def test_the_repeat_is_the_first_and_not_two_of_them(flat: Flattened, repeat: float, seed: int) -> None:
    carpet = laid(flat, (90.0, repeat, 14.0), (90.0, repeat / 2, 9.0), (0.0, 4.0, 12.0), seed=seed)
    found = repeat_at(carpet, SPOT, 0.0)
    assert abs(found.mm - repeat) <= found.bar_mm < 0.03 * repeat
    with pytest.raises(NotMeasured):
        repeat_at(carpet, SPOT, 90.0)  # a stripe is like itself all along


def test_where_nothing_repeats_none_is_told(flat: Flattened) -> None:
    with pytest.raises(NotMeasured, match="Measure it with a tape") as refused:
        repeat_at(laid(flat), SPOT, 0.0)
    assert refused.value.why == WhyNot.NO_REPEAT
