"""Invented phones, photographs of the marker page that they are calibrated by, and what is known of their lenses then."""

import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from remnants.model.phone_lens import PhoneCalibration, PhoneLens
from remnants.photo.calibrate import FOCUS_SD, STEADY_SD, lens_in
from remnants.photo.detect import Found
from remnants.photo.marker_page import corners_mm
from remnants.photo.opened import lens_by_film
from remnants.photo.phone_photos import PhonePhoto
from remnants.photo.solve import Solved, solved
from remnants.photo.view import MOST_CURL_MM, speaks_against
from tests.photo.known import CORNER_PX, Known, measured_by, page_as_read
from tests.photo.photographs import Shot, a_shot

__all__ = ["A_LENS", "a_calibration", "a_phone", "measured_with", "moved", "photo_in", "shots_of", "with_lens_of"]

A_LENS = PhoneLens("Invented", "Invented Two", 5.4, 26.0, 4000, 3000)


def a_calibration(lens: PhoneLens = A_LENS) -> PhoneCalibration:
    """One as eight photographs give it: the focal length known to 0.5 %, the rest as little as they tell."""
    sds = (0.005, 0.002, 0.002, 0.004, 0.007)
    rows = tuple(tuple(sd * sd if at == other else 0.0 for other in range(5)) for at, sd in enumerate(sds))
    return PhoneCalibration(lens, (-0.29, 0.003, -0.002, 0.01, 0.0), rows, 8, 7.1, 4.8)


def moved(shot: Shot, chance: np.random.Generator, share: float = 1.0) -> Shot:
    """The shot as the phone focused for it, and steadied its lens; `share` of what is allowed for."""
    focal, across, down = chance.normal(0.0, share, 3) * [FOCUS_SD, STEADY_SD * shot.width, STEADY_SD * shot.width]
    off = shot.off_middle[0] + float(across), shot.off_middle[1] + float(down)
    return replace(shot, focal_35=shot.focal_35 * math.exp(float(focal)), off_middle=off)


def with_lens_of(phone: Shot, pose: Shot) -> Shot:
    """Another pose, taken by a phone."""
    return replace(pose, focal_35=phone.focal_35, told_35=phone.told_35, lens=phone.lens, off_middle=phone.off_middle)


def shots_of(
    phone: Shot, chance: np.random.Generator, *, tilts: Sequence[tuple[float, float]] = ((0.0, 10.0),) * 2 + ((25.0, 42.0),) * 6
) -> Iterator[Shot]:
    """As people are asked to: the first from above, the others aslant from all sides, every other one turned by a quarter."""
    for number, tilt in enumerate(tilts):
        yield replace(
            phone,
            tilt_deg=float(chance.uniform(*tilt)),
            from_deg=60.0 * number + float(chance.uniform(-20.0, 20.0)),
            roll_deg=90.0 * (number % 2) + float(chance.uniform(-15.0, 15.0)),
            away=float(chance.uniform(700.0, 1100.0)),
            looks_at=(float(chance.uniform(-250.0, 250.0)), float(chance.uniform(-250.0, 250.0))),
        )


def photo_in(shot: Shot, chance: np.random.Generator, *, quarters: int = 0, lens: PhoneLens = A_LENS) -> PhonePhoto:
    """What a shot's photograph tells, its corners found as well as they are; stored turned by so many quarters to the left."""
    page = shot.pages[0]
    pixels = shot.corner_pixels(page, corners_mm()) + chance.normal(0.0, CORNER_PX, (12, 2))
    size = shot.width, shot.height
    for _ in range(quarters):
        pixels = np.column_stack((size[1] - 1 - pixels[:, 1], pixels[:, 0]))
        size = size[1], size[0]
    told = tuple((float(x), float(y)) for x, y in pixels)
    digest = hashlib.sha256(repr(told).encode()).hexdigest()
    return PhonePhoto(digest, lens, shot.told_35, size, quarters, page.page, tuple(range(12)), told)


def measured_with(
    shot: Shot, calibration: PhoneCalibration, chance: np.random.Generator, truths_mm: tuple[float, ...]
) -> tuple[list[Known], list[Known], bool]:
    """Lengths in a photograph without and with the phone's calibration, by the same taps, and whether it speaks against that."""
    shot = page_as_read(shot, chance)
    size, page = (shot.width, shot.height), shot.pages[0]
    found = [Found(page.page, np.arange(12), shot.corner_pixels(page, corners_mm()) + chance.normal(0.0, CORNER_PX, (12, 2)))]
    lens = lens_by_film(shot.told_35, size)
    plain = solved(found, size, lens, {page.page: 1.0})
    by_phone = solved(found, size, lens_in(calibration.figures, calibration.covariance, size, 0), {page.page: 1.0})
    against = speaks_against(by_phone, plain)
    taps = int(chance.integers(1 << 30))

    def known(camera: Solved) -> list[Known]:
        if max(camera.curls_mm) > MOST_CURL_MM:
            return []
        return list(measured_by(shot, camera, np.random.default_rng(taps), truths_mm))

    return known(plain), known(plain if against else by_phone), against


def a_phone(seed: int) -> Shot:
    """A phone by chance, and a page on its clipboard."""
    return a_shot(seed, width=4000)
