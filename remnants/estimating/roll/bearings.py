"""The pile bearings that are tried for connected rooms."""

import math
from collections.abc import Sequence

from remnants.geometry import Point
from remnants.geometry.turn import between, turned_point
from remnants.model.rooms import Room

__all__ = ["bearings_of"]

MOST_BEARINGS = 4


def bearings_of(group: Sequence[Room]) -> list[float]:
    """Pile bearings to try for connected rooms: the fixed one, else along and across their longest walls, facing the entry."""
    fixed = next((room.pile_deg for room in group if room.pile_deg is not None), None)
    if fixed is not None:
        return [fixed % 360]
    lengths: dict[float, float] = {}
    for room in group:
        ring = room.outline.ring
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            bearing = round(_bearing(a, b) % 90, 6) % 90
            lengths[bearing] = lengths.get(bearing, 0.0) + abs(complex(b[0] - a[0], b[1] - a[1]))
    longest = sorted(lengths, key=lambda bearing: (-lengths[bearing], bearing))[: MOST_BEARINGS // 2]
    return [_toward_entry(group, bearing + quarter) for bearing in longest for quarter in (0.0, 90.0)]


def _bearing(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[0] - a[0], b[1] - a[1]))


def _toward_entry(group: Sequence[Room], bearing: float) -> float:
    """The bearing or its opposite: the pile faces the entry, where one is known (CRI and trade training: where possible)."""
    for room in group:
        for door in room.doorways:
            if door.entry:
                low, high = room.outline.bounds[:2], room.outline.bounds[2:]
                middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
                way = turned_point((door.middle[0] - middle[0], door.middle[1] - middle[1]), between(bearing, 0.0))
                return bearing if way[1] >= 0 else bearing + 180.0
    return bearing
