"""The step in shade between two carpets in one photograph, both lying the same way, and how far off it may be.

Light falls on both alike but for a plane (in the logarithm of linear light), with a little bend and a little colour of its own;
so light and step are fitted together, and what exposure and white balance did drops out. What light alone may do between the
carpets widens the bar. The floor's own shade, measured or taken by the white of the page, turns the step into ΔE00.
Our method; all figures were tuned on synthetic pictures (see the benchmarks), as no real phone was tried.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.matching.shade import delta_e_2000, delta_e_f
from remnants.model import Lab
from remnants.photo.flattened import Flattened
from remnants.photo.linear_light import BURNT, lab_of_light, light_of_lab, linear_light
from remnants.photo.measures import Point
from remnants.photo.paper_white import white_of
from remnants.photo.reach import off_paper
from remnants.photo.refusals import WhyNot, refused

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["MEASURED_SD", "ShadeStep", "shade_step"]

SIDES_MM = (280.0, 240.0, 200.0, 160.0, 120.0)
"""Squares of either carpet that are looked at, the largest that is carpet alone."""

TILE_MM = 20.0
BLOCK = 3
"""Tiles a side of what is compared with tiles, to see how blotchy a carpet is."""

MOST_BURNT = 0.01
"""Share of a carpet's pixels that may be burnt out."""

DARK = 20.0
"""A carpet whose median level (of 255) is below is too dark to tell its shade by."""

MEASURED_SD, BY_PAPER_SD = 0.3, 3.0
"""Standard deviations of each of L*, a*, b* of the floor's shade: by an instrument, and by the white of the page."""

TONE_SD = 0.1
"""Of the share by which a phone's own rendering may stretch a step."""

BEND_SD, TINT_SD = 0.006, 0.01
"""Of the light's bend and of the slope of its colour, per 100 mm and its square, in the logarithm of light."""

SLOPE_SD = 1.0
"""Of the light's slope: not known beforehand."""

STEEPEST = 0.12
"""Of that slope per 100 mm: beyond it light is no plane."""

MOST_TINT = 0.03
"""Of the slope of its colour per 100 mm: beyond it two lights of different colour meet."""

MOST_UNEVEN = 0.025
"""Of what a plane leaves of blocks, in the logarithm of light: beyond it a shadow, a border or a stain runs through."""

WIDEST_BAR = 3.0
"""ΔE00: a step less sure than that says nothing that eyes don't."""

STORED_SD = (0.08, 0.12, 0.12)
"""What JPEG leaves of an even colour's lightness and of its two colours (levels of 255): it stores them in steps."""

_COLOURS = ((1.0, 0.0, 1.402), (1.0, -0.344, -0.714), (1.0, 1.772, 0.0))
"""Red, green and blue of lightness and of the two colours (ITU-R BT.601, as JFIF has it)."""

_NO_LIGHT = float(2**-13)
"""Of linear light: stands for none, whose logarithm there isn't: under half of what the least level of a picture is."""

_NO_NOISE = float(2**-20)
"""Variance that stands for none at all, so that an even picture can be weighed."""

DRAWS = 400
_QUANTILE = 0.95


@dataclass(frozen=True, slots=True)
class ShadeStep:
    """The step from the floor to the other carpet: ΔE00 and its bar, the same as ISO 105-A05 weighs it, and how the other differs
    in L*, a*, b*."""

    delta_e: float
    bar: float
    graded: float
    graded_bar: float
    apart: tuple[float, float, float]


def shade_step(flat: Flattened, floor_at: Point, other_at: Point, *, floor: Lab | None = None) -> ShadeStep:
    """The step between the carpets round two points (mm). `floor` is the floor's own shade where an instrument told it.

    Both must lie the same way; nobody sees that in a picture, so who asks must know. Raises NotMeasured where light or picture
    don't allow it.
    """
    sides = [_square(flat, at, other) for at, other in ((floor_at, other_at), (other_at, floor_at))]
    tiles = [_tiles(flat, at, side) for at, side in zip((floor_at, other_at), sides, strict=True)]
    step, spread = _fitted(*tiles)
    spread = spread + sum(_stored(light) for _, light in tiles)
    if floor is None:
        base, base_sd = _by_paper(tiles[0][1], white_of(flat)), BY_PAPER_SD
    else:
        base, base_sd = floor, MEASURED_SD
    found = _told(step, spread, base, base_sd)
    if found.bar > WIDEST_BAR:
        raise refused(WhyNot.LIGHT, f"the step may be ΔE {found.bar:.1f} off, which tells nothing: {_BETTER_LIGHT}")
    return found


