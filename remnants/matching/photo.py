"""The shade of a carpet from a photograph that has a neutral grey card lying on the carpet.

The card is told by being flat: its tiles show no texture where carpet does. The carpet is what has texture. Both are averaged in
linear light, the card's known reflectance gives the correction for light and exposure, and the corrected carpet becomes CIELAB.
Rough: one camera without a profile, one light, and shadow in the pile. Our method and figures; no source.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from remnants.errors import BadInput
from remnants.geometry.tolerances import WHOLE
from remnants.matching.colours import lab_of_srgb
from remnants.matching.picture import picture_in
from remnants.matching.shade import ROUGH_DELTA_E
from remnants.matching.tiles import Tiles, largest_patch, tiled
from remnants.model import Lab
from remnants.model.shade import PHOTO

__all__ = ["CARD_LIGHTNESS", "ROUGH_DELTA_E", "Area", "PhotoShade", "photo_shade"]

Pixels = NDArray[np.float64]
Area = tuple[float, float, float, float]
"""Left, top, width and height as shares of the picture (0 to 1), from its top left corner."""

CARD_LIGHTNESS = 49.5
"""L* of a grey card of 18 % reflectance."""
WORK_SIDE = 900
TILES_ACROSS = 45

FLAT_SPREAD = 3.0
"""A tile whose lightness scatters less than this (of 255) shows no texture."""
LEAST_CARD, MOST_CARD = 0.01, 0.6
"""Shares of the picture that a card found by itself may take."""
BLACK, BURNT = 0.002, 0.95
"""A card whose channels lie outside, in linear light, tells no colour."""
SRGB_STRAIGHT = 0.0031308
"""Linear light up to which sRGB is a straight line (IEC 61966-2-1)."""
LEAST_CARPET = 0.15
DARKEST, BRIGHTEST = 25.0, 245.0
MOST_CAST = 2.5
"""The card's brightest channel over its darkest, in linear light: past that the light is too coloured to correct."""


@dataclass(frozen=True, slots=True)
class PhotoShade:
    """The carpet's shade, how much it scatters over the carpet (mean ΔE*ab of tiles), and what share of the picture each took."""

    lab: Lab
    scatter: float
    card_share: float
    carpet_share: float

    @property
    def rough(self) -> float:
        """How far off the shade may well be, ΔE."""
        return math.hypot(ROUGH_DELTA_E, self.scatter / 2)


def photo_shade(
    photo: bytes, *, card: Area | None = None, carpet: Area | None = None, card_lightness: float = CARD_LIGHTNESS
) -> PhotoShade:
    """The shade of the carpet in a photograph (the bytes of a JPEG, PNG or WebP file), corrected by a neutral card in it.

    `card` and `carpet` say where they are; what isn't said is looked for. `card_lightness` is the card's L*.
    Raises BadFile for what is no such picture, BadInput for one that no shade can be told from.
    """
    if not 5 <= card_lightness <= 98:
        raise BadInput(f"{card_lightness!r} is no L* of a grey card: give 5 to 98, such as 49.5 for an 18 % card")
    pixels = _pixels(photo)
    tiles = tiled(pixels, TILES_ACROSS)
    card_at = tiles.within(_area(card, "card")) if card else _card_in(tiles)
    carpet_at = tiles.within(_area(carpet, "carpet")) if carpet else _carpet_in(tiles, card_at)
    _same_place(card_at, carpet_at)
    gain = _gain(tiles.colour[card_at], tiles.spread[card_at], card_lightness)
    each = [_lab(colour) for colour in tiles.colour[carpet_at] * gain]
    lab = _lab(np.median(tiles.colour[carpet_at], axis=0) * gain)
    scatter = np.mean([math.dist((one.lightness, one.a, one.b), (lab.lightness, lab.a, lab.b)) for one in each])
    return PhotoShade(lab, float(scatter), float(card_at.mean()), float(carpet_at.mean()))


