"""The one door to rectpack: whole numbers in, ids out, and what found no place is told.

rectpack leaves out in silence what does not fit, and its own validation misses overlaps with the last rectangle: so unplaced ids
are computed here, and nothing it answers is trusted without a check on the true figures.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import rectpack

__all__ = ["Laid", "Way", "pack_bins"]

Spot = tuple[int, int, int, int]
"""Donor, part, x, y."""


class Way(Enum):
    """How parts are sorted and how a bin and a place in it are chosen: (algorithm, bins, order)."""

    AREA_BEST = (rectpack.MaxRectsBaf, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    SHORT_SIDE_BEST = (rectpack.MaxRectsBssf, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    LONG_SIDE_BEST = (rectpack.MaxRectsBlsf, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    LOW_BEST = (rectpack.MaxRectsBl, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    AREA_BEST_LONG = (rectpack.MaxRectsBaf, rectpack.PackingBin.BBF, rectpack.SORT_LSIDE)
    SHORT_SIDE_BEST_LONG = (rectpack.MaxRectsBssf, rectpack.PackingBin.BBF, rectpack.SORT_LSIDE)
    LOW_BEST_LONG = (rectpack.MaxRectsBl, rectpack.PackingBin.BBF, rectpack.SORT_LSIDE)
    AREA_FIRST = (rectpack.MaxRectsBaf, rectpack.PackingBin.BFF, rectpack.SORT_AREA)
    SKYLINE_BEST = (rectpack.SkylineMwf, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    SKYLINE_WASTE_BEST = (rectpack.SkylineMwfWm, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    CUT_BEST = (rectpack.GuillotineBafSas, rectpack.PackingBin.BBF, rectpack.SORT_AREA)
    AREA_BEST_ROUND = (rectpack.MaxRectsBaf, rectpack.PackingBin.BBF, rectpack.SORT_PERI)


@dataclass(frozen=True, slots=True)
class Laid:
    """Where parts lie, and which found no place."""

    spots: tuple[Spot, ...]
    unplaced: tuple[int, ...]


def pack_bins(parts: Sequence[tuple[int, int]], donors: Sequence[tuple[int, int]], way: Way = Way.AREA_BEST) -> Laid:
    """Lays parts (width, length) on donors (width, length), not turned: whole numbers in one unit, micrometres for carpet.

    Raises ValueError for a size that is not above zero.
    """
    for width, length in (*parts, *donors):
        if width <= 0 or length <= 0:
            raise ValueError(f"{width} x {length} is no size: both must be above zero")
    if not parts or not donors:
        return Laid((), tuple(range(len(parts))))
    algorithm, bins, order = way.value
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, bin_algo=bins, pack_algo=algorithm, sort_algo=order, rotation=False
    )
    for index, (width, length) in enumerate(donors):
        packer.add_bin(width, length, bid=index)
    for index, (width, length) in enumerate(parts):
        packer.add_rect(width, length, rid=index)
    packer.pack()
    spots = tuple(sorted((packer[place].bid, part, x, y) for place, x, y, _, _, part in packer.rect_list()))
    placed = {part for _, part, _, _ in spots}
    return Laid(spots, tuple(part for part in range(len(parts)) if part not in placed))
