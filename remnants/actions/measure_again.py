"""Which measurement of a floor, if it is longer than it was measured, would do without a cross seam, or make the patch at all.

A closet is measured by hand, often from the door. More of it never makes a patch worse: the larger piece holds whatever the
smaller one does. So the least that helps is found by halving, to what a tape shows.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from remnants.fitting.bargains import tape_step_mm
from remnants.geometry.outline import TOLERANCE_MM, Outline, bounds
from remnants.model import Job, Kind, MeasureAgain, PatchPlan, Piece, Plan, SeamKind, Verdict
from remnants.units import Unit, write_length

__all__ = ["measure_again"]

MOST_OUT_MM = 304.8
"""No tape is read wrong by more than a foot (common practice, no source)."""

MOST_FLOORS = 3
"""Floors that are looked at for one patch, those that are cut for it first."""


def measure_again(
    job: Job, plan: Plan, pieces: tuple[tuple[Piece, ...], ...], fits: Callable[[Job, Piece], Plan]
) -> tuple[MeasureAgain, ...]:
    """What to measure again: of each patch with a cross seam or without carpet the least for each floor, width or length.

    `pieces` are those that may give to each patch; `fits` answers a job from one piece alone.
    """
    found: list[MeasureAgain] = []
    for index, (patch, own) in enumerate(zip(plan.patches, pieces, strict=True)):
        if patch.verdict is Verdict.NONE or _crossed(patch):
            cut = {part.piece for part in patch.parts}
            floors = [each for each in own if each.kind in (Kind.LAID, Kind.KEPT) and _is_square(each.outline)]
            floors.sort(key=lambda each: (each.tag not in cut, each.tag))
            # a seam needn't lie where most is to spare to tell that there is one
            alone = replace(job, patches=(replace(job.patches[index], seam_shift_mm=None),), use=(), tape_error_mm=0.0)
            for piece in floors[:MOST_FLOORS]:
                found += _of_piece(alone, patch, piece, fits)
    return tuple(found)


def _of_piece(job: Job, patch: PatchPlan, piece: Piece, fits: Callable[[Job, Piece], Plan]) -> Iterator[MeasureAgain]:
    unit = Unit(job.unit)
    step = tape_step_mm(unit)
    for axis, word in ((0, "wider"), (1, "longer")):

        def helps(steps: int, axis: int = axis) -> bool:
            (made,) = fits(job, replace(piece, outline=_stretched(piece.outline, axis, steps * step))).patches
            return made.verdict is not Verdict.NONE and not _crossed(made)

        low, high = 0, math.floor(MOST_OUT_MM / step)
        if helps(low) or not helps(high):
            continue
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if helps(middle) else (middle, high)
        by = high * step
        made = "no cross seam is needed" if patch.parts else f"it makes {patch.name}"
        told = f"If {piece.tag} is {write_length(by, unit)} {word} than you measured, {made}: measure it again."
        yield MeasureAgain(piece.tag, patch.name, "width" if axis == 0 else "length", by, told)


def _crossed(patch: PatchPlan) -> bool:
    return any(seam.kind is SeamKind.CROSS for seam in patch.seams)


def _is_square(outline: Outline) -> bool:
    """Whether all its sides run along the axes: then moving out the furthest one takes nothing away."""
    ring = outline.ring
    return all(min(abs(a[0] - b[0]), abs(a[1] - b[1])) <= TOLERANCE_MM for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


def _stretched(outline: Outline, axis: int, by_mm: float) -> Outline:
    """The outline with its furthest side moved out."""
    most = bounds(outline.ring)[axis + 2]

    def moved(point: tuple[float, float]) -> tuple[float, float]:
        by = by_mm if point[axis] >= most - TOLERANCE_MM else 0.0
        return (point[0] + by, point[1]) if axis == 0 else (point[0], point[1] + by)

    return replace(outline, ring=tuple(map(moved, outline.ring)))