_BETTER_LIGHT = "take it in even daylight, no lamp and no shadow on it, both carpets side by side and large in the picture"


def _square(flat: Flattened, at: Point, other: Point) -> float:
    """The side (mm) of the largest square of carpet alone round a point. Raises BadInput and NotMeasured."""
    flat.refuse_outside([at])
    for side in SIDES_MM:
        grid = np.linspace(-side / 2, side / 2, 9)
        x, y = (each.ravel() for each in np.meshgrid(at[0] + grid, at[1] + grid))
        if max(abs(at[0] - other[0]), abs(at[1] - other[1])) < side:
            continue
        if flat.in_picture(x, y).all() and off_paper(flat.camera, x, y).all() and flat.in_reach(x, y):
            return side
    raise refused(
        WhyNot.SMALL,
        f"one carpet is too small in the picture: tap its middle, {SIDES_MM[-1] / 2:.0f} mm and more from page, border and edge",
    )


def _tiles(flat: Flattened, at: Point, side: float) -> tuple[Floats, Floats]:
    """Middles of tiles (mm), and the mean of their linear light, rows of red, green, blue. Raises NotMeasured."""
    scale, count = flat.flat.px_per_mm, int(side // TILE_MM)
    column, row = (float(each[0]) for each in flat.flat.pixel_of(np.array([at[0] - side / 2]), np.array([at[1] + side / 2])))
    left, upper, wide = max(0, round(column)), max(0, round(row)), int(TILE_MM * scale)
    seen = flat.colour((left, upper, left + wide * count, upper + wide * count))
    if (seen >= BURNT).any(axis=2).mean() > MOST_BURNT:
        raise refused(
            WhyNot.BURNT, "a carpet is burnt out in the picture: tap it in the camera before you press, or take off light"
        )
    if float(np.median(seen.max(axis=2))) < DARK:
        raise refused(WhyNot.DARK, "a carpet is too dark in the picture: more light, no flash")
    light = linear_light(seen.astype(np.float64)).reshape(count, wide, count, wide, 3).mean(axis=(1, 3))
    steps = (np.arange(count) + 0.5) * wide / scale
    x, y = np.meshgrid(at[0] - side / 2 + steps, at[1] + side / 2 - steps)
    return np.column_stack((x.ravel(), y.ravel())), np.asarray(np.maximum(light.reshape(-1, 3), _NO_LIGHT))


def _fitted(floor: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """The step in the logarithm of each channel's light, and its covariance. Raises NotMeasured where light is no plane."""
    at = np.vstack((floor[0], other[0]))
    is_other = np.repeat([0.0, 1.0], [len(floor[0]), len(other[0])])
    seen = np.log(np.vstack((floor[1], other[1])))
    x, y = ((at - at.mean(axis=0)) / 100.0).T
    rows, sds = _model(x, y, is_other)
    noise = np.linalg.inv(np.cov(_left(x, y, is_other, seen).T) + _NO_NOISE * np.eye(3))
    blotchy = []
    for where, part in ((floor[0], seen[: len(floor[0])]), (other[0], seen[len(floor[0]) :])):
        tiles, blocks = _spreads(_left_alone(where, part))
        if blocks > MOST_UNEVEN:
            raise refused(WhyNot.LIGHT, f"a shadow, a border or a stain runs through one of the carpets: {_BETTER_LIGHT}")
        blotchy.append((BLOCK * blocks / max(tiles, _NO_NOISE)) ** 2)
    noise /= max(1.0, *blotchy)
    weighed = np.einsum("nip,ij,njq->pq", rows, noise, rows) + np.diag(sds**-2.0)
    known = np.linalg.inv(weighed)
    figures = known @ np.einsum("nip,ij,nj->p", rows, noise, seen)
    slope, tint = figures[6:8], figures[8:14].reshape(3, 2)
    if float(np.hypot(*slope)) > STEEPEST or float(np.hypot(*(tint - tint.mean(axis=0)).T).max()) > MOST_TINT:
        raise refused(WhyNot.LIGHT, f"light falls off too steeply, or two lights of different colour meet: {_BETTER_LIGHT}")
    return np.asarray(figures[3:6]), np.asarray(known[3:6, 3:6])


def _stored(light: Floats) -> Floats:
    """The covariance of what storing leaves of a carpet's own colour, in the logarithm of each channel's light."""
    share = np.median(light, axis=0)
    level = 255.0 * np.maximum(1.055 * share ** (1 / 2.4) - 0.055, 0.05)
    slopes = (2.4 / (level + 0.055 * 255.0))[:, None] * np.array(_COLOURS)  # of the curve of sRGB (IEC 61966-2-1)
    return np.asarray(slopes @ np.diag(np.square(STORED_SD)) @ slopes.T)


def _model(x: Floats, y: Floats, is_other: Floats) -> tuple[Floats, Floats]:
    """What each figure does to what is seen (tiles x channels x figures), and what is known of each beforehand.

    Figures: the level of each channel, the step of each, the light's slope, its colour's slope by channel, its bend.
    """
    rows = np.zeros((len(x), 3, 17))
    for channel in range(3):
        rows[:, channel, channel] = 1.0
        rows[:, channel, 3 + channel] = is_other
        rows[:, channel, 6:8] = np.column_stack((x, y))
        rows[:, channel, 8 + 2 * channel : 10 + 2 * channel] = np.column_stack((x, y))
        rows[:, channel, 14:17] = np.column_stack((x * x, x * y, y * y))
    return rows, np.array([10.0] * 6 + [SLOPE_SD] * 2 + [TINT_SD] * 6 + [BEND_SD] * 3)


def _left(x: Floats, y: Floats, is_other: Floats, seen: Floats) -> Floats:
    plain = np.column_stack((np.ones(len(x)), is_other, x, y))
    return np.asarray(seen - plain @ np.linalg.lstsq(plain, seen, rcond=None)[0])


def _left_alone(at: Floats, seen: Floats) -> Floats:
    """What a plane of its own leaves of one carpet."""
    plain = np.column_stack((np.ones(len(at)), at - at.mean(axis=0)))
    return np.asarray(seen - plain @ np.linalg.lstsq(plain, seen, rcond=None)[0])


def _spreads(left: Floats) -> tuple[float, float]:
    """Of what is left of the green light, how far tiles and how far blocks of them lie from nought (root of the mean square)."""
    side = round(math.sqrt(len(left)))
    blocks = side // BLOCK
    green = left[:, 1].reshape(side, side)
    held = green[: blocks * BLOCK, : blocks * BLOCK].reshape(blocks, BLOCK, blocks, BLOCK).mean(axis=(1, 3))
    return float(np.sqrt((green**2).mean())), float(np.sqrt((held**2).mean()))


def _by_paper(light: Floats, white: Floats) -> Lab:
    """The floor's shade by the white of the page."""
    return lab_of_light(np.median(light, axis=0) / white)


def _told(step: Floats, spread: Floats, base: Lab, base_sd: float) -> ShadeStep:
    """The step as ΔE00, by draws of what it may as well be. The draws are the same each time."""
    chance = np.random.default_rng(DRAWS)
    steps = chance.multivariate_normal(np.zeros(3), spread, DRAWS, method="eigh")
    tones = 1.0 + TONE_SD * chance.standard_normal(DRAWS)
    bases = chance.normal(0.0, base_sd, (DRAWS, 3))
    start = light_of_lab(base)
    one, two = base, lab_of_light(start * np.exp(step))
    delta_e, graded = delta_e_2000(one, two), delta_e_f(one, two)
    off, noise = [], []
    for drawn, tone, moved in zip(steps, tones, bases, strict=True):
        floor = Lab(min(100.0, max(0.0, base.lightness + moved[0])), base.a + moved[1], base.b + moved[2])
        other = lab_of_light(light_of_lab(floor) * np.exp(step * tone + drawn))
        off.append((abs(delta_e_2000(floor, other) - delta_e), abs(delta_e_f(floor, other) - graded)))
        same = lab_of_light(start * np.exp(drawn))
        noise.append((delta_e_2000(one, same), delta_e_f(one, same)))
    bar, graded_bar = (float(each) for each in np.quantile(np.asarray(off), _QUANTILE, axis=0))
    none, graded_none = np.quantile(np.asarray(noise), _QUANTILE, axis=0)  # so much is seen of two carpets that are alike
    bar = max(bar, delta_e) if delta_e <= none else bar
    graded_bar = max(graded_bar, graded) if graded <= graded_none else graded_bar
    apart = two.lightness - one.lightness, two.a - one.a, two.b - one.b
    return ShadeStep(delta_e, bar, graded, graded_bar, apart)
