"""Measures with known truth, without drawing a picture: corners found as well as they are, taps as wrong as people tap."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from remnants.photo.detect import Found
from remnants.photo.marker_page import BOARD_MM, corners_mm
from remnants.photo.measures import MeasuredOutline, length_between, outline_through
from remnants.photo.solve import Lens, Solved, solved
from tests.photo.photographs import DIAGONAL_35, Shot, a_shot

__all__ = [
    "CORNER_PX",
    "TAP_PX",
    "Known",
    "camera_of",
    "lengths_of",
    "measured_by",
    "off_mm",
    "outline_of",
    "page_as_read",
    "seen_whole",
]

Floats = NDArray[np.float64]

CORNER_PX = 0.08
"""What rendered pictures leave of a corner at 4000 pixels, each way."""

TAP_PX = 3.0
BAR_READ_MM = 0.25
"""A steel rule is read to so much, either way."""

REACH_MM = 600.0


@dataclass(frozen=True)
class Known:
    """A length as measured, its bar, and what it truly is (mm)."""

    mm: float
    bar_mm: float
    truth_mm: float
    tilt_deg: float

    @property
    def within(self) -> bool:
        return abs(self.mm - self.truth_mm) <= self.bar_mm


def camera_of(shot: Shot, chance: np.random.Generator) -> tuple[Shot, Solved]:
    """The shot with a page whose bar was read a little wrong, and the camera as found."""
    shot = page_as_read(shot, chance)
    found = [
        Found(laid.page, np.arange(12), shot.corner_pixels(laid, corners_mm()) + chance.normal(0.0, CORNER_PX, (12, 2)))
        for laid in shot.pages
    ]
    lens = Lens(shot.told_35 / DIAGONAL_35 * math.hypot(shot.width, shot.height), 0.03)
    return shot, solved(found, (shot.width, shot.height), lens, {laid.page: 1.0 for laid in shot.pages})


def page_as_read(shot: Shot, chance: np.random.Generator) -> Shot:
    """The shot with a page whose bar was read a little wrong."""
    page = replace(shot.pages[0], scale=1.0 + float(chance.uniform(-BAR_READ_MM, BAR_READ_MM)) / 150.0)
    return replace(shot, pages=(page, *shot.pages[1:]))


def seen_whole(shot: Shot, points: Floats) -> bool:
    """Whether points of the carpet are in the picture."""
    pixels = shot.pixel_of(np.column_stack((points, np.zeros(len(points)))))
    return bool((pixels >= 0).all() and (pixels <= [shot.width - 1, shot.height - 1]).all())


def _near(shot: Shot, point: Floats) -> bool:
    return any(
        float(np.hypot(*np.maximum(np.abs(point - laid.middle) - np.array(BOARD_MM) / 2, 0.0))) <= REACH_MM for laid in shot.pages
    )


def lengths_of(
    seed: int, truths_mm: tuple[float, ...], *, tilt: tuple[float, float] = (0.0, 40.0), pages: int = 1
) -> Iterator[Known]:
    """One length of each size, laid by chance within reach of the page, of the shot with this seed."""
    shot, chance = a_shot(seed, width=4000, tilt=tilt), np.random.default_rng(seed + 1_000_000)
    if pages == 2:
        other = replace(shot.pages[0], page=shot.pages[0].page % 99 + 1, turn_deg=25.0, middle=(420.0, 60.0))
        shot = replace(shot, pages=(shot.pages[0], other), looks_at=(200.0, 0.0))
    shot, camera = camera_of(shot, chance)
    return measured_by(shot, camera, chance, truths_mm)


def measured_by(shot: Shot, camera: Solved, chance: np.random.Generator, truths_mm: tuple[float, ...]) -> Iterator[Known]:
    """One length of each size, laid by chance within reach of a page."""
    for truth in truths_mm:
        for _ in range(50):
            start = chance.uniform(-1.0, 1.0, 2) * (np.array(BOARD_MM) / 2 + REACH_MM)
            way = float(chance.uniform(0.0, 2 * math.pi))
            ends = np.array([start, start + truth * np.array([math.cos(way), math.sin(way)])])
            if _near(shot, ends[0]) and _near(shot, ends[1]) and seen_whole(shot, ends):
                taps = shot.pixel_of(np.column_stack((ends, np.zeros(2)))) + chance.normal(0.0, TAP_PX, (2, 2))
                one, other_end = ((float(x), float(y)) for x, y in taps)
                found = length_between(camera, one, other_end, tap_px=TAP_PX)
                yield Known(found.mm, found.bar_mm, truth, shot.tilt_deg)
                break


def outline_of(seed: int, corners: int = 12) -> tuple[MeasuredOutline, Floats] | None:
    """A stain by chance as measured, and as it truly is; None where the picture does not hold it."""
    chance = np.random.default_rng(seed + 2_000_000)
    shot, camera = camera_of(a_shot(seed, width=4000), chance)
    angles = np.sort(chance.uniform(0.0, 2 * math.pi, corners))
    far = chance.uniform(60.0, 150.0, corners)
    ring = chance.uniform(-350.0, 350.0, 2) + np.column_stack((far * np.cos(angles), far * np.sin(angles)))
    if not seen_whole(shot, ring):
        return None
    taps = shot.pixel_of(np.column_stack((ring, np.zeros(corners)))) + chance.normal(0.0, TAP_PX, (corners, 2))
    return outline_through(camera, [(float(x), float(y)) for x, y in taps], tap_px=TAP_PX), ring


def off_mm(measured: tuple[tuple[float, float], ...], truth: Floats) -> float:
    """How far the worst corner lies off, once the outline is laid on its truth as well as it goes (W. Kabsch, 1976)."""
    own, there = np.asarray(measured) - np.mean(measured, axis=0), truth - truth.mean(axis=0)
    left, _, right = np.linalg.svd(own.T @ there)
    turn = left @ np.diag([1.0, float(np.sign(np.linalg.det(left @ right)))]) @ right
    return float(np.hypot(*(own @ turn - there).T).max())