def _pixels(photo: bytes) -> Pixels:
    """The picture as rows x columns x 3 sRGB values (0 to 255), at most WORK_SIDE on its longer side."""
    return np.asarray(picture_in(photo, WORK_SIDE), dtype=np.float64)


def _area(area: Area, what: str) -> Area:
    left, top, width, height = area
    if not (0 <= left < 1 and 0 <= top < 1 and 0 < width <= 1 - left + WHOLE and 0 < height <= 1 - top + WHOLE):
        raise BadInput(
            f"{area!r} is no place in the picture for the {what}: give left, top, width and height as shares from 0 to 1"
        )
    return area


def _card_in(tiles: Tiles) -> NDArray[np.bool_]:
    """The tiles of the card: the one large flat area that is neither black nor burnt out."""
    flat = tiles.spread < FLAT_SPREAD
    if flat.all():
        raise BadInput("the picture is of one flat colour: no carpet and no card can be told in it")
    lit = (tiles.level.min(axis=2) > DARKEST) & (tiles.level.max(axis=2) < BRIGHTEST)
    card, rival = largest_patch(flat & lit, tiles.level)
    share = card.mean()
    if share < LEAST_CARD:
        raise BadInput(
            "no grey card is found: lay a flat neutral grey card on the carpet, in the same light, where it neither lies in "
            "shadow nor shines; or say where in the picture it is"
        )
    if share > MOST_CARD:
        raise BadInput(f"{share:.0%} of the picture is flat: come nearer to the carpet, so that most of the picture shows it")
    if rival > share / 2:
        raise BadInput(
            "more than one flat area could be the grey card: say where the card is, or keep the other out of the picture"
        )
    return card


def _carpet_in(tiles: Tiles, card: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The tiles of the carpet: those with texture, off the card, without what is far from most of them."""
    found = (tiles.spread >= FLAT_SPREAD) & ~tiles.beside(card) & (tiles.level.max(axis=2) < BRIGHTEST)
    if found.mean() >= LEAST_CARPET:
        middle = np.median(tiles.level[found], axis=0)
        away = np.abs(tiles.level - middle).max(axis=2)
        found &= away <= 3 * np.median(away[found]) + 5
    if found.mean() < LEAST_CARPET:
        raise BadInput("too little of the picture shows carpet: fill it with carpet around the card, or say where the carpet is")
    return np.asarray(found, dtype=np.bool_)


def _same_place(card: NDArray[np.bool_], carpet: NDArray[np.bool_]) -> None:
    if not card.any() or not carpet.any():
        raise BadInput("the place given is too small to sample: make it larger")
    if (card & carpet).any():
        raise BadInput("the places of card and carpet overlap: give each its own")


def _gain(card: Pixels, spread: Pixels, lightness: float) -> Pixels:
    """What each linear channel is multiplied by so that the card comes out neutral at its lightness."""
    if np.median(spread) > 4 * FLAT_SPREAD:
        raise BadInput("what is given as the card has texture: give the place of a flat grey card")
    seen = np.median(card, axis=0)
    if seen.min() <= BLACK or seen.max() >= BURNT:
        raise BadInput("the grey card is too dark or burnt out: take the picture again in even light")
    if seen.max() / seen.min() > MOST_CAST:
        raise BadInput("the grey card is far from grey in this light, or is no grey card: take the picture in daylight")
    target = ((lightness + 16) / 116) ** 3
    return np.asarray(target / seen, dtype=np.float64)


def _lab(linear: Pixels) -> Lab:
    red, green, blue = (_encoded(float(value)) for value in linear)
    lab = lab_of_srgb((red, green, blue))
    return Lab(lab.lightness, lab.a, lab.b, PHOTO)


def _encoded(linear: float) -> float:
    value = min(1.0, max(0.0, linear))
    return 12.92 * value if value <= SRGB_STRAIGHT else 1.055 * value ** (1 / 2.4) - 0.055
