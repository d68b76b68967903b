"""Seams between slanting edges that take less than a joint does: a part needn't fit because a longer one does.

There the strip of the joint sticks out beside the edges, and further on, where the part is narrower, it may be less wide. So each
donor lies not up to one figure but in an interval between two events, found by a linear programme, ends included; two donors
make the patch where an interval of either meets.
"""

from collections.abc import Iterator
from itertools import product

import numpy as np

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Leaf
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.seam_intervals import intervals
from remnants.fitting.patch.shape import Split, splits
from remnants.geometry.outline import TOLERANCE_MM

__all__ = ["uneven_pairs"]

MOST_A_SIDE = 150
"""Donors looked at on either side of such a seam, the smallest first."""


def uneven_pairs(ask: Ask, field: Field) -> Iterator[Option]:
    """Two parts of two pieces with such a seam, the smallest donors first. Nothing if none exists."""
    for split in (split for axis in AXES for split in splits(ask.shape, axis) if split.uneven):
        lows, highs = Reaches.of(ask, field, split, low=True), Reaches.of(ask, field, split, low=False)
        sides = [_able(ask, lows), _able(ask, highs)]
        own = [{place: intervals(ask, split, field.donors[place], low=side == 0) for place in sides[side]} for side in (0, 1)]
        pairs = sorted(product(*own), key=lambda pair: (field.areas[pair[0]] + field.areas[pair[1]], pair))
        for one, two in pairs:
            if field.pieces[one] == field.pieces[two]:
                continue
            for (begin, end), (start, stop) in product(own[0][one], own[1][two]):
                least, greatest = max(begin, start), min(end, stop)
                if least <= greatest + TOLERANCE_MM / 2:
                    option = _laid(ask, split, (field.donors[one], field.donors[two]), (least, greatest))
                    if option is not None:
                        yield option


def _able(ask: Ask, reaches: Reaches) -> list[int]:
    places = np.flatnonzero(~np.isnan(reaches.at))
    places = places[np.argsort(reaches.field.areas[places], kind="stable")]
    if len(places) > MOST_A_SIDE:
        ask.undecided.add(f"seams between slanting edges that take less than a joint, past {MOST_A_SIDE} pieces a side")
    return [int(place) for place in places[:MOST_A_SIDE]]


def _laid(ask: Ask, split: Split, donors: tuple[Donor, Donor], between: tuple[float, float]) -> Option | None:
    """Both parts with the seam in the middle of where both can be, or at either end."""
    least, greatest = between
    for at in ((least + greatest) / 2, least, greatest):
        low, high = split.halves(at)
        if ask.lies(low, donors[0]) and ask.lies(high, donors[1]):
            return Option(Joint(split, at, Leaf(low, donors[0]), Leaf(high, donors[1])))
    if greatest - least > TOLERANCE_MM:
        ask.undecided.add(f"{donors[0].tag} and {donors[1].tag} with a seam between slanting edges that take less than a joint")
    return None
