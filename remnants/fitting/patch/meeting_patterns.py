"""Two parts whose patterns must meet one another, where nothing says how the pattern lies in the room.

The patterns meet if and only if the second part's move less the first one's is the difference of their donors' motif points
plus a whole number of repeats. Both moves are bounded by their donors, so only a few such steps are possible; for each of them
place and seam are left free, and a linear programme that branches on parting edges finds them. So every phase of the pattern is
covered, without a list of phases: a "no" is proof for two parts.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.look import least_look, least_trouble
from remnants.fitting.patch.question import AXES, Ask
from remnants.fitting.patch.reaches import Reaches
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor import Effort, Row, place_together
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.same_donor_pairs import MEETS_MM, TOO_MANY_EVENTS, Sides, clear
from remnants.fitting.patch.seam_events import stretches
from remnants.fitting.patch.seam_spans import spans_of
from remnants.fitting.patch.shape import Split, splits
from remnants.geometry.lie import region
from remnants.geometry.outline import TOLERANCE_MM, Point
from remnants.geometry.tolerances import NUDGE_MM
from remnants.geometry.turn import moved_ring, turned_point, whole_turn

__all__ = ["pairs_in_phase"]

MOST_PAIRS = 300
"""Pairs of donors looked at for one match grade, those whose seam shows least and then the smallest first."""

MOST_A_SIDE = 60
"""Donors looked at on either side of a seam, the smallest first."""


@dataclass(frozen=True, eq=False)
class _Meeting:
    """The step from the first part's move to the second's (None: any), and the effort left to find both."""

    step: Point | None
    effort: Effort

    def rows(self, sides: Sides, *, seams: int) -> list[Row]:
        """Conditions on the moves: the second less the first is the step. Columns: seams, then x and y of each.

        The second is found in the axes that it is read in: its own move is that, swung back.
        """
        rows: list[Row] = []
        for axis, value in enumerate(self.step or ()):
            own, other = seams + axis, (seams + 2, seams + 3)
            back = [turned_point(unit, whole_turn(-sides.swing_deg))[axis] for unit in ((1.0, 0.0), (0.0, 1.0))]
            rows += [
                ({other[0]: back[0], other[1]: back[1], own: -1.0}, value + MEETS_MM),
                ({other[0]: -back[0], other[1]: -back[1], own: 1.0}, MEETS_MM - value),
            ]
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
                if not lows.at[i] >= highs.at[j] - TOLERANCE_MM:
                    continue
                area = one.area_mm2 if one.tag == two.tag else one.area_mm2 + two.area_mm2
                for span in spans_of(ask, split):
                    least, greatest = max(float(highs.at[j]), span.low), min(float(lows.at[i]), span.high)
                    if least > greatest + TOLERANCE_MM:
                        continue
                    kinds = axis, span.view, one.name, one.look_key, two.name, two.look_key
                    if kinds not in looks:
                        look = least_look(ask, axis, (one, two), inner=1, view=span.view)
                        looks[kinds] = replace(look, trouble=least_trouble((one, two))).key
                    waiting.append(((looks[kinds], area, one.tag, two.tag), split, one, two, least, greatest))
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
    effort, sides = ask.effort(), Sides(*donors)
    open_to, ends, complete = stretches(split, least, greatest)
    if not open_to:
        ends = (*ends, least, greatest)
    positions = sorted({least, greatest, *ends, *(at for limits in open_to for at in limits)})
    for step in _steps(ask, split, sides, positions):
        meeting = _Meeting(step, effort)
        option = None
        for limits in open_to:
            option = option or _between(split, sides, limits, meeting)
        for at in ends:
            option = option or _at(split, sides, at, meeting)
        if option is not None:
            return option
    if not complete:
        ask.undecided.add(TOO_MANY_EVENTS)
    return None


def _steps(ask: Ask, split: Split, sides: Sides, positions: Sequence[float]) -> tuple[Point | None, ...]:
    """The steps from the first part's move to the second's at which their patterns meet; None for any where nothing must.

    Each part moves as far as it can at some end of a stretch (`positions`). Steps at which even the nets of one piece's smallest
    parts overlap are left out, of a rectangle those at which the cuts do.
    """
    one, two = (ask.lattice_of(donor) for donor in (sides.low, sides.high))
    if one is None or two is None:
        return (None,)
    start, other = sides.low.motif, sides.high.motif
    if start is None or other is None or one != two:
        return ()
    halves = [split.halves(at) for at in positions]
    first = [found.box for low, _ in halves if (found := region(sides.low.ground, low.cut))]
    second = [found.box for _, high in halves if (found := region(sides.high.ground, high.cut))]
    if not first or not second:
        return ()
    l1, b1, r1, t1 = _around(first)
    l2, b2, r2, t2 = _around(second)
    reach = (l2 - r1 - NUDGE_MM, b2 - t1 - NUDGE_MM, r2 - l1 + NUDGE_MM, t2 - b1 + NUDGE_MM)
    steps_mm = one.points_in(reach, (other[0] - start[0], other[1] - start[1]))
    steps = [(float(x), float(y)) for x, y in sorted(steps_mm.tolist(), key=lambda step: (abs(step[0]) + abs(step[1]), step))]
    if sides.one_piece and not sides.swing_deg:
        low, high = split.halves(min(positions))[0].ring, split.halves(max(positions))[1].ring
        if split.shape.is_rectangle:  # how far the cuts reach into one another is the same wherever the seam lies
            low, high = sides.cuts(split, sum(split.limits(ask.min_part_mm)) / 2)
        steps = [step for step in steps if clear(low, moved_ring(high, step))]
    return tuple(steps)


def _around(boxes: Sequence[tuple[float, float, float, float]]) -> tuple[float, float, float, float]:
    """The box round boxes."""
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _between(split: Split, sides: Sides, limits: tuple[float, float], meeting: _Meeting) -> Option | None:
    """Both parts with the seam in a stretch between two events."""
    frees = sides.free(split, *limits)
    found = place_together(frees, [limits], meeting.rows(sides, seams=1), meeting.effort) if frees is not None else None
    return None if found is None else sides.option(split, found[0][0], found[1])


def _at(split: Split, sides: Sides, at: float, meeting: _Meeting) -> Option | None:
    """Both parts with the seam at one position."""
    frees = sides.still(split, at)
    found = place_together(frees, [], meeting.rows(sides, seams=0), meeting.effort) if frees is not None else None
    return None if found is None else sides.option(split, at, found[1])
