"""What no dividing and packing goes below, by lines along the strip: some line crosses pieces that are worth the mean of all.

Let each item have a whole price for each unit of its width. Over all lines along the strip, the pieces that one crosses are worth
together, in the mean, the sum of width times price over the width of the strip. So some line crosses pieces worth that, rounded
up, and the strip is as long as the shortest pieces that are worth so much: a true bound for any prices, in whole numbers alone.
Good prices are those of a linear programme (HiGHS) over all lines that there are (from memory: Gilmore and Gomory, 1961, "A
linear programming approach to the cutting-stock problem").
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING

import numpy as np

from remnants.late import Late
from remnants.packing.watch import Watch

if TYPE_CHECKING:
    import highspy
else:
    highspy = Late("highspy")

__all__ = ["lines_bound"]

MOST_LINES = 400
"""Kinds of lines beyond which the bound stays: so many come so near to any length that it is hardly more than the area's."""

SCALES = 12, 60, 420, 2520
"""Prices of the programme are made whole by each of these; a line that is full is worth so much."""

MOST_ROUNDS = 12
"""Programmes solved at most, each for the length that the one before proved."""

MOST_ITEMS = 50
"""Items beyond which the bound stays: each has a line of its own and most have many."""

MOST_WORTH = 60_000
"""What a line must be worth at most, for its shortest pieces to be looked for: of eight rooms on a usual roll it is a third."""

Sizes = Sequence[tuple[int, int]]
"""Width, with what the divisions take that can't be done without, and length of every item."""

Line = tuple[int, ...]
"""How many pieces of each item a line along the strip crosses."""


def lines_bound(sizes: Sizes, width: int, *, bound: int, known: int, watch: Watch) -> int:
    """A length, at least `bound`, that no packing of these items goes below, however they are divided, on a strip so wide.

    It looks no further at `known`, or once the watch is over, on which it counts nothing.
    """
    sizes = sorted(sizes, key=lambda size: -size[1])
    lengths = [long for _, long in sizes]
    bound = max(bound, lengths[0])
    for _ in range(MOST_ROUNDS if len(sizes) <= MOST_ITEMS else 0):
        lines = list(islice(_lines(lengths, bound), MOST_LINES + 1))
        if len(lines) > MOST_LINES or bound >= known or watch.over():
            break
        prices = _prices(sizes, lines)
        found = max(_by_prices(sizes, width, [round(price * scale) for price in prices]) for scale in SCALES)
        if found <= bound:
            break
        bound = found
    return bound


def _lines(lengths: Sequence[int], most: int) -> Iterator[Line]:
    """Every kind of line no longer than `most` that no piece can be added to; the longest of the lengths comes first.

    So whatever the longer ones leave, each way to fill it with the shorter is such a line, and none is looked at in vain.
    """
    if len(lengths) == 1:
        yield (most // lengths[0],)
        return
    for count in range(most // lengths[0], -1, -1):
        for rest in _lines(lengths[1:], most - count * lengths[0]):
            yield (count, *rest)


def _prices(sizes: Sizes, lines: Sequence[Line]) -> list[float]:
    """Prices at which no line is worth more than 1, and all items as much as can be."""
    solver = highspy.Highs()
    for name, value in (("output_flag", False), ("threads", 1), ("random_seed", 0)):
        solver.setOptionValue(name, value)
    widest = max(wide for wide, _ in sizes)
    for place, (wide, _) in enumerate(sizes):
        solver.addVar(0.0, 1.0)
        solver.changeColCost(place, -wide / widest)
    columns = np.arange(len(sizes), dtype=np.int32)
    for line in lines:
        solver.addRow(-highspy.kHighsInf, 1.0, len(sizes), columns, np.array(line, dtype=float))
    solver.run()
    return list(solver.getSolution().col_value)


def _by_prices(sizes: Sizes, width: int, prices: Sequence[int]) -> int:
    """The bound by these prices, which may be any; 0 where that takes too long to tell."""
    worth = -(-sum(wide * price for (wide, _), price in zip(sizes, prices, strict=True)) // width)
    pieces = [(long, price) for (_, long), price in zip(sizes, prices, strict=True) if price > 0]
    if not pieces or worth > MOST_WORTH:
        return 0
    least = [0]  # the least length of pieces worth 0, 1, 2, ... or more
    for value in range(1, worth + 1):
        least.append(min(long + least[max(0, value - price)] for long, price in pieces))
    return least[worth]
