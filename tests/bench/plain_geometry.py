"""Geometry of the adversary's own, in plain floats: it shares nothing with what makes plans or proves them.

Rings are lists of corners in mm, counter-clockwise. A ring with `words` carries one word for each edge, corner i to i + 1.
"""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

__all__ = [
    "Place",
    "area",
    "box_of",
    "clipped",
    "extent",
    "hull",
    "kept_of",
    "mirrored",
    "moved",
    "offset",
    "shared",
    "turned_clockwise",
    "with_strips",
]

Place = tuple[float, float]

SAME = 1e-6
"""Millimetres at which two corners are one."""


def area(ring: Sequence[Place]) -> float:
    """Signed area, mm²: positive when counter-clockwise."""
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True)) / 2


def box_of(rings: Sequence[Sequence[Place]]) -> tuple[float, float, float, float]:
    """Bounds of all corners, mm."""
    xs, ys = [x for ring in rings for x, _ in ring], [y for ring in rings for _, y in ring]
    return min(xs), min(ys), max(xs), max(ys)


def extent(ring: Sequence[Place], axis: int) -> float:
    """How far a ring goes along x (0) or y (1), mm."""
    return max(point[axis] for point in ring) - min(point[axis] for point in ring)


def moved(ring: Sequence[Place], by: Place) -> list[Place]:
    """The ring moved by (x, y) mm."""
    return [(x + by[0], y + by[1]) for x, y in ring]


def mirrored(ring: Sequence[Place]) -> list[Place]:
    """The ring seen from its back."""
    return [(-x, y) for x, y in reversed(ring)]


def turned_clockwise(ring: Sequence[Place], degrees: float) -> list[Place]:
    """The ring turned about (0, 0); quarters without dust."""
    quarter = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}.get(degrees % 360.0)
    angle = math.radians(degrees)
    cosine, sine = quarter or (math.cos(angle), math.sin(angle))
    return [(x * cosine + y * sine, y * cosine - x * sine) for x, y in ring]


def clipped(ring: Sequence[Place], words: Sequence[str], axis: int, at: float, *, low: bool) -> tuple[list[Place], list[str]]:
    """What lies below (or above) a line across the axis, the edge along the line called `seam`; the line must part it in two."""
    sign = 1.0 if low else -1.0
    kept: list[tuple[Place, str]] = []
    for index, (start, word) in enumerate(zip(ring, words, strict=True)):
        end = ring[(index + 1) % len(ring)]
        first, second = sign * (at - start[axis]), sign * (at - end[axis])
        if first >= 0:
            leaves = second < 0 and first <= SAME
            kept.append((start, "seam" if leaves else word))
        if (first > SAME and second < 0) or (first < 0 and second > SAME):
            share = first / (first - second)
            crossing = [start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])]
            crossing[axis] = at
            kept.append(((crossing[0], crossing[1]), "seam" if first > 0 else word))
    return kept_of(kept)


def kept_of(edges: Sequence[tuple[Place, str]]) -> tuple[list[Place], list[str]]:
    """Corners and words without edges of no length, and without corners in a straight line between edges of one word."""
    kept = [
        (point, word) for index, (point, word) in enumerate(edges) if math.dist(point, edges[(index + 1) % len(edges)][0]) > SAME
    ]
    index = 0
    while index < len(kept) and len(kept) > 3:
        (ax, ay), (bx, by), (cx, cy) = kept[index - 1][0], kept[index][0], kept[(index + 1) % len(kept)][0]
        straight = abs((bx - ax) * (cy - by) - (by - ay) * (cx - bx)) <= SAME * math.dist((ax, ay), (cx, cy))
        if straight and kept[index - 1][1] == kept[index][1]:
            del kept[index]
            index = 0
        else:
            index += 1
    return [point for point, _ in kept], [word for _, word in kept]


def offset(ring: Sequence[Place], by: Sequence[float]) -> list[Place]:
    """Each edge moved outward by its own figure (mm), neighbours carried on to where they meet."""
    found = []
    for index, (x, y) in enumerate(ring):
        before, after = ring[index - 1], ring[(index + 1) % len(ring)]
        one, two = _out(before, (x, y)), _out((x, y), after)
        a, b = by[index - 1], by[index]
        cross = one[0] * two[1] - one[1] * two[0]
        if abs(cross) < 1e-12:
            found.append((x + b * two[0], y + b * two[1]))
        else:
            found.append((x + (a * two[1] - b * one[1]) / cross, y + (b * one[0] - a * two[0]) / cross))
    return found


def hull(points: Sequence[Place]) -> list[Place]:
    """The convex ring round points."""
    rows: list[list[Place]] = []
    for walk in (sorted(set(points)), sorted(set(points), reverse=True)):
        kept: list[Place] = []
        for x, y in walk:
            while len(kept) > 1 and _bends(kept[-2], kept[-1], (x, y)) <= SAME:
                kept.pop()
            kept.append((x, y))
        rows.append(kept[:-1])
    return rows[0] + rows[1]


def with_strips(ring: Sequence[Place], by: Sequence[float]) -> list[Place]:
    """The convex ring round a ring and a strip square to each edge, as wide as its own figure (mm); mitred at sharp corners."""
    points = list(ring)
    for index, tip in enumerate(offset(ring, by)):
        one, two = _out(ring[index - 1], ring[index]), _out(ring[index], ring[(index + 1) % len(ring)])
        points += [tip] if one[0] * two[0] + one[1] * two[1] < 0 else []
    for start, end, wide in zip(ring, [*ring[1:], ring[0]], by, strict=True):
        x, y = _out(start, end)
        points += [(px + wide * x, py + wide * y) for px, py in (start, end)]
    return hull(points)


def _bends(a: Place, b: Place, c: Place) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _out(start: Place, end: Place) -> Place:
    length = math.dist(start, end)
    return (end[1] - start[1]) / length, (start[0] - end[0]) / length


def shared(rings: Sequence[Sequence[Place]], counts: Callable[[Sequence[bool]], bool]) -> float:
    """Area (mm²) of the points for which `counts` says yes of whether each ring holds them.

    Between two neighbouring levels at which an edge starts, ends or crosses another nothing changes but widths, and those
    straight: the width half-way up, times the height, is the area.
    """
    edges = [
        (min(a, b, key=lambda p: p[1]), max(a, b, key=lambda p: p[1]), number)
        for number, ring in enumerate(rings)
        for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)
        if a[1] != b[1]
    ]
    levels = {y for ring in rings for _, y in ring}
    for index, (a, b, number) in enumerate(edges):
        for c, d, other in edges[:index]:
            if number != other:
                levels.update(_crossing(a, b, c, d))
    ordered = sorted(levels)
    total = 0.0
    for bottom, top in pairwise(ordered):
        if top - bottom < 1e-9:
            continue
        y = (bottom + top) / 2
        cuts = sorted((a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]), number) for a, b, number in edges if a[1] < y < b[1])
        held = [False] * len(rings)
        for (x, number), (after, _) in pairwise(cuts):
            held[number] = not held[number]
            if counts(held):
                total += (after - x) * (top - bottom)
    return total


def _crossing(a: Place, b: Place, c: Place, d: Place) -> list[float]:
    """The level at which two edges cross, if they do."""
    if b[1] <= c[1] or d[1] <= a[1]:
        return []
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-12:
        return []
    share = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
    return [a[1] + share * uy] if 0 < share < 1 else []
