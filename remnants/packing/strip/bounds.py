"""How short a strip can't be: bounds that need no search.

A function f on [0, 1] is dual feasible when the f of any numbers that sum to at most 1 also sum to at most 1. Weighing the
widths by one before summing the areas still gives a true bound (Fekete and Schepers, 2004, "A general framework for bounds
for higher-dimensional orthogonal packing problems"; from memory).
"""

import math
from collections.abc import Iterator, Sequence

from remnants.packing.strip.problem import Item, StripProblem

__all__ = ["lower_bound"]

MOST_BITS = 20_000_000
"""Sums of lengths are listed only where they are fewer than this, so that a bound stays a matter of milliseconds."""


def lower_bound(problem: StripProblem) -> int:
    """A length that no packing goes below, in the problem's unit; 0 without items."""
    items = problem.items
    if not items:
        return 0
    reached = max(*_weighed(problem.width, items), *(_end(item, problem.width) for item in items))
    return reached if any(item.lattice for item in items) else _next_sum([item.length for item in items], reached)


def _end(item: Item, width: int) -> int:
    """The least end of the item when it lies alone on the strip."""
    if item.lattice is None:
        return item.length
    corners = range(item.lattice.x0, width - item.width + 1, item.lattice.across)
    return item.length + min(item.lattice.along_start(x) for x in corners)


def _weighed(width: int, items: Sequence[Item]) -> Iterator[int]:
    """Lengths, rounded up, by areas whose widths are weighed by one dual feasible function after another; plain areas first."""
    sizes = [(item.width, item.length) for item in items]
    yield -(-sum(size * length for size, length in sizes) // width)
    for k in range(1, 6):
        yield -(-sum(_rounded(size, width, k) * length for size, length in sizes) // (k * width))
    for cut in sorted({min(size, width - size + 1) for size, _ in sizes}):
        if 0 < 2 * cut <= width:
            full = width - cut
            yield -(-sum((width if size > full else size) * length for size, length in sizes if size >= cut) // width)


def _rounded(size: int, whole: int, k: int) -> int:
    """Counts how many (k + 1)ths of the whole a size fills; the whole counts as k times itself."""
    scaled = (k + 1) * size
    return k * size if scaled % whole == 0 else scaled // whole * whole


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
