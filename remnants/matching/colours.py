"""Colour words with values: what shade a name such as `dusty rose` or `dk oatmeal` roughly stands for.

The values are three lists in one file: `survey`, the names that a large open survey of colour naming settled on (the xkcd colour
survey of 2010, rgb.txt, CC0; coarse names left out); `css`, the named colours of CSS Color Module Level 4 (W3C) that it lacks;
`ours`, words of the carpet trade that both lack, put to a value by ourselves. A name is no measurement: people mean different
shades by one word, and screens differ.
"""

import csv
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from remnants.matching.words import words_of
from remnants.model import Lab

__all__ = ["NamedShade", "lab_of_srgb", "named_shade", "srgb_of_lab"]

MODIFIERS = {
    "dark": -12.0,
    "deep": -12.0,
    "light": 10.0,
    "pale": 14.0,
    "medium": 0.0,
    "mid": 0.0,
    "warm": 0.0,
    "cool": 0.0,
    "soft": 0.0,
}
"""By how much a word before a colour moves L* (our own figures)."""

WHITE_XYZ = (0.95047, 1.0, 1.08883)
"""D65, 2° observer (IEC 61966-2-1)."""


@dataclass(frozen=True, slots=True)
class NamedShade:
    """The list's name that was understood, its source there, and the shade it stands for."""

    name: str
    source: str
    lab: Lab


@lru_cache(maxsize=65536)
def named_shade(text: str) -> NamedShade | None:
    """The shade that the words stand for, as a whole or less words such as dark and light; None for words of no colour."""
    words = words_of(text)
    moved = 0.0
    while words:
        if words in _listed():
            name, srgb, source = _listed()[words]
            lab = lab_of_srgb((int(srgb[0:2], 16) / 255, int(srgb[2:4], 16) / 255, int(srgb[4:6], 16) / 255))
            return NamedShade(name, source, Lab(min(100.0, max(0.0, lab.lightness + moved)), lab.a, lab.b))
        if words[0] not in MODIFIERS:
            return None
        moved += MODIFIERS[words[0]]
        words = words[1:]
    return None


@cache
def _listed() -> dict[tuple[str, ...], tuple[str, str, str]]:
    """Words -> (name, srgb as six hex digits, source); an earlier line wins."""
    text = files("remnants.matching").joinpath("colour_names.csv").read_text(encoding="utf-8")
    listed: dict[tuple[str, ...], tuple[str, str, str]] = {}
    for row in csv.DictReader(text.splitlines()):
        listed.setdefault(words_of(row["name"]), (row["name"], row["srgb"], row["source"]))
    return listed


def lab_of_srgb(rgb: tuple[float, float, float]) -> Lab:
    """CIELAB (D65) of an sRGB colour, each channel 0 to 1 (IEC 61966-2-1, then ISO/CIE 11664-4)."""
    red, green, blue = (value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in rgb)
    xyz = (
        0.4124 * red + 0.3576 * green + 0.1805 * blue,
        0.2126 * red + 0.7152 * green + 0.0722 * blue,
        0.0193 * red + 0.1192 * green + 0.9505 * blue,
    )
    x, y, z = (_lightness_root(value / white) for value, white in zip(xyz, WHITE_XYZ, strict=True))
    return Lab(min(100.0, max(0.0, 116 * y - 16)), 500 * (x - y), 200 * (y - z))


def srgb_of_lab(lab: Lab) -> tuple[float, float, float]:
    """The sRGB colour, each channel 0 to 1, that shows a CIELAB colour on a screen: the way back of `lab_of_srgb`.

    What a screen can't show is cut to what it can. The shade is taken for D65, 2° observer: for looking, not for measuring.
    """
    middle = (lab.lightness + 16) / 116
    roots = (middle + lab.a / 500, middle, middle - lab.b / 200)
    x, y, z = (_lightness_share(root) * white for root, white in zip(roots, WHITE_XYZ, strict=True))
    linear = (
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    )
    red, green, blue = (min(1.0, max(0.0, _companded(value))) for value in linear)
    return red, green, blue


def _companded(value: float) -> float:
    return 12.92 * value if 12.92 * value <= 0.04045 else 1.055 * value ** (1 / 2.4) - 0.055


def _lightness_share(root: float) -> float:
    return root**3 if root > 6 / 29 else 3 * (6 / 29) ** 2 * (root - 4 / 29)


def _lightness_root(share: float) -> float:
    return share ** (1 / 3) if share > (6 / 29) ** 3 else share / (3 * (6 / 29) ** 2) + 4 / 29
