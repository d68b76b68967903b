"""A screen: which rectangles a piece holds for certain, and which it can't, told for 100,000 pieces at once.

Seen along the pile, the rectangles that lie in a piece form a staircase: the wider, the shorter. A piece's `Staircase` holds two,
as steps (width, length): the lower one of rectangles that were found in it, the upper one of limits that none can pass. Where
every edge runs along or across the pile both are the same and exact; with slanted edges they differ by about a slice's width.
Both err only in the safe direction. As bytes a plain rectangle takes 16, an L or a piece with a few cutouts some 30 to 80, any
other at most 392; `Staircases` lays many end to end and asks all of them in one sweep of an array.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING

from remnants.geometry.outline import TOLERANCE_MM, Outline
from remnants.geometry.strips import Strip, common, corners_across, is_square_cut, sliced, strips_of
from remnants.geometry.tolerances import MICROMETRES_MM
from remnants.geometry.turn import between, turned
from remnants.late import Late

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]
else:
    np = Late("numpy")

__all__ = ["Bounds", "Screened", "Staircase", "Staircases", "staircase_of"]

Step = tuple[float, float]

MOST_STEPS = 24
"""Steps kept of each staircase of a piece with slanted edges."""

SLICES = 60
"""Slices across a piece with slanted edges, beside those at its corners."""

FEW_STRIPS = 5
"""Strips of a square-cut piece up to which its blocks are gone through one by one: arrays take ten times as long for them."""

MICROMETRES = 1000
"""Steps are kept in whole micrometres: the lower staircase rounded down, the upper one rounded up."""

ROUNDED = 0.01
"""A step this near to a whole micrometre, in micrometres, is there already."""


class Screened(IntEnum):
    """What the screen says of a part on a piece."""

    CANT = 0
    UNDECIDED = 1
    FITS = 2


@dataclass(frozen=True, slots=True)
class Staircase:
    """Steps (width across the pile, length along it, mm), narrowest first. `upper` equals `lower` where they are exact."""

    lower: tuple[Step, ...]
    upper: tuple[Step, ...]

    def pack(self) -> bytes:
        """Little-endian 32-bit: the two counts of steps, then widths and lengths in micrometres, lower first.

        An exact staircase is written once, its upper count 0.
        """
        upper = () if self.upper == self.lower else self.upper
        figures = [round(value * MICROMETRES) for steps in (self.lower, upper) for step in steps for value in step]
        return struct.pack(f"<{2 + len(figures)}I", len(self.lower), len(upper), *figures)

    @classmethod
    def unpack(cls, packed: bytes) -> Staircase:
        """The staircase that `pack` wrote."""
        lower, upper, *figures = struct.unpack(f"<{len(packed) // 4}I", packed)
        values = [figure / MICROMETRES for figure in figures]
        steps = tuple(zip(values[::2], values[1::2], strict=True))
        return cls(steps[:lower], steps[lower:] if upper else steps[:lower])


def largest_step(packed: bytes) -> tuple[float, float]:
    """Width and length (mm) of the largest rectangle by area that a staircase, as `Staircase.pack` wrote it, holds for certain.

    Of a piece with slanted edges it is a few percent smaller than the largest there is, of any other the largest.
    """
    count = int.from_bytes(packed[:4], "little")
    figures = struct.unpack_from(f"<{2 * count}I", packed, 8)
    width, length = max(zip(figures[::2], figures[1::2], strict=True), key=lambda step: step[0] * step[1])
    return width / MICROMETRES, length / MICROMETRES


@dataclass(frozen=True, slots=True)
class Bounds:
    """Per piece (mm): what it holds for certain, and what it can't go beyond; 0 where it holds nothing."""

    certain: Floats
    possible: Floats


def staircase_of(outline: Outline, pile_deg: float = 0.0) -> Staircase:
    """The staircase of the usable region of `outline` (mm, the piece's own axes), seen along the pile bearing `pile_deg`."""
    seen = turned(outline, between(pile_deg, 0.0))
    if seen.is_rectangle:
        left, bottom, right, top = seen.bounds
        lower = upper = [(right - left, top - bottom)]
    elif is_square_cut(seen):
        strips = strips_of(seen, corners_across(seen))
        if len(strips) <= FEW_STRIPS:
            lower = upper = _steps_of_few(strips)
        else:
            widths, lengths, _ = _blocks(strips)
            lower = upper = _steps(widths, lengths)
    else:
        lower, upper = _slanted(seen)
    floor = tuple((_down(width), _down(length)) for width, length in lower) or ((0.0, 0.0),)
    if upper is lower:
        return Staircase(floor, floor)
    return Staircase(floor, tuple((_up(width), _up(length)) for width, length in upper) or ((0.0, 0.0),))


