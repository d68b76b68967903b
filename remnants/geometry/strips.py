"""An outline sliced at every corner into upright strips.

Within a strip no two edges of a ring cross, so what is free over the strip's whole width is a few spans of y, known exactly.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from remnants.geometry.outline import TOLERANCE_MM, Outline, Point, Ring

__all__ = ["Span", "Spans", "Strip", "common", "corners_across", "edges", "is_square_cut", "sliced", "strips_of"]

Span = tuple[float, float]
Spans = tuple[Span, ...]


class Strip(NamedTuple):
    """The slice of an outline between two x, and the spans of y free over its whole width, lowest first."""

    left: float
    right: float
    free: Spans


def is_square_cut(outline: Outline) -> bool:
    """True when every edge runs along an axis."""
    return all(x1 == x2 or y1 == y2 for ring in (outline.ring, *outline.cutouts) for (x1, y1), (x2, y2) in edges(ring))


def edges(ring: Sequence[Point]) -> Iterable[tuple[Point, Point]]:
    """Each corner with the next (mm)."""
    return zip(ring, (*ring[1:], ring[0]), strict=True)


def corners_across(outline: Outline) -> list[float]:
    """The x of every corner, sorted, each once (mm): where an outline must be sliced."""
    return sorted({x for ring in (outline.ring, *outline.cutouts) for x, _ in ring})


def sliced(corners: Sequence[float], step_mm: float) -> list[float]:
    """Slices at the sorted `corners` (mm), and between them in equal parts no wider than `step_mm`."""
    slices = [corners[0]]
    for before, corner in pairwise(corners):
        parts = math.ceil((corner - before) / step_mm)
        slices += [*(before + (corner - before) * part / parts for part in range(1, parts)), corner]
    return slices


def strips_of(outline: Outline, slices: Sequence[float], *, somewhere: bool = False) -> list[Strip]:
    """The strips between sorted x `slices` (mm), which must hold every corner that lies between the first and the last.

    A span is free over the strip's whole width; with `somewhere`, it holds whatever is free over any part of the width.
    Spans no thicker than the tolerance are left out.
    """
    inner, outer = (min, max) if somewhere else (max, min)
    if somewhere:
        free = [[(min(low), max(high)) for low, high in crossing] for crossing in _crossings(outline.ring, slices)]
    else:
        free = [[(max(low), min(high)) for low, high in crossing] for crossing in _crossings(outline.ring, slices)]
    for cutout in outline.cutouts:
        for index, crossing in enumerate(_crossings(cutout, slices)):
            for low, high in crossing:
                free[index] = _less(free[index], outer(low), inner(high))
    return [
        Strip(left, right, tuple((low, high) for low, high in spans if high - low > TOLERANCE_MM))
        for (left, right), spans in zip(pairwise(slices), free, strict=True)
    ]


def _crossings(ring: Ring, slices: Sequence[float]) -> list[list[tuple[Span, Span]]]:
    """Per strip the pairs of edges (lower, upper) with the ring's inside between them, each as its y at the strip's two sides."""
    crossing: list[list[Span]] = [[] for _ in range(len(slices) - 1)]
    for start, end in edges(ring):
        (x1, y1), (x2, y2) = (start, end) if start[0] <= end[0] else (end, start)
        if x1 == x2 or x2 <= slices[0] or x1 >= slices[-1]:
            continue
        slope = (y2 - y1) / (x2 - x1)
        first, last = bisect_left(slices, x1), min(bisect_left(slices, x2), len(slices) - 1)
        at = [y1 if x == x1 else y2 if x == x2 else y1 + slope * (x - x1) for x in slices[first : last + 1]]
        for index, span in enumerate(pairwise(at), first):
            crossing[index].append(span)
    for ends in crossing:
        if len(ends) > 2 or (ends and sum(ends[0]) > sum(ends[1])):
            ends.sort(key=sum)
    return [list(zip(ends[::2], ends[1::2], strict=True)) for ends in crossing]


def _less(spans: list[Span], low: float, high: float) -> list[Span]:
    """The spans without the open span from `low` to `high`, if there is one."""
    if high <= low:
        return spans
    rest = []
    for start, end in spans:
        if high <= start or low >= end:
            rest.append((start, end))
            continue
        if low > start:
            rest.append((start, low))
        if high < end:
            rest.append((high, end))
    return rest


def common(one: Spans, other: Spans) -> Spans:
    """The spans that both hold, thicker than the tolerance (mm)."""
    if len(one) == 1 == len(other):
        ((low, high),), ((start, end),) = one, other
        bottom, top = low if low > start else start, high if high < end else end
        return ((bottom, top),) if top - bottom > TOLERANCE_MM else ()
    shared = []
    for low, high in one:
        for start, end in other:
            bottom, top = low if low > start else start, high if high < end else end
            if top - bottom > TOLERANCE_MM:
                shared.append((bottom, top))
    return tuple(shared)
