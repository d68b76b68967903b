"""Filling a strip from the bottom: always the lowest gap first, with what suits it best."""

from collections.abc import Sequence

from remnants.packing.strip.problem import Item, StripProblem

__all__ = ["fill", "length_of"]

Corners = list[tuple[int, int]]
Steps = list[tuple[int, int]]


def length_of(items: Sequence[Item], corners: Sequence[tuple[int, int]]) -> int:
    """How long a strip these items take up where they lie."""
    return max((y + item.length for item, (_, y) in zip(items, corners, strict=True)), default=0)


def fill(problem: StripProblem, order: Sequence[int], limit: int | None = None) -> tuple[int, Corners] | None:
    """Lays the items into the lowest gap in turn; where several suit it equally well the earlier in `order` goes first.

    Returns (length, corners in the problem's order), or None as soon as `limit` is reached or passed.
    """
    items = problem.items
    # The skyline: (left end, height) of each step from left to right; the last is a stop at the strip's far edge.
    line: Steps = [(0, 0), (problem.width, 0)]
    waiting = list(order)
    corners: Corners = [(0, 0)] * len(items)
    top = 0
    while waiting:
        step = min(range(len(line) - 1), key=lambda index: line[index][1])
        found = _best(items, waiting, line, step)
        if found is None:
            _raise(line, step)
            continue
        at, (x, y) = found
        index = waiting.pop(at)
        corners[index] = x, y
        top = max(top, y + items[index].length)
        if limit is not None and top >= limit:
            return None
        _cover(line, step, x, x + items[index].width, y + items[index].length)
    return top, corners


def _best(items: Sequence[Item], waiting: list[int], line: Steps, step: int) -> tuple[int, tuple[int, int]] | None:
    """The waiting item that suits the gap best, as (place in the queue, corner)."""
    x, y = line[step]
    right = line[step + 1][0]
    walls = _walls(line, step)
    best: tuple[int, tuple[int, int]] | None = None
    best_score = -1
    tried: set[Item] = set()
    for at, index in enumerate(waiting):
        item = items[index]
        if item.width > right - x or item in tried:
            continue
        tried.add(item)
        corner = _seat(item, x, right, y, walls)
        if corner is None:
            continue
        score = _score(item, right - x, walls, corner[1] - y)
        if score > best_score:
            best, best_score = (at, corner), score
    return best


def _walls(line: Steps, step: int) -> tuple[float, float]:
    """How far the walls of the gap rise above its floor, left and right; the strip's edges rise for ever."""
    floor = line[step][1]
    left = line[step - 1][1] - floor if step else float("inf")
    right = line[step + 1][1] - floor if step + 2 < len(line) else float("inf")
    return left, right


def _score(item: Item, width: int, walls: tuple[float, float], lift: int) -> int:
    """How well an item suits a gap: it fills the width, comes level with a wall, and wastes nothing below it."""
    tall = item.length + lift
    level = tall in walls
    return (4 if item.width == width else 0) + (3 if level else 0) + (0 if lift else 1)


def _seat(item: Item, left: int, right: int, y: int, walls: tuple[float, float]) -> tuple[int, int] | None:
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


def _raise(line: Steps, step: int) -> None:
    """Nothing fits the gap: give it up to the level of its lower wall. (A floor from edge to edge takes any item.)"""
    walls = [line[at][1] for at in (step - 1, step + 1) if 0 <= at < len(line) - 1]
    line[step] = line[step][0], min(walls)
    _join(line)


def _cover(line: Steps, step: int, left: int, right: int, top: int) -> None:
    """The skyline once an item covers [left, right) of the gap up to `top`."""
    start, floor = line[step]
    end = line[step + 1][0]
    new = [(start, floor)] if left > start else []
    new.append((left, top))
    if right < end:
        new.append((right, floor))
    line[step : step + 1] = new
    _join(line)


def _join(line: Steps) -> None:
    """Neighbouring steps of one height become one."""
    for at in range(len(line) - 2, 0, -1):
        if line[at][1] == line[at - 1][1]:
            del line[at]
