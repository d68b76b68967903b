"""What a way to make a patch looks like: its sights, the points of its seams and how long they are, as `Merit` compares them."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Layout, Leaf, Segment, leaves, segments
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.seam_spans import least_view
from remnants.fitting.patch.shape import Axis
from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.geometry.segments import away_mm, edges_of
from remnants.model.match import Troubled
from remnants.model.merit import TROUBLE_TIERS, Merit, Rank, Trouble
from remnants.model.plan import SeamKind
from remnants.sights import Carpet, Grounds, Run, Stretch, View, grade_of, grounds_of, points_in
from remnants.sights.grounds import bearing_kind

__all__ = [
    "carpet_of",
    "doorway_distance",
    "grounds_along",
    "grounds_between",
    "grounds_of_segment",
    "grounds_round",
    "inner_runs",
    "least_look",
    "least_look_along",
    "least_trouble",
    "look_of",
    "merit_from",
    "seams_round",
    "trouble_of",
    "troubled_by",
    "whole_mm",
]


def carpet_of(donor: Donor) -> Carpet:
    """The donor's carpet as it lies in the patch."""
    return Carpet.of(donor.candidate, donor.lay_deg)


def grounds_between(ask: Ask, axis: Axis, one: Donor, two: Donor, view: View, *, lots_differ: bool = False) -> Grounds:
    """The grounds on which a seam between parts of two donors shows; with `lots_differ` these stand for any two lots."""
    patch = ask.patch
    kind = SeamKind.SIDE if axis is Axis.ACROSS else SeamKind.CROSS
    bearing = patch.pile_deg + (0.0 if axis is Axis.ACROSS else 90.0)
    first, second = carpet_of(one), carpet_of(two)
    if lots_differ and first.name == second.name:
        second = replace(second, name=(*second.name[:2], f"another than {second.name[2]}"))
    told = {"bearing_deg": bearing, "traffic_deg": patch.traffic_deg, "light_deg": ask.light_deg}
    return grounds_of(kind, (first, second), view=view, **told)


def grounds_round(ask: Ask, stretch: Stretch, carpet: Carpet) -> Grounds:
    """The grounds on which a stretch of the seam round the patch (pile frame) shows, with this carpet inside."""
    patch = ask.patch
    bearing = patch.pile_deg + stretch.bearing_deg
    kind = bearing_kind(stretch.bearing_deg)
    told = {"bearing_deg": bearing, "traffic_deg": patch.traffic_deg, "light_deg": ask.light_deg}
    return grounds_of(kind, (carpet,), view=ask.view_of(stretch.line), **told)


def look_of(ask: Ask, layout: Layout) -> Merit:
    """The sights, points and seen length of a layout; spent and trouble are left at nothing."""
    parts = leaves(layout)
    shades = {(carpet_of(leaf.donor).name, leaf.donor.candidate.match.shade) for leaf in parts}
    seams = [*_round(ask, parts), *((points, length) for points, length, _ in inner_runs(ask, layout))]
    return merit_from((rank for _, rank in shades), seams)


def merit_from(shades: Iterable[Rank], seams: Iterable[tuple[int, float]]) -> Merit:
    """The merit of shades' ranks and of seams' (points, length in mm); each length in whole mm, as the exact solver adds them."""
    seams = tuple(seams)
    ranks = [*shades, *((grade_of(points),) * 2 for points, _ in seams)]
    points = sorted((points for points, _ in seams), reverse=True)
    return Merit(0, tuple(sorted(ranks, reverse=True)), tuple(points), sum(whole_mm(length) for _, length in seams))


def whole_mm(length_mm: float) -> int:
    """A seam's seen length in whole mm, float dust at the halves cleared away first."""
    return round(round(length_mm, 3))


def least_look(
    ask: Ask,
    axis: Axis | None,
    donors: Sequence[Donor],
    *,
    inner: int = 0,
    view: View | None = None,
    lots_differ: bool = False,
) -> Merit:
    """A look that no way beats which takes parts of these donors' kinds, with `inner` seams square to `axis` (None: whichever).

    `view` is how the seam is seen where it is known where it lies. `lots_differ`: the donors stand for kinds of any two lots.
    Exact for one or two parts of a rectangle.
    """
    return least_look_along(ask, (axis,) * inner, donors, view=view, lots_differ=lots_differ)


def least_look_along(
    ask: Ask, axes: Sequence[Axis | None], donors: Sequence[Donor], *, view: View | None = None, lots_differ: bool = False
) -> Merit:
    """As `least_look`, with a seam inside square to each of the axes; where there are several each may lie between any two."""
    shades = [donor.candidate.match.shade for donor in donors]
    if not lots_differ:
        names = [(carpet_of(donor).name, donor.candidate.match.shade) for donor in donors]
        shades = [rank for _, rank in dict.fromkeys(names)]
    around = [_around(ask, carpet_of(donor)) for donor in donors]
    seams = [(min(each), shown_mm) for each, shown_mm in zip(zip(*around, strict=True), ask.round_mm, strict=True)]
    beside = [(one, two) for number, one in enumerate(donors) for two in (donors[number + 1 :] or (one,))]
    if len(axes) > 1:
        beside += [(one, one) for one in donors[:-1]]
    for axis in dict.fromkeys(axes):
        views = least_view(ask, axis, inner=len(axes)) if view is None or axis is None else [(axis, view)]
        found = [
            (points_in(grounds_between(ask, way, one, two, seen, lots_differ=lots_differ)), seen.shown_mm)
            for way, seen in views
            for one, two in beside
        ]
        seams += [min(found)] * axes.count(axis)
    return merit_from(shades, seams)


