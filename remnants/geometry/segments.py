"""Straight lines between two points, against each other and against rings. Lengths are mm; shares of a line are 0 to 1."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.geometry.tolerances import WHOLE

__all__ = ["Line", "away_mm", "bearing_deg", "edges_of", "gap_mm", "is_within", "meeting", "part_of", "shares_outside"]

Line = tuple[Point, Point]


def edges_of(corners: Sequence[Point], *, closed: bool) -> Iterator[Line]:
    """The lines from each corner to the next, round to the first where `closed`."""
    yield from zip(corners, (*corners[1:], corners[0]) if closed else corners[1:], strict=False)


def bearing_deg(line: Line) -> float:
    """The bearing of a line, degrees clockwise from +y."""
    (ax, ay), (bx, by) = line
    return math.degrees(math.atan2(bx - ax, by - ay)) % 360.0


def meeting(one: Line, two: Line) -> float | None:
    """The share of the first line at which the second meets it; None where they don't meet or run alongside each other."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = two
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    lengths = math.dist(*one) * math.dist(*two)
    if abs(cross) <= WHOLE * lengths:
        return None
    share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
    other = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / cross
    slack, other_slack = TOLERANCE_MM / math.dist(*one), TOLERANCE_MM / math.dist(*two)
    return share if -slack <= share <= 1 + slack and -other_slack <= other <= 1 + other_slack else None


def gap_mm(one: Line, two: Line) -> float:
    """The least distance between two lines; 0 where they meet."""
    if meeting(one, two) is not None:
        return 0.0
    return min(*(away_mm(point, two) for point in one), *(away_mm(point, one) for point in two))


def away_mm(point: Point, line: Line) -> float:
    """The distance of a point from a line."""
    (ax, ay), (bx, by) = line
    squared = (bx - ax) ** 2 + (by - ay) ** 2
    share = max(0.0, min(1.0, ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / squared)) if squared else 0.0
    return math.dist(point, (ax + share * (bx - ax), ay + share * (by - ay)))


def part_of(line: Line, low: float, high: float) -> Line:
    """The part of a line between two shares of it."""
    (ax, ay), (bx, by) = line
    start, end = ((ax + share * (bx - ax), ay + share * (by - ay)) for share in (low, high))
    return start, end


def is_within(point: Point, ring: Ring) -> bool:
    """True if a point lies inside a ring and off its edge by more than the tolerance."""
    x, y = point
    inside = False
    for edge in edges_of(ring, closed=True):
        if away_mm(point, edge) <= TOLERANCE_MM:
            return False
        (ax, ay), (bx, by) = edge
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside


def shares_outside(line: Line, rings: Sequence[Ring]) -> list[tuple[float, float]]:
    """The stretches of a line, as shares, that lie inside none of the rings; what runs along an edge is outside."""
    if not rings or math.dist(*line) <= TOLERANCE_MM:
        return [(0.0, 1.0)]
    cuts = {0.0, 1.0}
    for ring in rings:
        met = (meeting(line, edge) for edge in edges_of(ring, closed=True))
        cuts |= {min(1.0, max(0.0, share)) for share in met if share is not None}
    least = 2 * TOLERANCE_MM / math.dist(*line)
    found: list[tuple[float, float]] = []
    ordered = sorted(cuts)
    for low, high in pairwise(ordered):
        middle = part_of(line, (low + high) / 2, 1.0)[0]
        if high - low <= least or any(is_within(middle, ring) for ring in rings):
            continue
        if found and low - found[-1][1] <= least:
            found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    return found
