"""Whole patches: one part from one donor."""

from collections.abc import Iterator

import numpy as np

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.room_on_donors import Field, Floats, Places
from remnants.fitting.rules import FitRules
from remnants.geometry.outline import TOLERANCE_MM, area_mm2, bounds

__all__ = ["lost", "lying"]

NO_AREA_MM2 = 1e-9
"""Keeps nothing at all from being divided by nothing."""


def lying(ask: Ask, field: Field) -> Iterator[Donor]:
    """The donors on which the whole patch can lie, those first that lose least of their worth: exact for plain rectangles."""
    left, bottom, right, top = bounds(ask.shape.cut)
    width, length = right - left, top - bottom
    sizes = field.sizes
    may = (sizes[:, 0] >= width - TOLERANCE_MM) & (sizes[:, 1] >= length - TOLERANCE_MM)
    may &= field.areas >= area_mm2(ask.shape.cut) - TOLERANCE_MM * 4 * (width + length)
    if ask.shape.is_rectangle:
        may &= field.room(1, width).possible >= length - TOLERANCE_MM
    places = np.flatnonzero(may)
    for place in places[np.lexsort((field.areas[places], np.round(lost(ask, field, places))))]:
        donor = field.donors[place]
        if ask.lies(ask.shape, donor):
            yield donor


def lost(ask: Ask, field: Field, places: Places) -> Floats:
    """Worth (mm²) that a cut in a corner takes from each donor; of one that is no plain rectangle, as if it were square."""
    rules = ask.rules
    left, bottom, right, top = bounds(ask.shape.cut)
    areas = field.areas[places]
    sizes = np.where(field.plain[places, None], field.sizes[places], np.sqrt(areas)[:, None])
    wide, long = np.maximum(sizes[:, 0] - (right - left), 0.0), np.maximum(sizes[:, 1] - (top - bottom), 0.0)
    beside, above = np.stack([wide, sizes[:, 1]], axis=1), np.stack([sizes[:, 0], long], axis=1)
    after = np.where((beside.prod(axis=1) >= above.prod(axis=1))[:, None], beside, above)
    rest = np.maximum(areas - area_mm2(ask.shape.cut), 0.0)

    least = _least_sides(rules, field, places)

    def worth(rectangles: Floats, own: Floats) -> Floats:
        kept = (np.sort(rectangles, axis=1) >= least - TOLERANCE_MM).all(axis=1)
        largest = rectangles.prod(axis=1)
        worths: Floats = np.where(kept, own * largest / (largest + rules.half_value_mm2 + NO_AREA_MM2), 0.0)
        return worths

    return worth(sizes, areas) - worth(after, rest)


def _least_sides(rules: FitRules, field: Field, places: Places) -> Floats:
    """The sides (mm), the shorter first, that a rest of each donor must hold to be kept: (n, 2), or one row (1, 2) for all."""
    if not rules.keep.own:
        return np.array([rules.keep.shop.sides_mm])
    own = {style: keep.sides_mm for style, keep in rules.keep.own}
    styles = (field.donors[place].candidate.piece.style for place in places)
    return np.array([own.get(style, rules.keep.shop.sides_mm) for style in styles], dtype=np.float64).reshape(-1, 2)