def least_trouble(donors: Sequence[Donor]) -> Trouble:
    """The least trouble with pieces of these donors' tiers: two of one tier may lie on one floor, or at one branch."""
    return trouble_of({each._replace(which="") for each in _troubled(donors)})


def trouble_of(troubled: Collection[Troubled]) -> Trouble:
    """How many floors or people of each tier, the highest first, and how much there is to fetch."""
    counts: Counter[int] = Counter()
    for each in troubled:
        counts[each.tier] += each.weight
    far, people, hidden, untold, km, vans = (counts[tier] for tier in TROUBLE_TIERS)
    return far, people, hidden, untold, km, vans


def _troubled(donors: Iterable[Donor]) -> set[Troubled]:
    return {trouble for donor in donors if (trouble := donor.candidate.trouble) is not None}


def troubled_by(parts: Sequence[Leaf]) -> frozenset[Troubled]:
    """The floors, people and branches that are troubled for a layout's parts."""
    return frozenset(_troubled(leaf.donor for leaf in parts))


def _around(ask: Ask, carpet: Carpet) -> tuple[int, ...]:
    """Points of each seam round the patch with one carpet inside."""
    key = carpet.construction, carpet.patterned, carpet.lay_deg
    if key not in ask.around:
        ask.around[key] = tuple(
            max(points_in(grounds_round(ask, stretch, carpet)) for stretch in run.stretches) for run in ask.runs
        )
    return ask.around[key]


def seams_round(ask: Ask, carpet: Carpet) -> list[tuple[int, float]]:
    """Points of each seam round the patch with one carpet inside, and how much of it is seen (mm)."""
    return list(zip(_around(ask, carpet), ask.round_mm, strict=True))


def _round(ask: Ask, parts: Sequence[Leaf]) -> list[tuple[int, float]]:
    """Points of each seam round the patch, and how much of it is seen (mm)."""
    around = list(dict.fromkeys(_around(ask, carpet_of(leaf.donor)) for leaf in parts))
    if len(around) == 1:
        return list(zip(around[0], ask.round_mm, strict=True))
    points = (points_in(max(grounds_along(ask, run, parts), key=points_in, default=[])) for run in ask.runs)
    return list(zip(points, ask.round_mm, strict=True))


def grounds_along(ask: Ask, run: Run, parts: Sequence[Leaf]) -> list[Grounds]:
    """On what grounds a seam round the patch shows, each stretch with the carpets of the parts that are seen along it."""
    return [
        grounds_round(ask, stretch, carpet_of(leaf.donor))
        for stretch in run.stretches
        for leaf in parts
        if len(parts) == 1 or _seen_along(ask, leaf.shape.ring, stretch)
    ]


def _seen_along(ask: Ask, ring: Ring, stretch: Stretch) -> bool:
    """True if an edge of the ring lies along the stretch and furniture doesn't cover it."""
    along = (edge for edge in edges_of(ring, closed=True) if _on(edge[0], stretch.line) and _on(edge[1], stretch.line))
    return any(not ask.view_of(edge).is_hidden for edge in along)


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
        views = [ask.view_of(each.line) for each in line]
        shown = [points_in(grounds_of_segment(ask, each, parts)) for each in line]
        found.append((max(shown), sum(view.shown_mm for view in views), tuple(line)))
    return found


def grounds_of_segment(ask: Ask, segment: Segment, parts: Sequence[Leaf]) -> Grounds:
    """On what grounds a stretch of seam between two parts shows."""
    one, two = (parts[index].donor for index in segment.parts)
    return grounds_between(ask, segment.axis, one, two, ask.view_of(segment.line))


def _one_line(one: Segment, two: Segment) -> bool:
    """True if the second goes on where the first ends."""
    if one.axis is not two.axis or abs(one.line[0][one.axis] - two.line[0][one.axis]) > TOLERANCE_MM:
        return False
    along = 1 - int(one.axis)
    begins, ends = two.line[0][along], one.line[1][along]
    return bool(begins <= ends + TOLERANCE_MM)


def doorway_distance(ask: Ask, layout: Layout) -> int:
    """How far (mm) the seams inside keep from a doorway, where feet turn; 0 where there is neither."""
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (segment.line for segment in segments(layout))]
    return min((round(away_mm(middle, door)) for middle in middles for door in ask.doorways), default=0)