def _down(value_mm: float) -> float:
    return math.floor(value_mm * MICROMETRES + ROUNDED) / MICROMETRES


def _up(value_mm: float) -> float:
    return math.ceil(value_mm * MICROMETRES - ROUNDED) / MICROMETRES


def _slanted(outline: Outline) -> tuple[list[Step], list[Step]]:
    """Lower and upper staircase of an outline with slanted edges, thinned to the most steps kept."""
    corners = corners_across(outline)
    slices = sliced(corners, (corners[-1] - corners[0]) / SLICES)
    widths, lengths, reaches = _blocks(strips_of(outline, slices))
    lower = _steps(widths, lengths)
    narrow_reaches, narrow_lengths = _narrow(strips_of(outline, slices, somewhere=True))
    upper = _steps(np.concatenate([reaches, narrow_reaches]), np.concatenate([lengths, narrow_lengths]))
    return _thinned_down(lower), _thinned_up(upper)


def _blocks(strips: Sequence[Strip]) -> tuple[Floats, Floats, Floats]:
    """Every free block of whole strips: width, length, and how wide a rectangle over no other whole strip may be at most."""
    most = max(len(strip.free) for strip in strips)
    padded = np.array([[*strip.free, *[(0.0, 0.0)] * (most - len(strip.free))] for strip in strips]).reshape(len(strips), most, 2)
    sides = np.array([strips[0].left, *(strip.right for strip in strips)])
    first = np.repeat(np.arange(len(strips)), most)
    low, high = padded[:, :, 0].ravel(), padded[:, :, 1].ravel()
    found: list[tuple[Floats, Floats, Floats]] = []
    for count in range(1, len(strips) + 1):
        free = high - low > TOLERANCE_MM
        first, low, high = first[free], low[free], high[free]
        if not first.size:
            break
        after = first + count
        reach = sides[np.minimum(after + 1, len(strips))] - sides[np.maximum(first - 1, 0)]
        found.append((sides[after] - sides[first], high - low, reach))
        more = after < len(strips)
        first, low, high, after = first[more], low[more], high[more], after[more]
        low = np.maximum(low[:, None], padded[after, :, 0]).ravel()
        high = np.minimum(high[:, None], padded[after, :, 1]).ravel()
        first = np.repeat(first, most)
    if not found:
        return np.empty(0), np.empty(0), np.empty(0)
    widths, lengths, reaches = (np.concatenate(part) for part in zip(*found, strict=True))
    return widths, lengths, reaches


def _steps_of_few(strips: Sequence[Strip]) -> list[Step]:
    """What `_steps` makes of all `_blocks`, figure by figure alike, for a few strips."""
    longest: dict[float, float] = {}
    for first, strip in enumerate(strips):
        spans = strip.free
        for last in strips[first:]:
            spans = common(spans, last.free) if last is not strip else spans
            if not spans:
                break
            width = last.right - strip.left
            longest[width] = max(longest.get(width, 0.0), *(high - low for low, high in spans))
    steps: list[Step] = []
    for width in sorted(longest, reverse=True):
        if not steps or longest[width] > steps[-1][1]:
            steps.append((width, longest[width]))
    return steps[::-1]


def _narrow(strips: Sequence[Strip]) -> tuple[Floats, Floats]:
    """Limits for rectangles that cover no whole strip: they lie in one or two, and are no longer than what is free somewhere."""
    longest = np.array([max((high - low for low, high in strip.free), default=0.0) for strip in strips])
    rights = np.array([*(strip.right for strip in strips[1:]), strips[-1].right])
    return rights - np.array([strip.left for strip in strips]), longest


def _steps(widths: Floats, lengths: Floats) -> list[Step]:
    """The staircase over all (width, length), narrowest first: each step longer than every wider one."""
    order = np.lexsort((-lengths, -widths))
    widths, lengths = widths[order], lengths[order]
    wider = np.concatenate([[0.0], np.maximum.accumulate(lengths)[:-1]]) if lengths.size else lengths
    kept = lengths > wider
    return [(float(width), float(length)) for width, length in zip(widths[kept][::-1], lengths[kept][::-1], strict=True)]


