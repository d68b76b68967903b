"""Small rooms searched to the end by a comparison of its own: no way to make the patch is seen less than the one chosen.

Everything lies on whole inches; seams are tried every half inch. What is seen of a seam is counted from points along it.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass

import pytest

from tests.judgement.shop import ask, patch, piece, room

STEP, LEAST_PART = 0.5, 150 / 25.4
Cut = tuple[float, float, str]
"""Width, length and lot of a piece."""
Look = tuple[tuple[tuple[int, int], ...], tuple[int, ...], float]
"""Ranks of all sights, worst first; points of the seams; how much of them is seen (in)."""


@dataclass(frozen=True)
class Case:
    """A room, a patch at a corner (x, y) and of a size, and pieces: width, length, lot."""

    room: tuple[float, float]
    doors: tuple[tuple[int, float, float], ...]
    lanes: tuple[tuple[tuple[float, float], ...], ...]
    hidden: tuple[tuple[float, float, float, float], ...]
    at: tuple[float, float]
    size: tuple[float, float]
    edges: tuple[str, ...]
    pieces: tuple[Cut, ...]


def a_case(seed: int) -> Case:
    """A room of 60 to 90 in with a patch in it that no piece makes whole, at one of the walls."""
    chance = random.Random(seed)
    wide, long = chance.randint(60, 90), chance.randint(60, 90)
    size = chance.randint(24, 40), chance.randint(24, 40)
    at = chance.randint(0, wide - size[0]), chance.choice([0, chance.randint(0, long - size[1])])
    middle = at[0] + size[0] // 2
    doors = ((0, max(0, middle - chance.randint(2, 14)), chance.randint(8, 20)), (3, 5, 20))
    lanes: list[tuple[tuple[float, float], ...]] = []
    if chance.random() < 0.7:
        y = at[1] + chance.randint(4, size[1] - 4)
        lanes.append(((chance.randint(0, middle), y), (chance.randint(middle, wide), y)))
    if chance.random() < 0.7:
        x = at[0] + chance.randint(4, size[0] - 4)
        lanes.append(((x, 0), (x, chance.randint(10, long))))
    boxes = []
    for _ in range(chance.randint(0, 2)):
        left, low = at[0] + chance.randint(-8, size[0] - 4), at[1] + chance.randint(-8, size[1] - 4)
        boxes.append((left, low, left + chance.randint(8, 40), low + chance.randint(8, 40)))
    need = size[0] + 2, size[1] + 2
    pieces = []
    for _ in range(chance.randint(3, 5)):
        narrow, least = chance.randint(0, 1), chance.randint(0, 9)
        sides = [need[0] + least, need[1] + least]
        sides[narrow] = chance.randint(need[narrow] // 2, need[narrow] - 1)
        pieces.append((sides[0], sides[1], chance.choice(["L1", "L1", "L2"])))
    edges = tuple(chance.choice(["seam", "wall"]) for _ in range(4))
    return Case((wide, long), doors, tuple(lanes), tuple(boxes), at, size, edges, tuple(pieces))


def hidden_at(case: Case, x: float, y: float) -> bool:
    """True under furniture; its edge is seen."""
    return any(left < x < right and low < y < top for left, low, right, top in case.hidden)


def in_doorway(case: Case, x: float, y: float) -> bool:
    """Edge 0 is the lower wall from the left, edge 3 the left wall from the top."""
    for edge, start, wide in case.doors:
        if edge == 0 and y == 0 and start <= x <= start + wide:
            return True
        if edge == 3 and x == 0 and case.room[1] - start - wide <= y <= case.room[1] - start:
            return True
    return False


def seam(case: Case, line: tuple[int, float, float, float], base: int) -> tuple[int, float]:
    """Points of a straight seam and how much of it is seen: `line` is at a place of an axis, from and to where of the other."""
    axis, at, low, high = line

    def point(along: float) -> tuple[float, float]:
        return (at, along) if axis == 0 else (along, at)

    steps = int((high - low) * 4)
    shown = sum(not hidden_at(case, *point(low + (step + 0.5) / 4)) for step in range(steps)) / 4
    if shown == 0:
        return 0, 0.0
    on_it = [point(low + step / 4) for step in range(steps + 1)]
    door = any(in_doorway(case, x, y) and not hidden_at(case, x, y) for x, y in on_it)
    lane = False
    for (x1, y1), (x2, y2) in case.lanes:
        level = (y1 if axis == 0 else x1) if ((y1 == y2) == (axis == 0)) else None
        if level is None or not low <= level <= high:
            continue
        ends = sorted((x1, x2) if axis == 0 else (y1, y2))
        lane |= ends[0] <= at <= ends[1] and not hidden_at(case, *point(level))
    return base + door + lane, shown


def look(case: Case, lots: set[str], inner: tuple[int, float] | None) -> Look:
    """What a patch of carpet of these lots looks like, with a seam inside or none."""
    (x, y), (wide, long) = case.at, case.size
    around = [(1, y, x, x + wide), (0, x + wide, y, y + long), (1, y + long, x, x + wide), (0, x, y, y + long)]
    seams = [
        seam(case, line, base=1 if line[0] == 1 else 0) for line, edge in zip(around, case.edges, strict=True) if edge == "seam"
    ]
    seams += [inner] if inner else []
    grades = [points if points < 2 else 2 if points < 4 else 3 for points, _ in seams]
    ranks = [*((1, 0) if lot == "L1" else (3, 1) for lot in lots), *((grade, grade) for grade in grades)]
    points = sorted((points for points, _ in seams), reverse=True)
    return tuple(sorted(ranks, reverse=True)), tuple(points), sum(shown for _, shown in seams)


def every_way(case: Case) -> Iterator[Look]:
    """The look of every way to make the patch from one piece or two, an inch of allowance all round."""
    (x, y), size = case.at, case.size
    for wide, long, lot in case.pieces:
        if wide >= size[0] + 2 and long >= size[1] + 2:
            yield look(case, {lot}, None)
    for axis in (0, 1):
        start, across = (x, y)[axis], size[1 - axis] + 2
        ends = start + LEAST_PART, start + size[axis] - LEAST_PART
        for at in (*ends, *(start + step * STEP for step in range(int(size[axis] / STEP) + 1))):
            parts = at - start + 2, start + size[axis] - at + 2
            if min(parts) - 2 < LEAST_PART - 1e-9:
                continue
            for i, one in enumerate(case.pieces):
                for j, two in enumerate(case.pieces):
                    if not fits(axis, across, one if i == j else None, ((parts[0], one), (parts[1], two))):
                        continue
                    base = (1 if axis == 1 else 0) + (2 if one[2] != two[2] else 0)
                    low, high = (y, y + size[1]) if axis == 0 else (x, x + size[0])
                    yield look(case, {one[2], two[2]}, seam(case, (axis, at, low, high), base))


def fits(axis: int, across: float, both: Cut | None, parts: tuple[tuple[float, Cut], ...]) -> bool:
    """True if each part can be cut from its piece, or `both` from one."""
    if any(extent > donor[:2][axis] or across > donor[:2][1 - axis] for extent, donor in parts):
        return False
    return both is None or sum(extent for extent, _ in parts) <= both[:2][axis] or 2 * across <= both[:2][1 - axis]


@pytest.mark.parametrize("seed", range(14))
def test_no_way_is_seen_less_than_the_one_chosen(seed: int) -> None:
    case = a_case(seed)
    best = min(every_way(case), default=None)
    around = room(*case.room, doors=case.doors, lanes=case.lanes, hidden=case.hidden)
    asked = patch(*case.size, edges=case.edges, room="hall", at=case.at)
    pieces = [piece(f"R-{number}", wide, long, lot=lot) for number, (wide, long, lot) in enumerate(case.pieces)]
    plan = ask(*pieces, patches=(asked,), rooms=(around,)).fitted.plan
    assert plan.merit is not None
    if best is None:
        assert plan.merit.unfilled == 1
        return
    assert plan.merit.unfilled == 0
    assert (plan.merit.sights, plan.merit.points) == best[:2], case
    assert plan.merit.seen_mm == pytest.approx(best[2] * 25.4, abs=3), case  # each seam is rounded to whole mm
