"""What a way to make a patch looks like: its sights, the points of its seams and how long they are, as `Merit` compares them."""

import math
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Layout, Leaf, Segment, leaves, segments
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.shape import Axis
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.model.merit import Merit, Rank, Trouble
from remnants.model.patch import Finish
from remnants.model.plan import SeamKind
from remnants.sights import Carpet, Grounds, Run, Stretch, grade_of, grounds_of, points_in
from remnants.sights.grounds import bearing_kind

__all__ = [
    "carpet_of",
    "doorway_distance",
    "grounds_between",
    "grounds_round",
    "inner_runs",
    "least_look",
    "least_trouble",
    "look_of",
    "merit_from",
    "reaches_stretch",
    "trouble_of",
    "troubled_by",
]


def carpet_of(donor: Donor) -> Carpet:
    """The donor's carpet as it lies in the patch."""
    return Carpet.of(donor.candidate, donor.lay_deg)


def grounds_between(ask: Ask, axis: Axis, one: Donor, two: Donor, *, lots_differ: bool = False) -> Grounds:
    """The grounds on which a seam between parts of two donors shows; with `lots_differ` these stand for any two lots."""
    patch = ask.patch
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    bearing = patch.pile_deg + (0.0 if axis is Axis.ACROSS else 90.0)
    first, second = carpet_of(one), carpet_of(two)
    if lots_differ and first.name == second.name:
        second = replace(second, name=(*second.name[:2], f"another than {second.name[2]}"))
    return grounds_of(kind, (first, second), bearing_deg=bearing, traffic_deg=patch.traffic_deg, light_deg=patch.light_deg)


def grounds_round(ask: Ask, stretch: Stretch, carpet: Carpet) -> Grounds:
    """The grounds on which a stretch of the seam round the patch (pile frame) shows, with this carpet inside."""
    patch = ask.patch
    bearing = patch.pile_deg + stretch.bearing_deg
    kind = bearing_kind(stretch.bearing_deg)
    return grounds_of(kind, (carpet,), bearing_deg=bearing, traffic_deg=patch.traffic_deg, light_deg=patch.light_deg)


def look_of(ask: Ask, layout: Layout) -> Merit:
    """The sights, points and seen length of a layout; spent and trouble are left at nothing."""
    parts = leaves(layout)
    shades = {(carpet_of(leaf.donor).name, leaf.donor.candidate.match.shade) for leaf in parts}
    seams = [*_round(ask, parts), *((points, length) for points, length, _ in inner_runs(ask, layout))]
    return merit_from((rank for _, rank in shades), seams)


def merit_from(shades: Iterable[Rank], seams: Iterable[tuple[int, float]]) -> Merit:
    """The merit of shades' ranks and of seams' (points, length in mm)."""
    seams = tuple(seams)
    ranks = [*shades, *((grade_of(points),) * 2 for points, _ in seams)]
    points = sorted((points for points, _ in seams), reverse=True)
    return Merit(0, tuple(sorted(ranks, reverse=True)), tuple(points), round(sum(length for _, length in seams)))


def least_look(ask: Ask, axis: Axis | None, donors: Sequence[Donor], *, inner: int = 0, lots_differ: bool = False) -> Merit:
    """A look that no way beats which takes parts of these donors' kinds, with `inner` seams square to `axis` (None: whichever).

    `lots_differ`: the donors stand for kinds of any two lots. Exact for one or two parts of a rectangle.
    """
    shades = [donor.candidate.match.shade for donor in donors]
    if not lots_differ:
        names = [(carpet_of(donor).name, donor.candidate.match.shade) for donor in donors]
        shades = [rank for _, rank in dict.fromkeys(names)]
    around = [_around(ask, carpet_of(donor)) for donor in donors]
    seams: list[tuple[int, float]] = [
        (min(each), run.length_mm) for each, run in zip(zip(*around, strict=True), ask.runs, strict=True)
    ]
    if inner:
        found = [
            (points_in(grounds_between(ask, way, one, two, lots_differ=lots_differ)), _seam_length(ask, way))
            for way in (tuple(Axis) if axis is None else (axis,))
            for number, one in enumerate(donors)
            for two in (donors[number + 1 :] or (one,))
        ]
        seams += [min(found)] * inner
    return merit_from(shades, seams)


def least_trouble(donors: Sequence[Donor]) -> Trouble:
    """The least trouble with pieces of these donors' tiers: two of one tier may lie on one floor."""
    return trouble_of({(tier, "") for tier, _ in _troubled(donors)})


def trouble_of(troubled: Collection[tuple[int, str]]) -> Trouble:
    """How many floors or people of each tier, the highest first."""
    counts = Counter(tier for tier, _ in troubled)
    return counts[3], counts[2], counts[1]