def _thinned_down(steps: list[Step]) -> list[Step]:
    """At most so many of the steps: what goes makes the staircase smaller."""
    return [steps[group[-1]] for group in _groups(steps)]


def _thinned_up(steps: list[Step]) -> list[Step]:
    """At most so many steps, each as wide and as long as all those it stands for: the staircase gets larger."""
    return [(steps[group[-1]][0], steps[group[0]][1]) for group in _groups(steps)]


def _groups(steps: list[Step]) -> list[Whole]:
    """The places of the steps in at most so many runs of about the same fall and going."""
    places = np.arange(len(steps))
    if len(steps) <= MOST_STEPS:
        return list(places[:, None])
    gone = np.abs(np.diff(np.array(steps), axis=0))
    along = np.concatenate([[0.0], np.cumsum((gone / gone.sum(axis=0)).sum(axis=1))])
    cuts = np.searchsorted(along, np.linspace(0, 2, MOST_STEPS + 1)[1:-1], side="right")
    return [group for group in np.split(places, np.unique(cuts)) if group.size]


class Staircases:
    """Many staircases laid end to end; every question is answered for all of them, in the order given."""

    def __init__(self, packed: Sequence[bytes]) -> None:
        """Takes what `Staircase.pack` wrote, one of each piece."""
        words = np.frombuffer(b"".join(packed), dtype="<u4").astype(np.int64)
        sizes = np.array([len(one) // 4 for one in packed], dtype=np.int64)
        starts = np.cumsum(sizes) - sizes
        lower, upper = (words[starts], words[starts + 1]) if len(packed) else (sizes, sizes)
        self._lower = _Ragged.of(words, starts + 2, lower)
        self._upper = _Ragged.of(words, starts + 2 + np.where(upper > 0, 2 * lower, 0), np.where(upper > 0, upper, lower))

    def __len__(self) -> int:
        return int(self._lower.starts.size)

    def longest(self, width_mm: float) -> Bounds:
        """Of the rectangles `width_mm` across the pile, the length of the longest in each piece."""
        return Bounds(
            self._lower.longest(width_mm - MICROMETRES_MM),
            self._upper.longest(width_mm - 2 * TOLERANCE_MM),
        )

    def widest(self, length_mm: float) -> Bounds:
        """Of the rectangles `length_mm` along the pile, the width of the widest in each piece."""
        return Bounds(
            self._lower.widest(length_mm - MICROMETRES_MM),
            self._upper.widest(length_mm - 2 * TOLERANCE_MM),
        )

    def screen(self, around: Step, within: Sequence[Step] = ()) -> NDArray[np.int8]:
        """A `Screened` per piece for a part with bounding rectangle `around` and inner rectangles `within` (width, length, mm).

        FITS and CANT are certain, whatever the tolerance forgives. For a rectangle `within` is left out.
        """
        fits = self._lower.longest(around[0] - MICROMETRES_MM) >= around[1] - MICROMETRES_MM
        may = np.ones(len(self), dtype=bool)
        for width, length in within or (around,):
            may &= self._upper.longest(width - 2 * TOLERANCE_MM) >= length - 2 * TOLERANCE_MM
        return (may.astype(np.int8) + fits).astype(np.int8)


@dataclass(frozen=True, slots=True)
class _Ragged:
    """The steps of all pieces in a row, in mm, and where each piece's begin."""

    widths: Floats
    lengths: Floats
    starts: Whole

    @classmethod
    def of(cls, words: Whole, first: Whole, counts: Whole) -> _Ragged:
        """From packed words: per piece where its steps begin among them and how many there are (one at least)."""
        starts = np.cumsum(counts) - counts
        places = np.repeat(first - 2 * starts, counts) + 2 * np.arange(int(counts.sum()))
        return cls(words[places] / MICROMETRES, words[places + 1] / MICROMETRES, starts)

    def longest(self, width_mm: float) -> Floats:
        """Per piece the length of the longest step at least so wide; 0 where none is."""
        return self._most(np.where(self.widths >= width_mm, self.lengths, 0.0))

    def widest(self, length_mm: float) -> Floats:
        """Per piece the width of the widest step at least so long; 0 where none is."""
        return self._most(np.where(self.lengths >= length_mm, self.widths, 0.0))

    def _most(self, figures: Floats) -> Floats:
        return np.maximum.reduceat(figures, self.starts) if self.starts.size else np.empty(0)
