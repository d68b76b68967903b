"""Where a seam can be so that one donor holds the part beside it: closed intervals between events."""

from remnants.errors import GaveUp
from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.free_parts import Free, free_part
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.same_donor import furthest_place
from remnants.fitting.patch.seam_events import stretches
from remnants.fitting.patch.shape import Split
from remnants.geometry.outline import TOLERANCE_MM

__all__ = ["STEP_MM", "free_half", "intervals", "reach_of"]


def free_half(split: Split, donor: Donor, stretch: tuple[float, float], *, side: int, swing_deg: float = 0.0) -> Free | None:
    """The low half (side 0) or the high one as a part whose corners move with the seam, read off in the middle and at an end.

    None if its corners don't correspond.
    """
    low, high = stretch
    middle = (low + high) / 2
    step = max(min(STEP_MM, (high - low) / 4), TOLERANCE_MM / 20)
    near = middle - step if middle + step > split.high else middle + step
    far = (split.halves(high)[side], high - middle) if high - middle > 2 * STEP_MM else None
    shapes = [split.halves(place)[side] for place in (middle, near)]
    return free_part(donor, shapes, (middle,), (near - middle,), swing_deg=swing_deg, far=far)


def intervals(ask: Ask, split: Split, donor: Donor, *, low: bool) -> tuple[tuple[float, float], ...]:
    """The seam positions (mm) at which the donor holds the low half, or the high one: intervals between events, ends included.

    On a donor with inward corners there may be gaps within one; so what is taken from it is laid before it is told. What takes
    too many programmes to tell is left out, and told as undecided. Raises OutOfTime.
    """
    first, last = split.limits(ask.min_part_mm)
    if first > last:
        return ()
    open_to, at, _ = stretches(split, first, last)
    side, found = 0 if low else 1, []
    for begins, ends in open_to:
        free = free_half(split, donor, (begins, ends), side=side)
        if free is None:
            continue
        try:
            reach = [furthest_place(free, (begins, ends), way, ask.effort()) for way in (-1.0, 1.0)]
        except GaveUp:
            ask.undecided.add(f"{donor.tag} beside slanting edges that take less than a joint")
            continue
        if reach[0] is not None and reach[-1] is not None:
            found.append((reach[0], reach[-1]))
    found += [(event, event) for event in at if ask.lies(split.halves(event)[side], donor)]
    return tuple(sorted(found))


STEP_MM = 1.0
"""How far a seam is moved to see which corners move with it."""

PATTERNED = "patterned parts beside slanting edges that take less than a joint"


def reach_of(ask: Ask, split: Split, donor: Donor, *, low: bool) -> float | None:
    """The end of the last of the intervals, or the start of the first for the high side; None if there are none."""
    if ask.motif is not None and donor.candidate.style.repeat is not None:
        ask.undecided.add(PATTERNED)
        return ask.threshold(split, low, donor)
    found = intervals(ask, split, donor, low=low)
    if not found:
        return None
    return max(end for _, end in found) if low else min(begin for begin, _ in found)
