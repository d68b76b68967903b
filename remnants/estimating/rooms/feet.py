"""Where feet meet a seam: do they cross it, walk along it, or turn on it?"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from remnants.geometry import TOLERANCE_MM, Point
from remnants.geometry.bands import length_near_mm

__all__ = ["HALF_LANE_MM", "Met", "Path", "met_by_feet"]

HALF_LANE_MM = 300.0
"""Half the width that feet take."""

SQUARE_DEG = 45.0
"""A lane at a greater angle to a seam than this crosses it; one that bends by more turns."""

Path = tuple[Point, ...]
Line = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Met:
    """How often a seam is crossed and turned on, lanes side by side counted as one, and how far one lane goes along it (mm)."""

    crossings: int = 0
    turns: int = 0
    along_mm: float = 0.0


def met_by_feet(line: Line, paths: Sequence[Path]) -> Met:
    """How the walked paths meet the seam, all in one frame (mm)."""
    crossed: list[float] = []
    turned: list[float] = []
    along = 0.0
    for path in paths:
        if _apart(line, path):
            continue
        beside = 0.0
        for step in pairwise(path):
            if _angle_deg(line, step) > SQUARE_DEG:
                crossed += _crossing(line, step)
            else:
                beside += length_near_mm(line, step, HALF_LANE_MM)
        along = max(along, beside)
        turned += _turns(line, path)
    return Met(_lanes(crossed), _lanes(turned), along)


def _apart(line: Line, path: Path) -> bool:
    """True if a path keeps clear of the seam altogether."""
    return any(
        min(point[axis] for point in path) > max(end[axis] for end in line) + HALF_LANE_MM
        or max(point[axis] for point in path) < min(end[axis] for end in line) - HALF_LANE_MM
        for axis in (0, 1)
    )


def _angle_deg(one: Line, other: Line) -> float:
    """The angle between two lines, 0 to 90 degrees."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    turn = math.degrees(math.atan2(by - ay, bx - ax) - math.atan2(dy - cy, dx - cx)) % 180.0
    return min(turn, 180.0 - turn)


def _crossing(line: Line, step: Line) -> Iterable[float]:
    """Where along the seam (mm) a step crosses it; one that only ends at it does not."""
    length = math.dist(*line)
    sides = [_beside(line, point) for point in step]
    if not (min(sides) < -TOLERANCE_MM and max(sides) > TOLERANCE_MM):
        return
    share = sides[0] / (sides[0] - sides[1])
    at = [_ahead(line, point) for point in step]
    place = at[0] + share * (at[1] - at[0])
    if -TOLERANCE_MM <= place <= length + TOLERANCE_MM:
        yield place


def _turns(line: Line, path: Path) -> Iterable[float]:
    """Where along the seam (mm) a path bends on it."""
    for (one, bend), (_, other) in pairwise(pairwise(path)):
        ways = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in ((one, bend), (bend, other))]
        turn = abs((math.degrees(ways[1] - ways[0]) + 180.0) % 360.0 - 180.0)
        ahead = _ahead(line, bend)
        if turn > SQUARE_DEG and abs(_beside(line, bend)) <= HALF_LANE_MM and 0.0 <= ahead <= math.dist(*line):
            yield ahead


def _beside(line: Line, point: Point) -> float:
    """How far to the left of the seam's line a point lies (mm)."""
    (ax, ay), (bx, by) = line
    return ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / math.dist(*line)


def _ahead(line: Line, point: Point) -> float:
    """How far along the seam's line a point lies (mm)."""
    (ax, ay), (bx, by) = line
    return ((bx - ax) * (point[0] - ax) + (by - ay) * (point[1] - ay)) / math.dist(*line)


def _lanes(places: Sequence[float]) -> int:
    """Places along a seam, those within one lane of each other counted as one."""
    count, last = 0, -math.inf
    for place in sorted(places):
        if place - last > 2 * HALF_LANE_MM:
            count, last = count + 1, place
    return count
