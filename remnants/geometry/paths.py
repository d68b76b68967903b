"""The way that feet take over a floor: the shortest path within an outline. Lengths are millimetres."""

import heapq
import math
from itertools import combinations

from shapely.geometry import LineString
from shapely.prepared import prep

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, area_mm2

__all__ = ["shortest_within"]


def shortest_within(floor: Outline, start: Point, end: Point) -> tuple[Point, ...]:
    """The shortest path from `start` to `end` on the floor (mm), round its corners and islands; () where there is none.

    It bends only at corners that stick into the floor, so the shortest way between those that see each other is exact
    (a visibility graph: de Berg and others, "Computational Geometry", chapter 15; from memory).
    """
    points = (start, end, *_inner_corners(floor))
    inside = prep(floor.usable.buffer(TOLERANCE_MM, join_style="mitre"))
    if inside.covers(LineString((start, end))):
        return start, end
    seen: dict[int, list[int]] = {index: [] for index in range(len(points))}
    for one, other in combinations(range(len(points)), 2):
        if points[one] != points[other] and inside.covers(LineString((points[one], points[other]))):
            seen[one].append(other)
            seen[other].append(one)
    return tuple(points[index] for index in _shortest(points, seen))


def _inner_corners(floor: Outline) -> tuple[Point, ...]:
    """Corners that stick into the floor: reflex ones of the walls, all of the islands."""
    found = []
    ring = floor.ring
    for index, corner in enumerate(ring):
        if area_mm2((ring[index - 1], corner, ring[(index + 1) % len(ring)])) < 0:
            found.append(corner)
    return tuple(dict.fromkeys((*found, *(corner for island in floor.cutouts for corner in island))))


def _shortest(points: tuple[Point, ...], seen: dict[int, list[int]]) -> tuple[int, ...]:
    """Dijkstra's way from point 0 to point 1."""
    queue: list[tuple[float, tuple[int, ...]]] = [(0.0, (0,))]
    done: set[int] = set()
    while queue:
        length, path = heapq.heappop(queue)
        here = path[-1]
        if here == 1:
            return path
        if here in done:
            continue
        done.add(here)
        for there in seen[here]:
            if there not in done:
                heapq.heappush(queue, (length + math.dist(points[here], points[there]), (*path, there)))
    return ()
