"""Linear light of a picture's levels, and back to a colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remnants.late import Late
from remnants.matching.colours import lab_of_srgb, srgb_of_lab
from remnants.model import Lab

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
else:
    np = Late("numpy")

__all__ = ["BURNT", "lab_of_light", "light_of_lab", "linear_light"]

_STRAIGHT = 0.0031308
"""Linear light up to which sRGB is a straight line (IEC 61966-2-1)."""

BURNT = 250
"""A level (of 255) that counts as burnt out."""


def linear_light(level: Floats) -> Floats:
    """Linear light, 0 to 1, of sRGB levels of 255 (IEC 61966-2-1)."""
    share = level / 255.0
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def lab_of_light(light: Floats) -> Lab:
    """The colour of linear light, red, green, blue, 0 to 1; what lies beyond is cut off."""
    share = np.clip(light, 0.0, 1.0)
    level = np.where(share <= _STRAIGHT, 12.92 * share, 1.055 * share ** (1 / 2.4) - 0.055)
    return lab_of_srgb((float(level[0]), float(level[1]), float(level[2])))


def light_of_lab(lab: Lab) -> Floats:
    """The linear light of a colour, red, green, blue."""
    return linear_light(np.array(srgb_of_lab(lab)) * 255.0)
