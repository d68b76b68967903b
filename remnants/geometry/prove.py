"""Questions that a proof asks of shapes, answered apart from the makers' geometry, from scratch with shapely (mm).

Every answer forgives the one tolerance, as a distance.
"""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import Polygon

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring

__all__ = ["covers_with_allowance", "inside", "is_simple", "lattice_gap_mm", "overlapping", "tiles", "uncovered_mm2"]

GIVE_MM = TOLERANCE_MM + 1e-4
"""The tolerance, and what the corners of a buffered outline lose to its short chords."""


def is_simple(ring: Ring) -> bool:
    """True if the ring encloses an area without crossing itself."""
    return len(ring) >= 3 and bool(Polygon(ring).is_valid) and Polygon(ring).area > 0


def inside(ring: Ring, outline: Outline) -> bool:
    """True if the ring lies in the outline and outside its cutouts."""
    return bool(outline.usable.buffer(GIVE_MM).covers(Polygon(ring)))


def overlapping(one: Ring, two: Ring) -> bool:
    """True if two rings share more than a touch."""
    shrunk = [Polygon(ring).buffer(-GIVE_MM / 2, join_style="mitre") for ring in (one, two)]
    return bool(shrunk[0].intersects(shrunk[1]))


def tiles(parts: Sequence[Ring], whole: Ring) -> bool:
    """True if the rings together make the whole ring, none sticking out and no gap between them."""
    union = shapely.union_all([Polygon(part) for part in parts])
    return bool(union.buffer(GIVE_MM).covers(Polygon(whole)) and Polygon(whole).buffer(GIVE_MM).covers(union))


def uncovered_mm2(needed: Ring, cut: Ring) -> float:
    """Area of `needed` that `cut` leaves bare, mm²."""
    return float(Polygon(needed).difference(Polygon(cut).buffer(GIVE_MM)).area)


def covers_with_allowance(cut: Ring, net: Ring, extra_mm: Sequence[float]) -> tuple[int, ...]:
    """The edges of `net` whose allowance (`extra_mm[i]`, square to edge i, mitred at outward corners) `cut` doesn't cover.

    -1 stands for the net itself. `net` runs counter-clockwise.
    """
    held = Polygon(cut).buffer(GIVE_MM)
    bare = [] if held.covers(Polygon(net)) else [-1]
    count = len(net)
    for index in range(count):
        start, end, extra = net[index], net[(index + 1) % count], extra_mm[index]
        if extra <= 0:
            continue
        length = math.dist(start, end)
        x, y = (end[1] - start[1]) / length * extra, (start[0] - end[0]) / length * extra
        strip = Polygon([start, (start[0] + x, start[1] + y), (end[0] + x, end[1] + y), end])
        tip = _mitre(net, index, extra_mm)
        if not held.covers(strip) or (tip is not None and not held.covers(shapely.Point(tip))):
            bare.append(index)
    return tuple(bare)


def lattice_gap_mm(step: Point, across_mm: float, along_mm: float, drop: float) -> float:
    """Distance from a step in the pile frame to the nearest whole number of repeats (columns shifted by `drop`)."""
    column = math.floor(step[0] / across_mm)
    gaps = []
    for i in range(column - 1, column + 3):
        along = step[1] - i * drop * along_mm
        row = math.floor(along / along_mm + 0.5)
        gaps.append(math.hypot(step[0] - i * across_mm, along - row * along_mm))
    return min(gaps)


def _mitre(net: Ring, index: int, extra_mm: Sequence[float]) -> Point | None:
    """Where the grown lines of edge `index` and the one after meet past an outward corner, if past both edges' ends."""
    count = len(net)
    before, corner, after = net[index], net[(index + 1) % count], net[(index + 2) % count]
    one, two = extra_mm[index], extra_mm[(index + 1) % count]
    u = ((corner[0] - before[0]) / math.dist(before, corner), (corner[1] - before[1]) / math.dist(before, corner))
    w = ((after[0] - corner[0]) / math.dist(corner, after), (after[1] - corner[1]) / math.dist(corner, after))
    turn = u[0] * w[1] - u[1] * w[0]
    if turn <= 1e-9 or two <= 0:
        return None
    # corner + one * n1 + p * u lies on both lines: p = (two - one * cos) / sin, and as far back along the second edge
    cosine = u[0] * w[0] + u[1] * w[1]
    ahead, back = (two - one * cosine) / turn, (one - two * cosine) / turn
    if ahead < 0 or back < 0:
        return None
    return corner[0] + one * u[1] + ahead * u[0], corner[1] - one * u[0] + ahead * u[1]
