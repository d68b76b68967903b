"""A carpet's shade from a photograph, and how two shades differ."""

from dataclasses import dataclass

from remnants.errors import BadInput, Fault, NotFound
from remnants.matching.photo import CARD_LIGHTNESS, Area, PhotoShade, photo_shade
from remnants.matching.shade import GreyGrade, ShadeRule, comparable, delta_e_2000, delta_e_f, grey_grade
from remnants.model import Lab
from remnants.store import Catalogue, pieces

__all__ = ["CARD_LIGHTNESS", "Area", "Compared", "PhotoShade", "compare_shades", "shade_of_photo", "shade_of_piece"]


@dataclass(frozen=True)
class Compared:
    """Two shades and their difference: CIEDE2000, the grey scale step, and whether it counts as close or as near."""

    one: Lab
    two: Lab
    delta_e: float
    grey: GreyGrade
    close: bool
    near: bool


def shade_of_photo(
    photo: bytes, *, card: Area | None = None, carpet: Area | None = None, card_lightness: float = CARD_LIGHTNESS
) -> PhotoShade:
    """The shade of the carpet in a photograph; see `matching.photo`. Raises BadFile and BadInput."""
    return photo_shade(photo, card=card, carpet=carpet, card_lightness=card_lightness)


def shade_of_piece(catalogue: Catalogue, tag: str) -> Lab:
    """The measured shade of a piece. Raises NotFound when there is no such piece or it has none."""
    standing = pieces.find_standing(catalogue, tag)
    if standing is None:
        raise NotFound(f"there is no piece {tag!r} in the catalogue; `remnants find WORDS` lists what there is")
    piece = standing.piece
    if piece.lab is None:
        raise NotFound(f"{piece.tag} has no measured shade; log one with it by --lab")
    return piece.lab


def compare_shades(one: Lab, two: Lab, *, rule: ShadeRule | None = None) -> Compared:
    """How two shades differ. Raises BadInput when they were measured under different lights."""
    if not comparable(one, two):
        told = f"{one.illuminant} and {two.illuminant} are different lights: measure both under one"
        raise BadInput([Fault("illuminant", told)])
    limits, delta_e = rule or ShadeRule(), delta_e_2000(one, two)
    return Compared(one, two, delta_e, grey_grade(delta_e_f(one, two)), delta_e <= limits.close, delta_e <= limits.near)