def _troubled(donors: Iterable[Donor]) -> set[tuple[int, str]]:
    return {trouble for donor in donors if (trouble := donor.candidate.trouble) is not None}


def troubled_by(parts: Sequence[Leaf]) -> frozenset[tuple[int, str]]:
    """The floors and people that are troubled for a layout's parts."""
    return frozenset(_troubled(leaf.donor for leaf in parts))


def _seam_length(ask: Ask, axis: Axis) -> float:
    """The least length of one seam through the whole patch; of an odd patch nothing is known."""
    return ask.shape.extent(Axis(1 - axis)) if ask.shape.is_rectangle else 0.0


def _around(ask: Ask, carpet: Carpet) -> tuple[int, ...]:
    """Points of each seam round the patch with one carpet inside."""
    key = carpet.construction, carpet.patterned, carpet.lay_deg
    if key not in ask.around:
        ask.around[key] = tuple(
            max(points_in(grounds_round(ask, stretch, carpet)) for stretch in run.stretches) for run in ask.runs
        )
    return ask.around[key]


def _round(ask: Ask, parts: Sequence[Leaf]) -> list[tuple[int, float]]:
    """Points and length of each seam round the patch."""
    around = list(dict.fromkeys(_around(ask, carpet_of(leaf.donor)) for leaf in parts))
    if len(around) == 1:
        return [(points, run.length_mm) for points, run in zip(around[0], ask.runs, strict=True)]
    return [(_worst_along(ask, run, parts), run.length_mm) for run in ask.runs]


def _worst_along(ask: Ask, run: Run, parts: Sequence[Leaf]) -> int:
    """The most points that a run shows anywhere, each stretch with the carpets of the parts that reach it."""
    return max(
        (
            points_in(grounds_round(ask, stretch, carpet_of(leaf.donor)))
            for stretch in run.stretches
            for leaf in parts
            if reaches_stretch(leaf.shape.ring, stretch)
        ),
        default=0,
    )


def reaches_stretch(ring: Ring, stretch: Stretch) -> bool:
    """True if an edge of the ring lies along the stretch."""
    return any(_on(a, stretch.line) and _on(b, stretch.line) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


def _on(point: Point, line: tuple[Point, Point]) -> bool:
    (ax, ay), (bx, by) = line
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    away = abs((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / length
    along = ((bx - ax) * (point[0] - ax) + (by - ay) * (point[1] - ay)) / length
    return bool(away <= TOLERANCE_MM and -TOLERANCE_MM <= along <= length + TOLERANCE_MM)


def inner_runs(ask: Ask, layout: Layout) -> list[tuple[int, float, tuple[Segment, ...]]]:
    """Each seam inside as people see it, one straight line however many parts meet at it: points, length (mm), its segments."""
    parts = leaves(layout)
    lines: list[list[Segment]] = []
    for segment in sorted(segments(layout), key=lambda each: (each.axis, each.line)):
        if lines and _one_line(lines[-1][-1], segment):
            lines[-1].append(segment)
        else:
            lines.append([segment])
    found = []
    for line in lines:
        shown = [
            points_in(grounds_between(ask, each.axis, parts[each.parts[0]].donor, parts[each.parts[1]].donor)) for each in line
        ]
        found.append((max(shown), sum(_length(each) for each in line), tuple(line)))
    return found


def _one_line(one: Segment, two: Segment) -> bool:
    """True if the second goes on where the first ends."""
    if one.axis is not two.axis or abs(one.line[0][one.axis] - two.line[0][one.axis]) > TOLERANCE_MM:
        return False
    along = 1 - int(one.axis)
    begins, ends = two.line[0][along], one.line[1][along]
    return bool(begins <= ends + TOLERANCE_MM)


def _length(segment: Segment) -> float:
    (ax, ay), (bx, by) = segment.line
    return abs(bx - ax) + abs(by - ay)


def doorway_distance(ask: Ask, layout: Layout) -> int:
    """How far (mm) the seams inside keep from an edge that meets another floor, where feet turn; 0 where there is neither."""
    doors = [
        (start, end)
        for start, end, finish in zip(ask.shape.ring, (*ask.shape.ring[1:], ask.shape.ring[0]), ask.shape.finishes, strict=True)
        if finish is Finish.TRANSITION
    ]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (segment.line for segment in segments(layout))]
    return min((round(_away(middle, door)) for middle in middles for door in doors), default=0)


def _away(point: Point, line: tuple[Point, Point]) -> float:
    (ax, ay), (bx, by) = line
    squared = (bx - ax) ** 2 + (by - ay) ** 2
    share = max(0.0, min(1.0, ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / squared)) if squared else 0.0
    return math.dist(point, (ax + share * (bx - ax), ay + share * (by - ay)))
