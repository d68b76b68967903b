"""Which way rows run on carpet that was made flat, how far they are apart, and the repeat of its pattern. Pile never comes of it.

Rows are the strongest wave in a square of carpet (its Fourier transform). Where the rhythm of stitches along a row is stronger,
that is 90 degrees off: so two candidates are given, and a person chooses. The repeat is the first lag at which the carpet is
like itself (its autocorrelation) at least half as much as at its best lag: the best one alone is two or three repeats at times.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from remnants.errors import NotMeasured
from remnants.late import Late
from remnants.photo.flattened import Flattened
from remnants.photo.measures import Length, Point
from remnants.photo.reach import off_paper
from remnants.photo.refusals import WhyNot, refused

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    cv2, np = Late("cv2"), Late("numpy")

__all__ = ["Rows", "RowsSeen", "repeat_at", "rows_at", "rows_seen"]

ROWS_SIDES_MM = (300.0, 240.0, 180.0, 120.0)
REPEAT_SIDES_MM = (700.0, 600.0, 500.0, 400.0, 300.0, 200.0, 120.0)
"""Squares that are looked at, the largest that is all carpet; of the repeat half of it is told at most."""

LEAST_PEAK = 10**2.6
"""Of the strongest wave over the median of those as long: cut pile and grass stay below."""

LONGEST_MM = 40.0
"""Between rows: a longer wave is a pattern."""

_SHORTEST_PX = 2.6
_RINGS = 24
_LUMA = (0.299, 0.587, 0.114)
"""Of a JPEG (ITU-R BT.601): its colours are stored in coarser blocks, whose edges are no rows."""

_NOUGHT = float(2**-60)
"""A share that stands for nought where there is no power at all, whose logarithm none has."""

_EVEN_MM = 25.0
"""Light and pattern are evened out over so much before rows are looked for."""

_SQUARE_DEG = 25.0
"""How far from square to the first candidate the second may lie."""

ROWS_SHARE, ROWS_DEG = 2 * 0.0007, 2 * 0.03
"""What the peak itself may be off: twice what was measured, of the distance and in degrees."""

REPEAT_SHARE = 0.0066
"""What the repeat may be off: 12 of 12 were within."""

LEAST_LIKE = 0.2
"""How much carpet must be like itself a repeat away, of wholly: less is chance."""

DIP = 0.6
"""Of that likeness, so much less it must be somewhere before: along a stripe carpet is like itself all the way."""

SHORTEST_REPEAT_MM = 15.0
_CALM_MM = 3.0
_ENOUGH_PX = 1.0
"""Pixels a mm for what repeats: finer ones find it no better."""
_FINE = 0.25
"""Steps of a lag, in pixels."""


@dataclass(frozen=True, slots=True)
class Rows:
    """A candidate: which way its rows run (degrees clockwise from the page's top, 0 to 180) and how far that may be off, and how
    far they are apart; None where that is not told by itself."""

    bearing_deg: float
    bar_deg: float
    apart: Length | None


@dataclass(frozen=True, slots=True)
class RowsSeen:
    """A candidate for the rows, and the repeats along and across them; None where no pattern repeats that way."""

    rows: Rows
    along: Length | None
    across: Length | None


def rows_seen(flat: Flattened, at: Point) -> tuple[RowsSeen, RowsSeen]:
    """Both candidates round a point of the carpet (mm) with their repeats, the stronger first. Raises as `rows_at`."""
    one, other = rows_at(flat, at)
    along, across = (_repeat(flat, at, rows.bearing_deg) for rows in (one, other))
    return RowsSeen(one, along, across), RowsSeen(other, across, along)


def rows_at(flat: Flattened, at: Point) -> tuple[Rows, Rows]:
    """Both candidates round a point of the carpet (mm), the stronger first. Raises NotMeasured where there are no rows to see."""
    grey, share = _square(flat, at, ROWS_SIDES_MM)
    scale, side = flat.flat.px_per_mm, len(grey)
    wide = max(3, round(_EVEN_MM * scale))
    window = np.hanning(side)
    power = np.abs(np.fft.fftshift(np.fft.fft2((grey - cv2.blur(grey, (wide, wide))) * np.outer(window, window)))) ** 2
    freq = np.fft.fftshift(np.fft.fftfreq(side, 1.0 / scale))
    right, down = np.meshgrid(freq, freq)
    length = np.hypot(right, down)
    looked = (length >= 1.0 / LONGEST_MM) & (length <= scale / _SHORTEST_PX)
    power /= _usual(power, length, looked)
    first = _peak(power, freq, looked)
    if first is None or first[2] < LEAST_PEAK:
        raise refused(
            WhyNot.NO_ROWS,
            "no rows stand out there: cut pile hides them. Tap where the carpet is flat and sharp, or count rows with a rule",
        )
    angle = np.degrees(np.arctan2(right, -down))
    apart = np.abs((angle - _angle(first) + 90.0) % 180.0 - 90.0)
    second = _peak(power, freq, looked & (apart > 90.0 - _SQUARE_DEG))
    one = _told(first, share)
    if second is None or second[2] < LEAST_PEAK:
        return one, Rows((one.bearing_deg + 90.0) % 180.0, one.bar_deg, None)
    return one, _told(second, share)


def repeat_at(flat: Flattened, at: Point, bearing_deg: float) -> Length:
    """The repeat of the pattern along a bearing (degrees clockwise from the page's top), round a point of the carpet (mm).

    Raises NotMeasured where it is not like itself anywhere, or the repeat is more than half of the carpet that is seen.
    """
    fine, share = _square(flat, at, REPEAT_SIDES_MM)
    side = min(len(fine), round(len(fine) / flat.flat.px_per_mm * _ENOUGH_PX))
    scale = flat.flat.px_per_mm * side / len(fine)
    grey = np.asarray(cv2.resize(fine, (side, side), interpolation=cv2.INTER_AREA), dtype=np.float64)
    calm = cv2.GaussianBlur(grey, (0, 0), _CALM_MM * scale)
    calm = calm - cv2.GaussianBlur(calm, (0, 0), side / 3.0)
    seen = np.fft.rfft2(calm - calm.mean(), (2 * side, 2 * side))
    held = np.fft.rfft2(np.ones_like(calm), (2 * side, 2 * side))
    like = np.fft.irfft2(np.abs(seen) ** 2) / np.maximum(np.fft.irfft2(np.abs(held) ** 2), 1.0)
    lags = np.arange(0.0, side / 2.0, _FINE)
    way = np.radians(bearing_deg)
    x, y = np.sin(way) * lags, -np.cos(way) * lags
    turned = np.roll(like, (side, side), axis=(0, 1)).astype(np.float32)
    along = cv2.remap(turned, (x + side).astype(np.float32)[None], (y + side).astype(np.float32)[None], cv2.INTER_CUBIC)
    told = np.asarray(along, dtype=np.float64)[0] / float(like[0, 0])
    peaks = np.flatnonzero((told[1:-1] > told[:-2]) & (told[1:-1] >= told[2:])) + 1
    between = np.minimum.accumulate(told)
    peaks = peaks[(lags[peaks] >= SHORTEST_REPEAT_MM * scale) & (between[peaks] < DIP * told[peaks])]
    best = float(told[peaks].max()) if peaks.size else 0.0
    if best < LEAST_LIKE:
        raise refused(
            WhyNot.NO_REPEAT,
            "no pattern repeats there that way: two repeats or more must be in the picture. Measure it with a tape",
        )
    lag = float(lags[peaks[told[peaks] >= 0.5 * best][0]]) / scale
    return Length(lag, lag * float(np.hypot(REPEAT_SHARE, share)))


def _repeat(flat: Flattened, at: Point, bearing_deg: float) -> Length | None:
    try:
        return repeat_at(flat, at, bearing_deg)
    except NotMeasured:
        return None


def _square(flat: Flattened, at: Point, sides_mm: tuple[float, ...]) -> tuple[Floats, float]:
    """The largest square of carpet alone round a point, grey, and what share of a length in it may be off."""
    flat.refuse_outside([at])
    columns, rows = flat.flat.pixel_of(np.array([at[0]]), np.array([at[1]]))
    for side_mm in sides_mm:
        grid = np.linspace(-side_mm / 2, side_mm / 2, 13)
        x, y = (each.ravel() for each in np.meshgrid(at[0] + grid, at[1] + grid))
        if flat.in_picture(x, y).all() and off_paper(flat.camera, x, y).all() and flat.in_reach(x, y):
            half = int(side_mm * flat.flat.px_per_mm / 2)
            left, upper = round(float(columns[0])) - half, round(float(rows[0])) - half
            if left < 0 or upper < 0 or left + 2 * half > flat.flat.size[0] or upper + 2 * half > flat.flat.size[1]:
                continue
            colour = flat.colour((left, upper, left + 2 * half, upper + 2 * half))
            return np.asarray(colour @ np.array(_LUMA), dtype=np.float64), flat.share_off(at, side_mm)
    raise refused(
        WhyNot.FAR_FROM_PAGE,
        f"there is too little carpet round that point: tap {sides_mm[-1] / 2:.0f} mm and more from the page and from the edge",
    )


def _usual(power: Floats, length: Floats, looked: NDArray[np.bool_]) -> Floats:
    """The median power of waves as long, for each wave: a blurred picture has little of the short ones, whatever it shows."""
    edges = np.linspace(float(length[looked].min()), float(length[looked].max()), _RINGS + 1)
    ring = np.clip(np.digitize(length, edges) - 1, 0, _RINGS - 1)
    medians = [float(np.median(power[looked & (ring == number)])) for number in range(_RINGS)]
    middles = (edges[:-1] + edges[1:]) / 2
    return np.asarray(np.interp(length, middles, medians) + _NOUGHT)


def _peak(power: Floats, freq: Floats, looked: NDArray[np.bool_]) -> tuple[float, float, float] | None:
    """The strongest wave: cycles a mm to the right and down, between the steps of the transform, and its power."""
    if not looked.any():
        return None
    row, column = (int(each) for each in np.unravel_index(int(np.argmax(np.where(looked, power, -1.0))), power.shape))
    if not (0 < row < len(freq) - 1 and 0 < column < len(freq) - 1):
        return None
    step = float(freq[1] - freq[0])
    right = float(freq[column]) + step * _between(power[row, column - 1 : column + 2])
    down = float(freq[row]) + step * _between(power[row - 1 : row + 2, column])
    return right, down, float(power[row, column])


def _between(three: Floats) -> float:
    """Where the peak of three lies, in steps from the middle one: of their logarithms, as the window's peak is near a bell."""
    low, middle, high = np.log(three + float(three.max()) * _NOUGHT + _NOUGHT)
    bend = float(low - 2 * middle + high)
    return 0.0 if bend >= 0 else float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5))


def _angle(peak: tuple[float, float, float]) -> float:
    """The wave's own bearing, degrees clockwise from up."""
    return float(np.degrees(np.arctan2(peak[0], -peak[1])))


def _told(peak: tuple[float, float, float], share: float) -> Rows:
    """Rows run square to the wave."""
    apart = 1.0 / float(np.hypot(peak[0], peak[1]))
    bar = Length(apart, apart * float(np.hypot(ROWS_SHARE, share)))
    return Rows((_angle(peak) + 90.0) % 180.0, float(np.hypot(ROWS_DEG, np.degrees(share))), bar)
