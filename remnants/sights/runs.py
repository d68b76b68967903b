"""Seams round a patch as people see them: one straight or smoothly curved run, however many corners it has."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.geometry.outline import TOLERANCE_MM, Point, Ring
from remnants.geometry.turn import between
from remnants.model import Finish

__all__ = ["SMOOTH_DEG", "Run", "Stretch", "runs_round"]

SMOOTH_DEG = 30.0
"""Edges that turn by no more than this at a corner are one curve (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One straight edge of a run: its number in the ring, its ends (mm) and its bearing (degrees clockwise from +y)."""

    edge: int
    line: tuple[Point, Point]
    bearing_deg: float

    @property
    def length_mm(self) -> float:
        """How long it is."""
        return math.dist(*self.line)


@dataclass(frozen=True, slots=True)
class Run:
    """Edges that are one seam to the eye."""

    stretches: tuple[Stretch, ...]

    @property
    def length_mm(self) -> float:
        """How long it is in all."""
        return math.fsum(stretch.length_mm for stretch in self.stretches)

    @property
    def line(self) -> tuple[Point, ...]:
        """Its corners, first to last."""
        return (self.stretches[0].line[0], *(stretch.line[1] for stretch in self.stretches))


def runs_round(ring: Ring, finishes: Sequence[Finish]) -> tuple[Run, ...]:
    """The runs of a ring (counter-clockwise, mm) along its seamed edges, in its order; nothing where none is seamed."""
    stretches = [
        Stretch(index, (start, end), math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])) % 360.0)
        for index, (start, end, finish) in enumerate(zip(ring, (*ring[1:], ring[0]), finishes, strict=True))
        if finish is Finish.SEAM and math.dist(start, end) > TOLERANCE_MM
    ]
    runs: list[list[Stretch]] = []
    for stretch in stretches:
        if runs and _goes_on(runs[-1][-1], stretch):
            runs[-1].append(stretch)
        else:
            runs.append([stretch])
    if len(runs) > 1 and _goes_on(runs[-1][-1], runs[0][0]):
        runs[0] = runs.pop() + runs[0]
    return tuple(Run(tuple(run)) for run in runs)


def _goes_on(one: Stretch, two: Stretch) -> bool:
    """True if the second stretch begins where the first ends and turns little."""
    turn = between(one.bearing_deg, two.bearing_deg)
    return math.dist(one.line[1], two.line[0]) <= TOLERANCE_MM and min(turn, 360.0 - turn) <= SMOOTH_DEG
