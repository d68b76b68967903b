"""Filling one donor: always the lowest gap next, with the part that comes first, or that fits there best."""

from collections.abc import Sequence

__all__ = ["fill"]

EXACT_WIDTH, EVEN_TOP = 4, 2
"""How much better a part is for a gap that it fills across, and for a top level with a neighbour's."""


class _Outline:
    """The upper outline of what lies on a donor so far, as steps from left to right; its lowest step is the next gap."""

    __slots__ = ("lefts", "top", "tops", "widths")

    def __init__(self, width: int, top: int) -> None:
        self.top = top
        self.lefts, self.widths, self.tops = [0], [width], [0]

    def walls(self, step: int) -> tuple[int, int]:
        """How high the outline is to the left and to the right of a step."""
        tops = self.tops
        return tops[step - 1] if step else self.top, tops[step + 1] if step + 1 < len(tops) else self.top

    def lay(self, step: int, width: int, top: int, *, left: bool) -> int:
        """Puts a part in a gap, at its left or right end, and gives the part's x."""
        x = self.lefts[step] if left else self.lefts[step] + self.widths[step] - width
        rest = self.widths[step] - width
        if not rest:
            self.tops[step] = top
            self._join(step)
            return x
        self.widths[step] = rest
        if left:
            self.lefts[step] += width
        place = step if left else step + 1
        self.lefts.insert(place, x)
        self.widths.insert(place, width)
        self.tops.insert(place, top)
        self._join(place)
        return x

    def give_up(self, step: int) -> None:
        """Raises a gap that nothing fits to the lower of its walls."""
        self.tops[step] = min(self.walls(step))
        self._join(step)

    def _join(self, step: int) -> None:
        """Makes a step one with neighbours as high."""
        for right in (step + 1, step):
            if 0 < right < len(self.tops) and self.tops[right] == self.tops[right - 1]:
                self.widths[right - 1] += self.widths[right]
                del self.lefts[right], self.widths[right], self.tops[right]


def fill(
    size: tuple[int, int], order: Sequence[int], left: Sequence[int], sizes: Sequence[tuple[int, int]], *, best: bool
) -> list[tuple[int, int, int]]:
    """Fills a donor of `size` (width, length) with parts of the sorts in `order`, at most `left[sort]` of each.

    `sizes` are the (width, length) of the sorts. Each gap takes the first in order that fits; with `best`, the one that fits it
    best. Answers (sort, x, y) of all that were laid.
    """
    length = size[1]
    outline = _Outline(*size)
    tops = outline.tops
    count = {sort: left[sort] for sort in order}
    rest = [(*sizes[sort], sort) for sort in order]
    laid = []
    while rest:
        low = min(tops)
        if low >= length:
            break
        step = tops.index(low)
        gap, room = outline.widths[step], length - low
        walls = outline.walls(step)
        chosen, most = None, -1
        for part in rest:
            if part[0] > gap or part[1] > room:
                continue
            if not best:
                chosen = part
                break
            merit = (EXACT_WIDTH if part[0] == gap else 0) + (EVEN_TOP if low + part[1] in walls else 0)
            if merit > most:
                chosen, most = part, merit
                if merit == EXACT_WIDTH + EVEN_TOP:
                    break
        if chosen is None:
            outline.give_up(step)
            continue
        width, along, sort = chosen
        laid.append((sort, outline.lay(step, width, low + along, left=walls[0] >= walls[1]), low))
        count[sort] -= 1
        if not count[sort]:
            rest.remove(chosen)
    return laid
