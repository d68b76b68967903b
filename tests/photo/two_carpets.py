"""Two carpets of known shades in one flattened photograph, under light by chance: what a step in shade is measured in.

Nothing is shared with what measures: colours go by the CIE's own figures to linear light, light is a plane with a bend and a
colour of its own, carpets have tufts and blotches, and the phone adds exposure, white balance, a rendering of its own, noise.
"""

import io
from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from remnants.matching.shade import delta_e_2000
from remnants.model import Lab
from remnants.photo.flat import Flat
from remnants.photo.flattened import Flattened, flattened
from remnants.photo.view import view_of
from tests.photo.photographs import Shot, as_jpeg, photographed

__all__ = ["FLOOR_AT", "OTHER_AT", "TwoCarpets", "two_carpets"]

Floats = NDArray[np.float64]

FLOOR_AT, OTHER_AT = (250.0, 130.0), (250.0, -130.0)
"""Middles of the floor and of the other carpet (mm); their border is at nought."""

_CORNER, _WIDE, _HIGH = (-115.0, -300.0), 540.0, 600.0
"""What is drawn of the carpet (mm): the page, and half a metre beside it."""

_FINE = 1.0
"""Pixels a mm."""

_TO_RGB = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
"""From XYZ to linear sRGB (IEC 61966-2-1:1999)."""


@dataclass(frozen=True)
class TwoCarpets:
    """The picture, both true shades, and the floor's as an instrument told it."""

    flat: Flattened
    floor: Lab
    other: Lab
    told: Lab

    @property
    def step(self) -> float:
        return delta_e_2000(self.floor, self.other)


@cache
def _bare() -> Flattened:
    shot = Shot(width=1280, height=960, tilt_deg=4.0, away=1250.0, looks_at=(200.0, 0.0))
    return flattened(view_of(as_jpeg(photographed(shot)), lambda page: 150.0))


def _light_of(lab: Lab) -> Floats:
    """Linear sRGB light of a colour under D65 (ISO/CIE 11664-4)."""
    fy = (lab.lightness + 16) / 116
    each = np.array([fy + lab.a / 500, fy, fy - lab.b / 200])
    share = np.where(each > 6 / 29, each**3, 3 * (6 / 29) ** 2 * (each - 4 / 29))
    return np.asarray(_TO_RGB @ (share * [0.95047, 1.0, 1.08883]))


Light = tuple[float, float, float]
"""How much brighter one end of 400 mm is than the other, at most; how much light is bent and coloured there beside."""


def two_carpets(seed: int, *, light: Light = (0.2, 0.02, 0.02), exposed: float = 1.0, step: float | None = None) -> TwoCarpets:
    """By chance."""
    chance = np.random.default_rng(seed)
    floor = Lab(float(chance.uniform(35, 75)), float(chance.normal(0, 5)), float(chance.uniform(-5, 18)))
    way = chance.normal(0.0, 1.0, 3) * [1.0, 0.5, 0.7]
    way *= (float(chance.exponential(2.5)) if step is None else step) / np.linalg.norm(way)
    other = Lab(floor.lightness + way[0], floor.a + way[1], floor.b + way[2])
    off = chance.normal(0, 0.25, 3)
    told = Lab(floor.lightness + float(off[0]), floor.a + float(off[1]), floor.b + float(off[2]))
    bare = _bare()
    (left, bottom), across, down = _CORNER, round(_WIDE * _FINE), round(_HIGH * _FINE)
    x: Floats = np.asarray(left + (np.arange(across) + 0.5) / _FINE)[None, :]
    y: Floats = np.asarray(bottom + (down - np.arange(down) - 0.5) / _FINE)[:, None]
    here, there = (_light_of(each) for each in (floor, other))
    seen = np.where((y > 0)[..., None], here, there) * np.ones((down, across, 1))
    seen *= np.exp(_tufts(chance, (down, across)))[..., None]
    paper = (np.abs(x) < 100.0) & (np.abs(y) < 135.0)
    seen[paper] = 0.86
    seen *= np.exp(_lit(chance, x / 400.0, y / 400.0, light))
    seen *= exposed * 0.5 / max(0.86, float(seen[::4, ::4].max())) * chance.uniform(0.9, 1.6)
    seen *= 1.0 + chance.normal(0.0, 0.08, 3)
    made = _rendered(np.clip(seen, 0.0, 1.0), chance)
    taken, out = io.BytesIO(), io.BytesIO()
    Image.fromarray(made).save(taken, "JPEG", quality=93)  # by the phone
    with Image.open(taken) as image:
        image.save(out, "JPEG", quality=85)  # as it is kept from above
    flat = Flat(out.getvalue(), _FINE, (left, bottom), (across, down))
    return TwoCarpets(replace(bare, flat=flat), floor, other, told)


def _tufts(chance: np.random.Generator, size: tuple[int, int]) -> Floats:
    """How pile is lighter and darker: tuft by tuft, and in blotches of some cm."""
    down, across = size
    fine = chance.normal(0.0, 1.0, (down // 3 + 1, across // 3 + 1))
    wide = chance.normal(0.0, 1.0, (down // 40 + 1, across // 40 + 1))
    tufts = cv2.resize(fine, (across, down), interpolation=cv2.INTER_LINEAR) * chance.uniform(0.05, 0.2)
    return np.asarray(tufts + cv2.resize(wide, (across, down), interpolation=cv2.INTER_CUBIC) * chance.uniform(0.0, 0.015))


def _lit(chance: np.random.Generator, x: Floats, y: Floats, light: Light) -> Floats:
    """The logarithm of light at each place (shares of 400 mm), by channel."""
    steepest, bend, tint = light
    way, steep = chance.uniform(0.0, 2 * np.pi), chance.uniform(0.0, steepest)
    bent = chance.normal(0.0, bend, 3)
    plane = steep * (x * np.cos(way) + y * np.sin(way)) + bent[0] * x * x + bent[1] * x * y + bent[2] * y * y
    coloured = chance.normal(0.0, tint, (2, 3))
    return np.asarray(plane[..., None] + x[..., None] * coloured[0] + y[..., None] * coloured[1])


def _rendered(light: Floats, chance: np.random.Generator) -> NDArray[np.uint8]:
    """As a phone stores it: sRGB with a contrast of its own, noise."""
    level = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    level = np.clip(level, 1e-6, 1.0) ** chance.normal(1.0, 0.05)
    bow = chance.normal(0.0, 0.05)
    level = level + bow * np.sin(2 * np.pi * level) / (2 * np.pi)
    return np.asarray(np.clip(255.0 * level + chance.normal(0.0, 2.0, level.shape), 0, 255), dtype=np.uint8)
