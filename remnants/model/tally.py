"""How often something came as it was foretold, and what that says of the next time."""

import math
from dataclasses import dataclass

from remnants.model.look import LookBy, LookKind

__all__ = ["FEW", "Foretold", "Tally"]

FEW = 30
"""Fewer say little (common practice, no source)."""

_NORMAL = 1.96
"""Standard deviations that 95 of 100 lie within, of a normal distribution."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Of one kind, seen by one way: how many were looked at, how many of them came as foretold, better and worse.

    `loose` counts those that were foretold from one grade to another: they come as foretold more easily.
    """

    kind: LookKind
    by: LookBy
    as_foretold: int
    better: int
    worse: int
    loose: int

    @property
    def count(self) -> int:
        """All that were looked at."""
        return self.as_foretold + self.better + self.worse

    @property
    def share(self) -> tuple[float, float]:
        """Between what shares of all such repairs as many may well come as foretold (95 of 100), were each as likely as any.

        The score interval of E. B. Wilson (1927). Of none looked at, anything: 0 to 1.
        """
        if not self.count:
            return 0.0, 1.0
        part, more = self.as_foretold / self.count, _NORMAL**2 / self.count
        middle = part + more / 2
        off = _NORMAL * math.sqrt((part * (1 - part) + more / 4) / self.count)
        return (max(0.0, middle - off)) / (1 + more), min(1.0, (middle + off) / (1 + more))


@dataclass(frozen=True, slots=True)
class Foretold:
    """What was seen of repairs beside what was foretold: by kind and way, in how many jobs, of how many that are cut."""

    tallies: tuple[Tally, ...]
    jobs: int
    cut_jobs: int
