"""Which points lie on a quarter of a circle, as a door swings through. Lengths in mm."""

import math
from collections.abc import Sequence

from remnants.geometry import Point

__all__ = ["quarter_centre"]

QUARTER = math.radians(90)
ASKEW = math.radians(12)
"""A door is drawn open by a quarter turn, within this."""

ROUND_SHARE = 0.02
"""Points of an arc lie this near to its circle, as a share of its radius: four Bezier curves come within 0.03 % of one, and what
a drawing program rounds to a hundredth of a point within 0.1 %, at 1:100 and the narrowest leaf."""

STRAIGHT_SHARE = 1e-6
"""Three points that turn by less than this share of the square between the outer two lie in a line: no leaf bends so little."""


def quarter_centre(points: Sequence[Point]) -> Point | None:
    """The centre of the circle through the first point, the middle one and the last, where all lie near a quarter of it.

    None where one lies off it by more than ROUND_SHARE of its radius, or its ends are not a quarter turn apart within ASKEW.
    """
    centre = _through(points[0], points[len(points) // 2], points[-1]) if len(points) > 2 else None
    if centre is None:
        return None
    radius = math.dist(centre, points[0])
    turned = 2 * math.asin(min(1.0, math.dist(points[0], points[-1]) / (2 * radius)))
    is_round = all(abs(math.dist(centre, point) - radius) <= ROUND_SHARE * radius for point in points)
    return centre if is_round and abs(turned - QUARTER) <= ASKEW else None


def _through(one: Point, two: Point, three: Point) -> Point | None:
    """The centre of the circle through three points; None where they lie in a line."""
    (ax, ay), (bx, by), (cx, cy) = one, two, three
    turn = 2 * ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))
    if abs(turn) <= STRAIGHT_SHARE * math.dist(one, three) ** 2:
        return None
    first, second = ((x - ax) ** 2 + (y - ay) ** 2 for x, y in (two, three))
    x = ((cy - ay) * first - (by - ay) * second) / turn
    y = ((bx - ax) * second - (cx - ax) * first) / turn
    return ax + x, ay + y
