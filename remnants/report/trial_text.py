"""A trial of a phone in words: each length beside what the tape says, and the verdict."""

from collections.abc import Sequence

from remnants.photo.trial import LEAST_LENGTHS, LEAST_PHOTOS, Tried, Verdict, verdict_of
from remnants.report.measured_text import known_text
from remnants.units import Unit

__all__ = ["OPENLY", "tried_lines", "verdict_text"]

OPENLY = "We tried this on photographs drawn by a program alone: no real phone was measured. This trial measures yours."
"""Said wherever a phone is tried."""

_SAID = {
    Verdict.GOOD: "The bars hold on this phone: measure with it, and check with a tape before you cut",
    Verdict.DOUBTFUL: "More lie outside than there should. Try three more lengths in a new photograph, and look again",
    Verdict.BAD: "The bars do not hold on this phone: do not measure with it. Was the page's check bar measured, and flat?",
}


def tried_lines(tried: Sequence[Tried], unit: Unit) -> tuple[str, ...]:
    """Each length, one a line."""
    return tuple(known_text(each.found, each.known_mm, unit) for each in tried)


def verdict_text(tried: Sequence[Tried]) -> str:
    """How many lie within, and what follows of it."""
    verdict, photos = verdict_of(tried), len({each.photo for each in tried})
    within = sum(each.within for each in tried)
    told = f"{within} of {len(tried)} lengths lie within their bars, in {photos} photograph{'' if photos == 1 else 's'}."
    if verdict is not Verdict.TOO_FEW:
        return f"{told} {_SAID[verdict]}."
    wanted = f"{LEAST_LENGTHS} lengths in each of {LEAST_PHOTOS} photographs"
    return f"{told} That is too few to tell: {wanted} make a trial."
