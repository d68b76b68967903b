"""How short a strip can't be: bounds that need no search.

A function f on [0, 1] is dual feasible when the f of any numbers that sum to at most 1 also sum to at most 1. Weighing the
widths by one before summing the areas still gives a true bound (Fekete and Schepers, 2004, "A general framework for bounds
for higher-dimensional orthogonal packing problems"; from memory).
"""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from remnants.packing.strip.problem import Item, StripProblem

__all__ = ["lower_bound"]

MOST_BITS = 20_000_000
"""Sums of lengths are listed only where they are fewer than this, so that a bound stays a matter of milliseconds."""


def lower_bound(problem: StripProblem) -> int:
    """A length that no packing goes below, in the problem's unit; 0 without items."""
    items = problem.items
    if not items:
        return 0
    widths = [item.width for item in items]
    weighed = max(_total(weights, items) for weights in _weighings(problem.width, widths))
    reached = max(math.ceil(weighed), *(_end(item, problem.width) for item in items))
    return reached if any(item.lattice for item in items) else _next_sum([item.length for item in items], reached)


def _end(item: Item, width: int) -> int:
    """The least end of the item when it lies alone on the strip."""
    if item.lattice is None:
        return item.length
    corners = range(item.lattice.x0, width - item.width + 1, item.lattice.across)
    return item.length + min(item.lattice.along_start(x) for x in corners)


def _total(weights: Sequence[Fraction], items: Sequence[Item]) -> Fraction:
    return sum((weight * item.length for weight, item in zip(weights, items, strict=True)), Fraction(0))


def _weighings(whole: int, sizes: Sequence[int]) -> Iterator[list[Fraction]]:
    """Every size weighed by one dual feasible function after another; the first is its plain share of the whole."""
    yield [Fraction(size, whole) for size in sizes]
    for k in range(1, 6):
        yield [_rounded(size, whole, k) for size in sizes]
    for cut in sorted({min(size, whole - size + 1) for size in sizes}):
        if 0 < 2 * cut <= whole:
            yield [_stepped(size, whole, cut) for size in sizes]


def _rounded(size: int, whole: int, k: int) -> Fraction:
    """Counts how many (k + 1)ths of the whole a size fills."""
    scaled = (k + 1) * size
    return Fraction(size, whole) if scaled % whole == 0 else Fraction(scaled // whole, k)


def _stepped(size: int, whole: int, cut: int) -> Fraction:
    """What leaves less than `cut` beside it counts as the whole, and what is under `cut` as nothing."""
    if size > whole - cut:
        return Fraction(1)
    return Fraction(size, whole) if size >= cut else Fraction(0)


def _next_sum(lengths: Sequence[int], least: int) -> int:
    """The least sum of some of the lengths that is at least `least`: items pushed together end at such a sum."""
    unit = math.gcd(*lengths)
    least = -(-least // unit)
    if sum(lengths) // unit > MOST_BITS:
        return least * unit
    sums = 1
    for length in lengths:
        sums |= sums << (length // unit)
    above = sums >> least
    return (least + (above & -above).bit_length() - 1) * unit
