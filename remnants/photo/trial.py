"""A shop's own trial of a phone: known lengths in several photographs, and whether its bars can be believed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from remnants.photo.measures import Length

__all__ = ["LEAST_LENGTHS", "LEAST_PHOTOS", "Tried", "Verdict", "verdict_of"]

LEAST_LENGTHS, LEAST_PHOTOS = 3, 3
"""Lengths in each of so many photographs, nine in all: fewer tell too little either way."""

OUTSIDE = 0.05
"""Of truths lie outside a true bar."""

SURELY, HARDLY = 0.01, 0.1
"""Chances that as many lie outside true bars: below the first nobody believes it, below the second one tries on."""


class Verdict(StrEnum):
    """What a trial says of a phone."""

    TOO_FEW = "too few"
    GOOD = "good"
    DOUBTFUL = "doubtful"
    BAD = "bad"


@dataclass(frozen=True, slots=True)
class Tried:
    """A length as the photograph of this digest measured it, and what a tape says (mm)."""

    found: Length
    known_mm: float
    photo: str

    @property
    def within(self) -> bool:
        """Whether the tape's length lies within the bar."""
        return self.found.holds(self.known_mm)


def verdict_of(tried: Sequence[Tried]) -> Verdict:
    """What a trial says, by how likely as many lengths would lie outside of true bars (binomial)."""
    outside, count = sum(not each.within for each in tried), len(tried)
    as_many = sum(math.comb(count, k) * OUTSIDE**k * (1 - OUTSIDE) ** (count - k) for k in range(outside, count + 1))
    if as_many < SURELY:
        return Verdict.BAD
    if count < LEAST_LENGTHS * LEAST_PHOTOS or len({each.photo for each in tried}) < LEAST_PHOTOS:
        return Verdict.TOO_FEW
    return Verdict.DOUBTFUL if as_many < HARDLY else Verdict.GOOD
