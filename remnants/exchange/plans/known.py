"""The scale of a plan by a length that somebody knows: of one of its lines, or between two points of the page. On paper: mm."""

import math
from collections.abc import Sequence
from itertools import pairwise

from remnants.errors import BadFile, BadInput, Fault
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry import Point, Ring
from remnants.geometry.outline import bounds
from remnants.model.page_seen import LineSeen, PageSeen
from remnants.units import Unit, parse_length, write_length

__all__ = ["MOST_LINES", "lines_numbered", "point_of", "refuse_senseless", "scale_known"]

MOST_LINES = 60
"""Lines of a page that have a number, the longest first: a wall is among them."""

SHORTEST_MM = 5.0
"""What is shorter on paper is no measure: half a millimetre in reading it would be a tenth of the scale."""

ROOM_MM = (1500.0, 40_000.0)
"""How long the largest room of a plan is at the least and the most (common practice, no source), or its length is asked about."""


def lines_numbered(paths: Sequence[Sequence[Point]]) -> tuple[LineSeen, ...]:
    """The straight lines of paths (mm of paper) that are long enough to measure by, each once, the longest first, numbered."""
    found: dict[tuple[Point, Point], float] = {}
    for path in paths:
        for one, two in pairwise(path):
            start, end = sorted(((round(x, 2), round(y, 2)) for x, y in (one, two)))
            if math.dist(start, end) >= SHORTEST_MM:
                found.setdefault((start, end), math.dist(start, end))
    ordered = sorted(found, key=lambda line: (-round(found[line], 1), line[0][1], line[0][0], line))
    return tuple(LineSeen(number, *line) for number, line in enumerate(ordered[:MOST_LINES], start=1))


def point_of(text: str, unit: Unit) -> Point:
    """A place on a page, such as `100 mm, 50 mm`: from its left and its lower edge. Raises BadInput."""
    parts = text.split(",")
    if len(parts) != 2:
        raise BadInput(f"{text[:40]!r} is no place: give how far it is from the left and from below, such as 100mm,50mm")
    x, y = (parse_length(part, unit) for part in parts)
    return x, y


def scale_known(said: PlanSaid, page: PageSeen, name: str, unit: Unit) -> tuple[float, str]:
    """How many times larger than on paper all is by the length that is known, and in words by what. Raises BadFile."""
    if said.points:
        off = [point for point in said.points if not (0 <= point[0] <= page.width_mm and 0 <= point[1] <= page.height_mm)]
        if off:
            size = " × ".join(write_length(side, Unit.MM) for side in (page.width_mm, page.height_mm))
            raise BadFile([Fault(name, f"the point {off[0][0]:.6g}, {off[0][1]:.6g} mm lies off the page, which is {size}")])
        paper_mm, by = math.dist(*said.points), "the two points"
        if paper_mm < SHORTEST_MM:
            what = "the two points lie too near each other to measure by: take them further apart on the page"
            raise BadFile([Fault(name, what)])
    else:
        line = next((each for each in page.lines if each.number == said.line), None)
        if line is None:
            count = len(page.lines)
            has = f"its lines are numbered 1 to {count}" if count > 1 else "it has 1 line" if count else "it has none"
            raise BadFile([Fault(name, f"page {said.page} has no line {said.line} that is long enough to measure by; {has}")])
        paper_mm, by = line.length_mm, f"line {line.number}"
    scale = said.known_mm / paper_mm
    told = (
        f"{by} of {write_length(paper_mm, Unit.MM)} on the page, taken for {write_length(said.known_mm, unit)}, makes the scale"
    )
    return scale, f"{told} 1:{scale:.4g}"


def refuse_senseless(rings: Sequence[Ring], name: str, remedy: str, unit: Unit) -> None:
    """Raises BadFile where the largest room has a size that no plan's largest room has: mostly, a length was mistyped."""
    sides = [(right - left, top - low) for left, low, right, top in map(bounds, rings)]
    largest = max(sides, key=max, default=(ROOM_MM[0], 0.0))
    if not ROOM_MM[0] <= max(largest) <= ROOM_MM[1]:
        across, up = (write_length(side, unit) for side in largest)
        what = f"the largest room would be {across} × {up}: {remedy}; if it is so, say that scale"
        raise BadFile([Fault(name, what)])
