"""Pieces cut up at random with nothing left, so that the best answer is known: every part has a place."""

import random
from collections.abc import Sequence

from remnants.geometry.outline import Point, Ring, area_mm2, bounds

__all__ = ["cut_up", "moved_home"]

GRID = 3
"""Corners are rounded to so many digits of a millimetre: far less than the tolerance."""


def cut_up(rng: random.Random, width_mm: float, length_mm: float, parts: int, *, odd: float = 0.5) -> list[Ring]:
    """A rectangle cut into so many parts: each time the largest is parted by a straight cut or a corner is cut out of it.

    `odd` is the share of cuts that run at an angle or leave an L; with 0 all run from edge to edge along the axes.
    """
    made: list[Ring] = [((0.0, 0.0), (width_mm, 0.0), (width_mm, length_mm), (0.0, length_mm))]
    whole = 0
    while len(made) + whole < parts:
        made.sort(key=area_mm2)
        largest = made.pop()
        if _is_box(largest) and rng.random() < odd / 2:
            made += _cornered(rng, largest)
        elif _is_convex(largest):
            made += _parted(rng, largest, slant=0.5 if rng.random() < odd else 0.0)
        else:
            made += _l_parted(largest)
    return made


def moved_home(ring: Ring) -> Ring:
    """The ring with its bounds at (0, 0)."""
    left, bottom, _, _ = bounds(ring)
    return tuple((x - left, y - bottom) for x, y in ring)


def _is_box(ring: Ring) -> bool:
    return len(ring) == 4 and len({x for x, _ in ring}) == len({y for _, y in ring}) == 2


def _is_convex(ring: Ring) -> bool:
    count = len(ring)
    return all(_side(ring[i], ring[(i + 1) % count], ring[(i + 2) % count]) >= -1e-6 for i in range(count))


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _parted(rng: random.Random, ring: Ring, *, slant: float) -> list[Ring]:
    """A convex ring parted across its longer side, off the square by up to `slant`."""
    left, bottom, right, top = bounds(ring)
    share, lean = rng.uniform(0.35, 0.65), rng.uniform(-slant, slant)
    if right - left >= top - bottom:
        x = left + share * (right - left)
        shift = lean * (top - bottom) / 2
        low, high = (x - shift, bottom - 1.0), (x + shift, top + 1.0)
    else:
        y = bottom + share * (top - bottom)
        shift = lean * (right - left) / 2
        low, high = (right + 1.0, y - shift), (left - 1.0, y + shift)
    halves: tuple[list[Point], list[Point]] = ([], [])
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        one, two = _side(low, high, start), _side(low, high, end)
        halves[one < 0].append(start)
        if one * two < 0:
            at = one / (one - two)
            crossing = (round(start[0] + at * (end[0] - start[0]), GRID), round(start[1] + at * (end[1] - start[1]), GRID))
            halves[0].append(crossing)
            halves[1].append(crossing)
    return [tuple(half) for half in halves]


def _cornered(rng: random.Random, ring: Ring) -> list[Ring]:
    """A rectangle with its upper right corner cut out: an L and the corner."""
    left, bottom, right, top = bounds(ring)
    x = round(left + rng.uniform(0.4, 0.6) * (right - left), GRID)
    y = round(bottom + rng.uniform(0.4, 0.6) * (top - bottom), GRID)
    return [
        ((left, bottom), (right, bottom), (right, y), (x, y), (x, top), (left, top)),
        ((x, y), (right, y), (right, top), (x, top)),
    ]


def _l_parted(ring: Sequence[Point]) -> list[Ring]:
    """An L of `_cornered` parted into two rectangles."""
    corner, right, side, inner, up, top = ring
    return [(corner, right, side, (corner[0], inner[1])), ((corner[0], inner[1]), inner, up, top)]
