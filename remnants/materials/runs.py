"""Edges of one finish that follow one another without a corner: what tape, strip and staples are measured along. Lengths mm."""

import math
from dataclasses import dataclass

from remnants.geometry.outline import Point
from remnants.model import Finish, Job, Patch, Plan, Verdict

__all__ = ["Run", "filled_patches", "finish_runs", "joint_runs"]

CORNER_DEG = 30.0
"""A bend of less is followed by easing the tape or setting short pieces of strip; a larger one is a corner."""


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of edge without a corner: the patch it belongs to, and its length (mm)."""

    patch: str
    length_mm: float


def filled_patches(plan: Plan, job: Job) -> tuple[Patch, ...]:
    """The patches of the job that the plan fills."""
    made = zip(job.patches, plan.patches, strict=True)
    return tuple(patch for patch, answer in made if answer.verdict is not Verdict.NONE)


def finish_runs(patches: tuple[Patch, ...], finish: Finish) -> tuple[Run, ...]:
    """The runs of one finish along the outlines of the patches, patch by patch."""
    return tuple(run for patch in patches for run in _runs(patch, finish))


def joint_runs(plan: Plan) -> tuple[Run, ...]:
    """The seams between parts, patch by patch."""
    return tuple(Run(answer.name, seam.length_mm) for answer in plan.patches for seam in answer.seams)


def _runs(patch: Patch, finish: Finish) -> list[Run]:
    ring, count = patch.ring, len(patch.ring)
    mine = [patch.edges[index] is finish for index in range(count)]
    breaks = [not (mine[index - 1] and mine[index]) or _bend_deg(ring, index) >= CORNER_DEG for index in range(count)]
    if not any(breaks):
        return [Run(patch.name, sum(_length(ring, index) for index in range(count)))]
    first = breaks.index(True)
    lengths: list[float] = []
    for index in ((first + step) % count for step in range(count)):
        if not mine[index]:
            continue
        if breaks[index]:
            lengths.append(0.0)
        lengths[-1] += _length(ring, index)
    return [Run(patch.name, length) for length in lengths]


def _length(ring: tuple[Point, ...], index: int) -> float:
    return math.dist(ring[index], ring[(index + 1) % len(ring)])


def _bend_deg(ring: tuple[Point, ...], index: int) -> float:
    before, corner, after = ring[index - 1], ring[index], ring[(index + 1) % len(ring)]
    first = math.atan2(corner[1] - before[1], corner[0] - before[0])
    second = math.atan2(after[1] - corner[1], after[0] - corner[0])
    return abs(math.degrees(math.remainder(second - first, math.tau)))
