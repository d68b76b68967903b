"""Whole patches: one part from one donor."""

from collections.abc import Iterator

import numpy as np

from remnants.fitting.ask import Ask
from remnants.fitting.donor import Donor
from remnants.fitting.field import Field
from remnants.geometry.outline import TOLERANCE_MM, area_mm2, bounds

__all__ = ["lying"]


def lying(ask: Ask, field: Field) -> Iterator[Donor]:
    """The donors on which the whole patch can lie, the least worn first, then the smallest, then by tag."""
    left, bottom, right, top = bounds(ask.shape.cut)
    width, length = right - left, top - bottom
    sizes = field.sizes
    may = (sizes[:, 0] >= width - TOLERANCE_MM) & (sizes[:, 1] >= length - TOLERANCE_MM)
    may &= field.areas >= area_mm2(ask.shape.cut) - TOLERANCE_MM * 4 * (width + length)
    if ask.shape.is_rectangle:
        may &= field.room(1, width).possible >= length - TOLERANCE_MM
    places = np.flatnonzero(may)
    for place in places[np.lexsort((field.areas[places], field.wear[places]))]:
        donor = field.donors[place]
        if ask.lies(ask.shape, donor):
            yield donor
