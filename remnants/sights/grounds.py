"""On what grounds a seam shows: a stated rule of trade habit (common practice, no source), not a measurement.

Each ground counts points; the points make the grade: 0 hard to find, 1 seen when looked for, 2 or 3 seen, more plain. That a
seam runs the length of the area, with traffic along it and light not across it, is asked for by the installation standards
(CRI 2011 §6.2); that two dye lots make a visible side match is in the trade's glossaries. What a part's lot, shade or wear is
beside the floor is a sight of its own and not counted again.
"""

from collections.abc import Iterable

from remnants.geometry.turn import between
from remnants.model import Construction, SeamKind, Show
from remnants.sights.carpets import Carpet
from remnants.sights.surroundings import View, crosses

__all__ = ["ALONG_DEG", "Grounds", "bearing_kind", "grade_of", "grounds_of", "points_in", "show_of"]

Grounds = list[tuple[int, str]]
"""Points and plain words."""

ALONG_DEG = 5.0
"""A line that far from the pile, or from square to it, still counts as along or across it (common practice, no source)."""

LOOPED = {Construction.LOOP, Construction.CUT_AND_LOOP}
LOOSE = {Construction.WOVEN, Construction.NEEDLED}


def bearing_kind(from_pile_deg: float) -> SeamKind:
    """How a line lies that runs so many degrees from the pile."""
    apart = between(from_pile_deg, 0.0) % 180.0
    apart = min(apart, 180.0 - apart)
    if apart <= ALONG_DEG:
        return SeamKind.SIDE
    return SeamKind.CROSS if apart >= 90.0 - ALONG_DEG else SeamKind.ANGLED


def grounds_of(
    kind: SeamKind,
    carpets: Iterable[Carpet],
    *,
    bearing_deg: float | None = None,
    traffic_deg: float | None = None,
    light_deg: float | None = None,
    view: View | None = None,
) -> Grounds:
    """The grounds on which a seam shows, most points first.

    `carpets` are those on both its sides, or the one inside where the other side is the floor that stays: the pile of that runs
    as the patch asks. `bearing_deg` is the way the seam runs (room axes), the others the bearings of traffic and light.
    `view` is what is seen of it in its room: what furniture covers altogether has none.
    """
    if view is not None and view.is_hidden:
        return []
    sides = tuple(carpets)
    grounds: Grounds = []
    if kind is SeamKind.CROSS:
        grounds.append((1, "it runs across the pile"))
    elif kind is SeamKind.ANGLED:
        grounds.append((2, "it runs at an angle to the pile"))
    made = {carpet.construction for carpet in sides}
    looped = LOOPED & made
    if looped and kind is not SeamKind.SIDE:
        grounds.append((2, "the loops are cut across their rows"))
    elif looped or LOOSE & made:
        grounds.append((1, f"a {sides[0].construction} pile hides a seam less than a dense cut pile"))
    if any(carpet.patterned for carpet in sides):
        grounds.append((1, "the pattern crosses it"))
    grounds += _differences(sides)
    if view is not None and view.across_lane:
        grounds.append((1, "it runs across the way people walk"))
    elif _across(bearing_deg, traffic_deg):
        grounds.append((1, "people walk across it"))
    if _across(bearing_deg, light_deg):
        grounds.append((1, "window light strikes across it"))
    if view is not None and view.doorway:
        grounds.append((1, f"it lies in {view.doorway}"))
    return sorted(grounds, key=lambda ground: (-ground[0], ground[1]))


def _differences(sides: tuple[Carpet, ...]) -> Grounds:
    """Grounds in the two sides themselves; the floor that stays lies as the patch asks."""
    grounds: Grounds = []
    names = {carpet.name for carpet in sides}
    if len({name[:2] for name in names}) > 1:
        grounds.append((2, "its two sides are different carpets"))
    elif len(names) > 1:
        grounds.append((2, "its two sides come from different dye lots"))
    lays = {carpet.lay_deg for carpet in sides} if len(sides) > 1 else {0.0, sides[0].lay_deg}
    if len(lays) > 1:
        grounds.append((3, "the pile lies the other way on its far side"))
    return grounds


def points_in(grounds: Grounds) -> int:
    """The sum of the points."""
    return sum(weight for weight, _ in grounds)


def grade_of(points: int) -> int:
    """The grade of a seam with so many points: 0, 1, 2 for two or three, 3 for more."""
    return points if points < 2 else 2 if points <= 3 else 3


def show_of(points: int) -> Show:
    """The grade as plans tell it."""
    return tuple(Show)[grade_of(points)]


def _across(along_deg: float | None, bearing_deg: float | None) -> bool:
    """True if both are known and the second runs more across than along the first."""
    return along_deg is not None and bearing_deg is not None and crosses(along_deg, bearing_deg)
