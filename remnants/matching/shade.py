"""Difference of two measured colours: CIEDE2000, and the grey scale grade that the textile trade speaks in.

Colours are CIELAB, D65 and 10° observer unless stated. The two figures are kept apart: CIEDE2000 decides here whether a shade is
close; the grey scale (ISO 105-A02 steps, ISO 105-A05 formula) is made for change of colour and is told beside it.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from remnants.model.shade import Lab

__all__ = [
    "GREY_LIMITS",
    "ROUGH_DELTA_E",
    "GreyGrade",
    "ShadeRule",
    "comparable",
    "delta_e_2000",
    "delta_e_f",
    "grey_grade",
    "shade_words",
]

HUE_DUST_DEG = 1e-6
"""Hues opposite but for the last digits of a float count as exactly opposite (they decide a branch of CIEDE2000)."""


class GreyGrade(StrEnum):
    """Steps of the grey scale for change in colour, ISO 105-A02: 5 no difference, 1 the largest."""

    FIVE = "5"
    FOUR_FIVE = "4-5"
    FOUR = "4"
    THREE_FOUR = "3-4"
    THREE = "3"
    TWO_THREE = "2-3"
    TWO = "2"
    ONE_TWO = "1-2"
    ONE = "1"


GREY_LIMITS = (
    (0.40, GreyGrade.FIVE), (1.25, GreyGrade.FOUR_FIVE), (2.10, GreyGrade.FOUR), (2.95, GreyGrade.THREE_FOUR),
    (4.10, GreyGrade.THREE), (5.80, GreyGrade.TWO_THREE), (8.20, GreyGrade.TWO),
    (11.60, GreyGrade.ONE_TWO), (math.inf, GreyGrade.ONE),
)  # fmt: skip
"""Difference below which each step holds: midpoints of the ISO 105-A02 steps, as in the table of ISO 105-A05 (from memory)."""


ROUGH_DELTA_E = 4.0
"""How far a shade from a photograph may well be off, beside the scatter over the carpet (our own figure)."""


@dataclass(frozen=True, slots=True)
class ShadeRule:
    """CIEDE2000 differences up to which a shade counts: `close` passes for the same, `near` for a substitute.

    Our own defaults: no published limit for a patch was found.
    """

    close: float = 2.0
    near: float = 5.0


def comparable(one: Lab, two: Lab) -> bool:
    """Whether both were measured under the same light and observer; one from a photograph is rough beside any."""
    return (
        one.from_photo
        or two.from_photo
        or one.illuminant.replace(" ", "").casefold() == two.illuminant.replace(" ", "").casefold()
    )


def delta_e_2000(one: Lab, two: Lab) -> float:
    """CIEDE2000 difference, all weights 1 (ISO/CIE 11664-6; steps after Sharma, Wu and Dalal, 2005)."""
    grey = 0.5 * (1 - _sevenths((math.hypot(one.a, one.b) + math.hypot(two.a, two.b)) / 2))
    chroma1, hue1 = _chroma_hue((1 + grey) * one.a, one.b)
    chroma2, hue2 = _chroma_hue((1 + grey) * two.a, two.b)
    turn, mean_hue = _hue_step(chroma1 * chroma2, hue1, hue2)
    lightness, chroma = (one.lightness + two.lightness) / 2, (chroma1 + chroma2) / 2
    tint = (
        1
        - 0.17 * _cos(mean_hue - 30)
        + 0.24 * _cos(2 * mean_hue)
        + 0.32 * _cos(3 * mean_hue + 6)
        - 0.20 * _cos(4 * mean_hue - 63)
    )
    scale_l = 1 + 0.015 * (lightness - 50) ** 2 / math.sqrt(20 + (lightness - 50) ** 2)
    step_l = (two.lightness - one.lightness) / scale_l
    step_c = (chroma2 - chroma1) / (1 + 0.045 * chroma)
    step_h = 2 * math.sqrt(chroma1 * chroma2) * math.sin(math.radians(turn / 2)) / (1 + 0.015 * chroma * tint)
    blue = math.radians(60 * math.exp(-(((mean_hue - 275) / 25) ** 2)))
    rotation = -2 * _sevenths(chroma) * math.sin(blue)
    return math.sqrt(step_l**2 + step_c**2 + step_h**2 + rotation * step_c * step_h)


def _sevenths(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def _chroma_hue(a: float, b: float) -> tuple[float, float]:
    """Chroma, and hue in degrees from 0 to under 360 (0 for a grey)."""
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _hue_step(product: float, hue1: float, hue2: float) -> tuple[float, float]:
    """Turn from the first hue to the second the short way, and their mean, degrees. A grey has no hue: the other's counts."""
    if product == 0:
        return 0.0, hue1 + hue2
    turn, total = hue2 - hue1, hue1 + hue2
    if abs(turn) <= 180 + HUE_DUST_DEG:
        return turn, total / 2
    return turn - math.copysign(360, turn), (total + (360 if total < 360 else -360)) / 2


def delta_e_f(original: Lab, other: Lab) -> float:
    """The weighted difference of ISO 105-A05 (formula from memory; its hue rule and grade checked against public code)."""
    chroma1, hue1 = _chroma_hue(original.a, original.b)
    chroma2, hue2 = _chroma_hue(other.a, other.b)
    mean_chroma = (chroma1 + chroma2) / 2
    turn, mean_hue = _hue_step(chroma1 * chroma2, hue1, hue2)
    away = abs(mean_hue - 280)
    spread = ((away if away <= 180 else 360 - away) / 30) ** 2
    step_c = chroma2 - chroma1
    step_h = 2 * math.sqrt(chroma1 * chroma2) * math.sin(math.radians(turn / 2))
    shared = step_c * mean_chroma * math.exp(-spread) / 100
    weighted_c = (step_c - shared) / (1 + (20 * mean_chroma / 1000) ** 2)
    weighted_h = (step_h - shared) / (1 + (10 * mean_chroma / 1000) ** 2)
    return math.sqrt((other.lightness - original.lightness) ** 2 + weighted_c**2 + weighted_h**2)


def grey_grade(difference: float) -> GreyGrade:
    """Grey scale step of a difference: ISO 105-A05's weighted one, or plain CIELAB between two greys."""
    return next(grade for limit, grade in GREY_LIMITS if difference < limit)


def shade_words(one: Lab, two: Lab) -> str:
    """The difference as screens tell it: `ΔE00 1.3, grey scale 4-5`; one from a photograph is called rough."""
    rough = ", from a photograph and rough" if one.from_photo or two.from_photo else ""
    return f"ΔE00 {delta_e_2000(one, two):.1f}, grey scale {grey_grade(delta_e_f(one, two))}{rough}"
