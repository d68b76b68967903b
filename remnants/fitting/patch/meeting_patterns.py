"""Two parts whose patterns must meet one another, where nothing says how the pattern lies in the room.

The patterns meet if and only if the second part's move less the first one's is the difference of their donors' motif points
plus a whole number of repeats. Both moves are bounded by their donors, so only a few such steps are possible; for each of them
place and seam are left free, and a linear programme that branches on parting edges finds them. So every phase of the pattern is
covered, without a list of phases: a "no" is proof for two parts.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Leaf
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.question import AXES, NUDGE_MM, Ask
from remnants.fitting.patch.room_on_donors import Field, Reaches
from remnants.fitting.patch.same_donor import Effort, Row, free_part, place_together
from remnants.fitting.patch.same_donor_layouts import HALVINGS, Option, foretells, free_halves
from remnants.fitting.patch.shape import Split, splits
from remnants.geometry.lie import region
from remnants.geometry.outline import TOLERANCE_MM, Point

__all__ = ["pairs_in_phase"]

MOST_PAIRS = 300
"""Pairs of donors looked at for one match grade, those whose seam shows least and then the smallest first."""

MOST_A_SIDE = 60
"""Donors looked at on either side of a seam, the smallest first."""

MEETS_MM = TOLERANCE_MM / 10
"""How closely two patterns are made to meet."""


@dataclass(frozen=True, eq=False)
class _Meeting:
    """The step from the first part's move to the second's (None: any), and the effort left to find both."""

    step: Point | None
    effort: Effort

    def rows(self, *, seams: int) -> list[Row]:
        """Conditions on the moves: the second less the first is the step. Columns: seams, then x and y of each."""
        rows: list[Row] = []
        for axis, value in enumerate(self.step or ()):
            own, other = seams + axis, seams + 2 + axis
            rows += [({other: 1.0, own: -1.0}, value + MEETS_MM), ({other: -1.0, own: 1.0}, MEETS_MM - value)]
        return rows


def pairs_in_phase(ask: Ask, field: Field) -> Iterator[Option]:
    """Two-part ways for a patch without a motif point, from two pieces or from one; what shows least comes first."""
    waiting: list[tuple[tuple[tuple[object, ...], float, str, str], Split, Donor, Donor, float, float]] = []
    looks: dict[tuple[object, ...], tuple[object, ...]] = {}
    for axis in AXES:
        for split in splits(ask.shape, axis):
            lows, highs = Reaches.of(ask, field, split, low=True), Reaches.of(ask, field, split, low=False)
            able = [_able(lows, highs), _able(highs, lows)]
            if any(len(each) > MOST_A_SIDE for each in able):
                ask.undecided.add(f"where the pattern lies in the room, past {MOST_A_SIDE} pieces a side")
            for i, j in product(able[0][:MOST_A_SIDE], able[1][:MOST_A_SIDE]):
                one, two = field.donors[i], field.donors[j]
                if (one.tag == two.tag and one is not two) or not lows.at[i] >= highs.at[j] - TOLERANCE_MM:
                    continue
                kinds = axis, one.name, one.look_key, two.name, two.look_key
                if kinds not in looks:
                    looks[kinds] = replace(least_look(ask, axis, (one, two), inner=1), trouble=least_trouble((one, two))).key
                area = one.area_mm2 if one is two else one.area_mm2 + two.area_mm2
                waiting.append(((looks[kinds], area, one.tag, two.tag), split, one, two, float(highs.at[j]), float(lows.at[i])))
    waiting.sort(key=lambda each: each[0])
    for _, split, one, two, least, greatest in waiting[:MOST_PAIRS]:
        try:
            option = _met(ask, split, (one, two), least, greatest)
        except GaveUp:
            ask.undecided.add(f"how the pattern meets between {one.tag} and {two.tag}")
            continue
        if option is not None:
            yield option
    if len(waiting) > MOST_PAIRS:
        ask.undecided.add(f"where the pattern lies in the room, past {MOST_PAIRS} pairs of pieces")


def _able(own: Reaches, other: Reaches) -> list[int]:
    """The donors, smallest first, that reach as far as the furthest on the other side of the seam needs."""
    if np.isnan(other.at).all():
        return []
    with np.errstate(invalid="ignore"):
        far = own.at >= np.nanmin(other.at) - TOLERANCE_MM if own.low else own.at <= np.nanmax(other.at) + TOLERANCE_MM
    places = np.flatnonzero(far)
    return [int(place) for place in places[np.argsort(own.field.areas[places], kind="stable")]]


def _met(ask: Ask, split: Split, donors: tuple[Donor, Donor], least: float, greatest: float) -> Option | None:
    """Both parts with the seam between two positions and their patterns met, or None."""
    least, greatest = min(least, greatest), max(least, greatest)
    ends = [at for at in (least, greatest) if min(abs(at - split.low), abs(at - split.high)) <= NUDGE_MM]
    inner = max(least, split.low + NUDGE_MM), min(greatest, split.high - NUDGE_MM)
    effort = Effort(ask.programmes)
    for step in _steps(ask, split, donors, (least, greatest)):
        meeting = _Meeting(step, effort)
        option = _between(split, donors, inner, meeting, HALVINGS)
        for at in ends:
            option = option or _at(split, donors, at, meeting)
        if option is not None:
            return option
    return None


def _steps(ask: Ask, split: Split, donors: tuple[Donor, Donor], ends: tuple[float, float]) -> tuple[Point | None, ...]:
    """The steps from the first part's move to the second's at which their patterns meet; None for any where nothing must.

    A part can move most where it is smallest: the low one with the seam at its least position, the high one at its greatest.
    """
    one, two = (ask.lattice_of(donor) for donor in donors)
    if one is None or two is None:
        return (None,)
    start, other = donors[0].motif, donors[1].motif
    if start is None or other is None or one != two:
        return ()
    first = region(donors[0].ground, split.halves(ends[0])[0].cut)
    second = region(donors[1].ground, split.halves(ends[1])[1].cut)
    if not first or not second:
        return ()
    (l1, b1, r1, t1), (l2, b2, r2, t2) = first.box, second.box
    reach = (l2 - r1 - NUDGE_MM, b2 - t1 - NUDGE_MM, r2 - l1 + NUDGE_MM, t2 - b1 + NUDGE_MM)
    found = one.points_in(reach, (other[0] - start[0], other[1] - start[1]))
    return tuple((float(x), float(y)) for x, y in sorted(found.tolist(), key=lambda step: (abs(step[0]) + abs(step[1]), step)))


def _between(
    split: Split, donors: tuple[Donor, Donor], limits: tuple[float, float], meeting: _Meeting, halvings: int
) -> Option | None:
    """As for one donor: the range is halved where the corners of the cuts don't move straight over all of it."""
    least, greatest = limits
    if least > greatest:
        return None
    middle = (least + greatest) / 2
    frees = free_halves(split, donors, middle)
    if frees is None or not all(foretells(frees, split, at) for at in (least, greatest)):
        if not halvings:
            return _at(split, donors, middle, meeting)
        below = _between(split, donors, (least, middle), meeting, halvings - 1)
        return below or _between(split, donors, (middle, greatest), meeting, halvings - 1)
    found = place_together(frees, [(least, greatest)], meeting.rows(seams=1), meeting.effort)
    return None if found is None else _option(split, found[0][0], donors, found[1])


def _at(split: Split, donors: tuple[Donor, Donor], at: float, meeting: _Meeting) -> Option | None:
    """Both parts with the seam at one position."""
    frees = [free_part(donor, (half,), (), ()) for donor, half in zip(donors, split.halves(at), strict=True)]
    able = [free for free in frees if free is not None]
    found = place_together(able, [], meeting.rows(seams=0), meeting.effort) if len(able) == len(frees) else None
    return None if found is None else _option(split, at, donors, found[1])


def _option(split: Split, at: float, donors: tuple[Donor, Donor], moves: tuple[Point, ...]) -> Option:
    low, high = split.halves(at)
    return Option(Joint(split, at, Leaf(low, donors[0]), Leaf(high, donors[1])), moves)
