"""Parts of several patches on the pieces that they share, every seam still free: placed together, or told that it can't be."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.free_parts import Free, free_part
from remnants.fitting.patch.layout import Joint, Leaf
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.same_donor import Effort, place_together
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.seam_events import stretches
from remnants.fitting.patch.seam_intervals import free_half
from remnants.fitting.sharing.options import Way, WayPart
from remnants.fitting.sharing.patterns import repeats_of
from remnants.geometry.outline import TOLERANCE_MM, Point
from remnants.geometry.turn import turned_point, whole_turn

__all__ = ["can_share", "placed"]

MOST_STRETCHES = 64
"""Ways to choose a stretch between two events for each seam that are gone through."""


@dataclass(frozen=True)
class _Stretch:
    """Where a seam is looked for: between two events, or at one place."""

    low: float
    high: float

    @property
    def is_place(self) -> bool:
        return self.low == self.high


def placed(asks: Sequence[Ask], ways: Sequence[Way], effort: Effort) -> list[Option] | None:
    """All ways laid on their pieces at once, in their order; None if that can't be.

    Raises GaveUp where it takes more than the effort to tell, and what the effort's look raises.
    """
    found = _together(asks, [part for way in ways for part in way.parts], {way.patch: way.limits for way in ways}, effort)
    if found is None:
        return None
    seams, moves = found
    rest = iter(moves)
    return [_option(asks[way.patch], way, seams.get(way.patch, 0.0), [next(rest) for _ in way.parts]) for way in ways]


def can_share(asks: Sequence[Ask], parts: Sequence[WayPart], effort: Effort) -> bool:
    """True if one piece has room for all these parts at once, whatever becomes of the other parts of their patches.

    Raises GaveUp and what the effort's look raises.
    """
    limits: dict[int, tuple[float, float]] = {}
    for part in parts:
        low, high = limits.get(part.patch, part.limits)
        limits[part.patch] = max(low, part.limits[0]), min(high, part.limits[1])
    return _together(asks, parts, limits, effort) is not None


def _together(
    asks: Sequence[Ask], parts: Sequence[WayPart], limits: dict[int, tuple[float, float]], effort: Effort
) -> tuple[dict[int, float], list[Point]] | None:
    """The seam of each joined patch and the move of each part, in the part's own axes."""
    splits = {part.patch: part.split for part in parts if part.split is not None}
    limits = {patch: limits[patch] for patch in splits}
    if any(low > high + TOLERANCE_MM for low, high in limits.values()):
        return None
    limits = {patch: (min(each), max(each)) for patch, each in limits.items()}
    choices: list[list[_Stretch]] = []
    for patch, split in splits.items():
        open_to, at, complete = stretches(split, *limits[patch])
        if not complete:
            raise GaveUp("the parts change their shape along too many corners")
        ends = at if open_to else (*at, *limits[patch])
        choices.append([_Stretch(*each) for each in open_to] + [_Stretch(place, place) for place in ends])
    ways = list(islice(product(*choices), MOST_STRETCHES + 1))
    if len(ways) > MOST_STRETCHES:
        raise GaveUp("too many stretches of seams to go through")
    first: dict[str, Donor] = {}
    for part in parts:
        first.setdefault(part.donor.tag, part.donor)
    for chosen in ways:
        where = dict(zip(splits, chosen, strict=True))
        moving = [patch for patch, stretch in where.items() if not stretch.is_place]
        frees = [_free(asks[part.patch], part, first[part.donor.tag], where.get(part.patch), moving) for part in parts]
        if any(free is None for free in frees):
            continue
        bounds = [(where[patch].low, where[patch].high) for patch in moving]
        repeats = repeats_of(asks, parts, [first[part.donor.tag] for part in parts], seams=len(moving))
        if repeats is None:
            return None
        found = place_together([free for free in frees if free is not None], bounds, effort=effort, repeats=repeats)
        if found is not None:
            seams = {patch: stretch.low for patch, stretch in where.items()} | dict(zip(moving, found[0], strict=True))
            return seams, [_own(part, first[part.donor.tag], move) for part, move in zip(parts, found[1], strict=True)]
    return None


def _swing(part: WayPart, first: Donor) -> float:
    """What a part is turned by to lie in the axes in which the first part on its piece lies."""
    return whole_turn(first.turn_deg - part.donor.turn_deg)


def _free(ask: Ask, part: WayPart, first: Donor, stretch: _Stretch | None, moving: Sequence[int]) -> Free | None:
    """A part whose corners move with the seam of its patch, and with no other."""
    swing = _swing(part, first)
    if part.split is None or stretch is None:
        free = free_part(first, (ask.shape,), (), (), swing_deg=swing)
    elif stretch.is_place:
        free = free_part(first, (part.split.halves(stretch.low)[part.side],), (), (), swing_deg=swing)
    else:
        free = free_half(part.split, first, (stretch.low, stretch.high), side=part.side, swing_deg=swing)
        if free is None:
            raise GaveUp("the parts change their shape between two events")
    if free is None:
        return None
    steps = tuple(
        tuple(step[0] if step and patch == part.patch else np.zeros_like(base) for patch in moving)
        for base, step in zip(free.bases, free.steps, strict=True)
    )
    return Free(first, free.bases, steps)


def _own(part: WayPart, first: Donor, move: Point) -> Point:
    """A move in the part's own axes."""
    swing = _swing(part, first)
    return turned_point(move, whole_turn(-swing)) if swing else move


def _option(ask: Ask, way: Way, at: float, moves: Sequence[Point]) -> Option:
    """A way as it was laid."""
    first = way.parts[0]
    if first.split is None:
        return Option(Leaf(ask.shape, first.donor), tuple(moves))
    low, high = first.split.halves(at)
    return Option(Joint(first.split, at, Leaf(low, first.donor), Leaf(high, way.parts[1].donor)), tuple(moves))
