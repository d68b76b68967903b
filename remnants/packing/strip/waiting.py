"""What waits to be laid on a strip: which of it suits a gap best, by its place in an order where several suit it equally well."""

from collections.abc import Sequence
from typing import Protocol

from remnants.packing.strip.problem import Item

__all__ = ["Queue", "Waiting", "WaitingFew"]

Corner = tuple[int, int]
Walls = tuple[float, float]

GONE = 1 << 60
"""Wider than any gap."""


class Queue(Protocol):
    """Items in their order."""

    def next(self, left: int, right: int, floor: int, walls: Walls) -> tuple[int, Corner] | None:
        """Takes away what suits the gap best: its place in the problem and its corner; None where nothing fits.

        The gap reaches from `left` to `right` at the height `floor`; `walls` are how far both sides rise above that. What fills
        the width suits best, and then what comes level with a wall and wastes nothing below itself.
        """


class Waiting:
    """Items without a lattice, looked up by their sizes: among hundreds the next is found in a few steps."""

    __slots__ = ("_by_length", "_by_size", "_by_width", "_items", "_narrowest", "_order", "_start")

    def __init__(self, items: Sequence[Item], order: Sequence[int]) -> None:
        self._items, self._order = items, order
        self._by_size: dict[tuple[int, float], list[int]] = {}
        for at in range(len(order) - 1, -1, -1):  # the earliest of each size is the last of its list
            item = items[order[at]]
            self._by_size.setdefault((item.width, item.length), []).append(at)
        self._by_width: dict[int, list[list[int]]] = {}
        self._by_length: dict[float, list[tuple[int, list[int]]]] = {}
        for (width, length), places in self._by_size.items():
            self._by_width.setdefault(width, []).append(places)
            self._by_length.setdefault(length, []).append((width, places))
        # the narrowest of every two, of those of every two and so on, the narrowest of all first: a tree laid out in one list
        self._start = 1 << max(0, len(order) - 1).bit_length()
        self._narrowest = [GONE] * (2 * self._start)
        self._narrowest[self._start : self._start + len(order)] = [items[index].width for index in order]
        for node in range(self._start - 1, 0, -1):
            self._narrowest[node] = min(self._narrowest[2 * node], self._narrowest[2 * node + 1])

    def next(self, left: int, right: int, floor: int, walls: Walls) -> tuple[int, Corner] | None:
        """See `Queue`."""
        gap = right - left
        if self._narrowest[1] > gap:
            return None
        at = self._filling(gap, walls)
        if at is None:
            at = self._level(gap, walls)
        if at is None:
            at = self._first(gap)
        self._take(at)
        index = self._order[at]
        return index, (left if walls[0] >= walls[1] else right - self._items[index].width, floor)

    def _filling(self, gap: int, walls: Walls) -> int | None:
        """The first that is just as wide as the gap, and level with a wall if one is."""
        kinds = self._by_width.get(gap)
        if kinds is None:
            return None
        level = [places[-1] for wall in walls if (places := self._by_size.get((gap, wall)))]
        return min(level or [places[-1] for places in kinds if places], default=None)

    def _level(self, gap: int, walls: Walls) -> int | None:
        """The first that fits and comes level with a wall."""
        by_length = self._by_length
        found = [places[-1] for wall in walls for width, places in by_length.get(wall, ()) if width <= gap and places]
        return min(found, default=None)

    def _first(self, gap: int) -> int:
        """The first that fits; there must be one."""
        node, narrowest = 1, self._narrowest
        while node < self._start:
            node *= 2
            if narrowest[node] > gap:
                node += 1
        return node - self._start

    def _take(self, at: int) -> None:
        item = self._items[self._order[at]]
        self._by_size[item.width, item.length].pop()
        node, narrowest = self._start + at, self._narrowest
        narrowest[node] = GONE
        while node > 1:
            node //= 2
            left, right = narrowest[2 * node], narrowest[2 * node + 1]
            least = left if left < right else right
            if narrowest[node] == least:
                return
            narrowest[node] = least


class WaitingFew:
    """A few items, or some with a lattice: each is looked at."""

    __slots__ = ("_items", "_waiting")

    def __init__(self, items: Sequence[Item], order: Sequence[int]) -> None:
        self._items, self._waiting = items, list(order)

    def next(self, left: int, right: int, floor: int, walls: Walls) -> tuple[int, Corner] | None:
        """See `Queue`."""
        best: tuple[int, Corner] | None = None
        best_score = -1
        tried: set[Item] = set()
        for at, index in enumerate(self._waiting):
            item = self._items[index]
            if item.width > right - left or item in tried:
                continue
            tried.add(item)
            corner = _seat(item, left, right, floor, walls)
            if corner is None:
                continue
            score = _score(item, right - left, walls, corner[1] - floor)
            if score > best_score:
                best, best_score = (at, corner), score
        return None if best is None else (self._waiting.pop(best[0]), best[1])


def _score(item: Item, width: int, walls: Walls, lift: int) -> int:
    """How well an item suits a gap: it fills the width, comes level with a wall, and wastes nothing below it."""
    tall = item.length + lift
    level = tall in walls
    return (4 if item.width == width else 0) + (3 if level else 0) + (0 if lift else 1)


def _seat(item: Item, left: int, right: int, y: int, walls: Walls) -> Corner | None:
    """The lowest corner for the item in the gap, beside its higher wall when nothing else decides."""
    if item.lattice is None:
        return (left if walls[0] >= walls[1] else right - item.width), y
    lattice = item.lattice
    first = left + (lattice.x0 - left) % lattice.across
    seats = []
    for x in range(first, right - item.width + 1, lattice.across):
        start = lattice.along_start(x)
        seats.append((y + (start - y) % lattice.along, x))
    if not seats:
        return None
    low, x = min(seats)
    return x, low
