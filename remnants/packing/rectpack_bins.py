"""The one door to rectpack: whole numbers in, ids out, and what found no place is told.

rectpack leaves out in silence what does not fit, and its own validation misses overlaps with the last rectangle: so unplaced ids
are computed here, and nothing it answers is trusted without a check on the true figures.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import combinations, product

import rectpack

__all__ = ["STRIP_WAYS", "Laid", "StripWay", "Way", "pack_bins", "shorter_strip"]

Spot = tuple[int, int, int, int]
"""Donor, part, x, y."""

Sizes = Sequence[tuple[int, int]]
Order = Callable[..., object]


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
    spots = _packed(parts, donors, *way.value)
    placed = {part for _, part, _, _ in spots}
    return Laid(spots, tuple(part for part in range(len(parts)) if part not in placed))


def _packed(
    parts: Sequence[tuple[int, int]],
    donors: Sequence[tuple[int, int]],
    algorithm: type,
    bins: object,
    order: Callable[..., object],
) -> tuple[Spot, ...]:
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, bin_algo=bins, pack_algo=algorithm, sort_algo=order, rotation=False
    )
    for index, (width, length) in enumerate(donors):
        packer.add_bin(width, length, bid=index)
    for index, (width, length) in enumerate(parts):
        packer.add_rect(width, length, rid=index)
    packer.pack()
    return tuple(sorted((packer[place].bid, part, x, y) for place, x, y, _, _, part in packer.rect_list()))


StripWay = tuple[type, Order]

STRIP_WAYS: tuple[StripWay, ...] = tuple(
    product(
        (getattr(rectpack, name) for name in sorted(dir(rectpack)) if name.startswith(("MaxRects", "Skyline", "Guillotine"))),
        (rectpack.SORT_AREA, rectpack.SORT_SSIDE, rectpack.SORT_LSIDE, rectpack.SORT_PERI, rectpack.SORT_RATIO),
    )
)
"""Every algorithm with every order."""


def shorter_strip(
    parts: Sequence[tuple[int, int]], width: int, *, shorter_than: int, least: int, way: StripWay
) -> tuple[int, tuple[tuple[int, int], ...]] | None:
    """The shortest length under `shorter_than`, by halving down to `least`, on which this way places all, with their corners.

    None where it doesn't place all on `shorter_than` - 1, or where what it answers does not hold.
    """
    best, low, high = None, least, shorter_than - 1
    trial = high
    while low <= high:
        spots = _packed(parts, [(width, trial)], way[0], rectpack.PackingBin.BFF, way[1])
        corners = tuple((x, y) for _, _, x, y in spots)
        if len(spots) == len(parts) and _holds(parts, corners, width, trial):
            best, high = (trial, corners), trial - 1
        elif best is None:
            return None
        else:
            low = trial + 1
        trial = (low + high) // 2
    return best


def _holds(parts: Sequence[tuple[int, int]], corners: Sequence[tuple[int, int]], width: int, length: int) -> bool:
    """True if every part lies on the strip and none over another."""
    boxes = [(x, y, x + w, y + h) for (w, h), (x, y) in zip(parts, corners, strict=True)]
    apart = all(a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for a, b in combinations(boxes, 2))
    return apart and all(left >= 0 and low >= 0 and right <= width and top <= length for left, low, right, top in boxes)
