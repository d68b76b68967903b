"""Where along a strip a piece may begin: few places, as pieces can be pushed to whichever end is nearer.

Take any packing and a place between its ends. What begins before that place is pushed down, all else up, as far as it goes.
What is pushed down is stopped by the end of the strip or by a piece that begins earlier, so one that was pushed down too, and
begins at a sum of lengths; what is pushed up ends at the other end less such a sum. So it is enough to look at those, and of all
places the one is taken with the fewest (from memory: Côté and Iori, 2018, "The meet-in-the-middle principle for cutting and
packing problems").
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

__all__ = ["starts_of", "sums_of"]


def sums_of(lengths: Sequence[int], most: int, *, places: int) -> list[int] | None:
    """Every sum of some of the lengths, each any number of times, up to `most`.

    None where at more `places`, all lengths together, one could begin at such a sum and end by `most`.
    """
    found, new = {0}, {0}
    while new:
        new = {start + length for start in new for length in set(lengths) if start + length <= most} - found
        found |= new
        if sum(start + length <= most for start in found for length in lengths) > places:
            return None
    return sorted(found)


def starts_of(lengths: Sequence[int], end: int, sums: Sequence[int]) -> list[list[int]]:
    """For each of the lengths where pieces so long may begin on a strip that long, sorted; `sums` are those of all lengths."""
    kinds = sorted(set(lengths))

    def count(middle: int, length: int) -> int:
        down = bisect_left(sums, min(middle, end - length + 1))
        return down + bisect_right(sums, end - length - middle)

    middle = min((each for each in sums if each <= end), key=lambda each: (sum(count(each, length) for length in kinds), each))
    found = {}
    for length in kinds:
        down = [start for start in sums if start < middle and start + length <= end]
        up = [end - length - start for start in sums if start <= end - length - middle]
        found[length] = sorted({*down, *up})
    return [found[length] for length in lengths]
