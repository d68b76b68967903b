"""Small rooms searched to the end: what is proposed shows no more than the best of every box on a grid of 1/4 in.

The grid is of cells and knows nothing of the engine: a box is the cells of the floor in it, seams are where its cells meet cells
that stay, walls where they meet none. Doorways, lanes and furniture begin and end an eighth of an inch off the grid, so that
between any two of them there is a line of it.
"""

import json
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, product
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from remnants.actions.fit_job import offer_in_hand
from remnants.actions.propose_job import proposals_from
from remnants.exchange import read_damaged_job, read_stock
from remnants.model import Merit
from tests.thorough import share

CELL_IN = 0.25
LEAST = 3
"""Cells that a strip must be wide: 3/4 in."""

Cells = NDArray[np.bool_]
Run = tuple[bool, int, int, int]
"""A straight seam: whether it runs along the pile, at which line, from which line to which (cells)."""


@dataclass(frozen=True)
class Room:
    """A floor of cells (wide, long), perhaps with its upper right corner cut out (wide, long).

    `damage`: (left, lower, right, upper) in cells. `door`: from where to where the lower wall is open. `lane`: people walk up
    and down here. `furniture`: (left, lower, right, upper). Places of these three are half cells. `piece`: how wide and long all
    that there is in stock is.
    """

    size: tuple[int, int]
    corner: tuple[int, int]
    damage: tuple[int, int, int, int]
    door: tuple[float, float] | None
    lane: tuple[float, float, float] | None
    furniture: tuple[float, float, float, float] | None
    light: int | None
    piece: tuple[int, int]

    def stock(self) -> str:
        """One piece, its pile up, as many cells wide and long as told."""
        wide, long = (cells * CELL_IN for cells in self.piece)
        told = {"tag": "R-1", "kind": "remnant", "style": "Velder Twist", "lot": "1", "width": wide, "length": long, "pile": 0}
        styles = [{"name": "Velder Twist", "construction": "cut", "row": CELL_IN}]
        return json.dumps({"unit": "in", "styles": styles, "pieces": [told]})

    @property
    def cells(self) -> Cells:
        wide, long = self.size
        floor = np.ones((wide, long), dtype=bool)
        if self.corner[0]:
            floor[wide - self.corner[0] :, long - self.corner[1] :] = False
        return floor

    def job(self) -> str:
        (wide, long), (out, down) = self.size, self.corner
        corners = [(0, 0), (wide, 0), (wide, long - down), (wide - out, long - down), (wide - out, long), (0, long)]
        outline = corners if out else [(0, 0), (wide, 0), (wide, long), (0, long)]
        room: dict[str, Any] = {"name": "r", "outline": _inches(outline), "pile": 0, "light": self.light}
        if self.door:
            start, end = self.door
            room["doorways"] = [{"edge": 0, "from": start * CELL_IN, "width": (end - start) * CELL_IN}]
        if self.lane:
            x, low, high = self.lane
            room["lanes"] = [_inches([(x, low), (x, high)])]
        if self.furniture:
            room["hidden"] = [_box(self.furniture)]
        patch = {"name": "p", "room": "r", "damage": _box(self.damage), "margin": 0}
        rules = {"min_part": LEAST * CELL_IN, "max_parts": 1, "allowance": {"seam": 0, "wall": 0, "transition": 0}}
        return json.dumps({"unit": "in", "style": "Velder Twist", "lot": "1", "rooms": [room], "patches": [patch], **rules})


def _inches(points: Sequence[tuple[float, float]]) -> list[list[float]]:
    return [[x * CELL_IN, y * CELL_IN] for x, y in points]


def _box(box: tuple[float, float, float, float]) -> list[list[float]]:
    left, lower, right, upper = box
    return _inches([(left, lower), (right, lower), (right, upper), (left, upper)])


def boxes(room: Room) -> Iterator[Cells]:
    """The cells of every box on the grid that holds the damage and can be cut from the piece."""
    (wide, long), (left, lower, right, upper) = room.size, room.damage
    floor, seen = room.cells, set()
    for x1, y1, x2, y2 in product(range(left + 1), range(lower + 1), range(right, wide + 1), range(upper, long + 1)):
        taken = np.zeros_like(floor)
        taken[x1:x2, y1:y2] = floor[x1:x2, y1:y2]
        across, along = np.flatnonzero(taken.any(axis=1)), np.flatnonzero(taken.any(axis=0))
        fits = np.ptp(across) < room.piece[0] and np.ptp(along) < room.piece[1]
        if fits and taken.tobytes() not in seen:
            seen.add(taken.tobytes())
            yield taken


def narrow(cells: Cells, least: int = LEAST) -> Cells:
    """The cells that no square of so many cells covers."""
    covered = np.zeros_like(cells)
    for x, y in product(range(cells.shape[0] - least + 1), range(cells.shape[1] - least + 1)):
        if cells[x : x + least, y : y + least].all():
            covered[x : x + least, y : y + least] = True
    return cells & ~covered


def seams(room: Room, taken: Cells) -> Iterator[Run]:
    """The straight runs along which cells taken meet cells that stay."""
    floor = room.cells
    for along, own, ground in ((True, taken, floor), (False, taken.T, floor.T)):
        for line in range(1, own.shape[0]):
            meets = (own[line - 1] ^ own[line]) & ground[line - 1] & ground[line]
            side = own[line - 1]
            for key, group in groupby(range(own.shape[1]), key=lambda at: (meets[at], side[at])):
                at = list(group)
                if key[0]:
                    yield along, line, at[0], at[-1] + 1


def parts_seen(room: Room, run: Run) -> list[tuple[float, float]]:
    along, line, low, high = run
    if not room.furniture:
        return [(low, high)]
    left, lower, right, upper = room.furniture
    across, ahead = ((left, right), (lower, upper)) if along else ((lower, upper), (left, right))
    if not across[0] < line < across[1]:
        return [(low, high)]
    return [(a, b) for a, b in ((low, min(high, ahead[0])), (max(low, ahead[1]), high)) if b > a]


def points(room: Room, run: Run) -> tuple[int, float]:
    """Points of a seam in cut pile: across the pile 1, in a doorway 1, across a lane 1, across the light 1; how much is seen."""
    along, line, low, _ = run
    seen = parts_seen(room, run)
    if not seen:
        return 0, 0.0
    told = 0 if along else 1
    if room.light is not None and along == (room.light == 90):
        told += 1
    if room.lane and not along:
        x, start, end = room.lane
        told += start <= line <= end and any(a <= x <= b for a, b in seen)
    if room.door and along:
        told += room.door[0] <= line <= room.door[1] and low == 0 and seen[0][0] == 0
    return told, sum(b - a for a, b in seen)


def look(room: Room, taken: Cells) -> tuple[list[int], list[int], float]:
    """The grades of the seams, their points, how much of them is seen (mm)."""
    told = [points(room, run) for run in seams(room, taken)]
    figures = sorted((each for each, _ in told), reverse=True)
    return (
        [(0, 1, 2, 2)[min(each, 3)] if each < 4 else 3 for each in figures],
        figures,
        sum(far for _, far in told) * CELL_IN * 25.4,
    )


def best_on_grid(room: Room) -> tuple[list[int], list[int], float]:
    floor = room.cells
    own = narrow(floor)
    left, lower, right, upper = room.damage
    arm = min(LEAST, right - left, upper - lower)  # no narrower may an arm of it be
    sound = (taken for taken in boxes(room) if not narrow(taken, arm).any() and not (narrow(floor & ~taken) & ~own).any())
    return min(look(room, taken) for taken in sound)


def best_proposed(room: Room) -> tuple[list[int], list[int], float]:
    asked = read_damaged_job(room.job())
    merit = proposals_from(offer_in_hand(read_stock(room.stock()), asked.job), asked)[0].fitted.plan.merit or Merit()
    return [worst for worst, _ in merit.sights[1:]], list(merit.points), merit.seen_mm  # the first is the shade's


def a_room(seed: int) -> Room:
    chance = random.Random(seed)
    wide, long = chance.randint(8, 12), chance.randint(8, 12)
    left, lower = chance.randint(0, wide - 6), chance.randint(0, long - 6)
    damage = (left, lower, left + chance.randint(1, 2), lower + chance.randint(1, 2))
    corner = (
        (chance.randint(1, wide - damage[2] - 1), chance.randint(1, long - damage[3] - 1)) if chance.random() < 0.6 else (0, 0)
    )
    start = chance.randint(0, wide - 5) + 0.5
    door = (start, start + chance.randint(2, 4)) if chance.random() < 0.7 else None
    low = chance.randint(0, long - 4) + 0.5
    lane = (chance.randint(0, wide - 2) + 0.5, low, low + chance.randint(1, 3)) if chance.random() < 0.7 else None
    x, y = chance.randint(0, wide - 3) + 0.5, chance.randint(0, max(0, long - corner[1] - 3)) + 0.5
    furniture = (x, y, x + chance.randint(1, 2), y + chance.randint(1, 2)) if chance.random() < 0.7 else None
    light = chance.choice([None, 0, 90])
    piece = chance.randint(4, wide), chance.randint(4, long)
    return Room((wide, long), corner, damage, door, lane, furniture, light, piece)


@pytest.mark.parametrize("seed", range(share(60)))
def test_in_a_small_room_nothing_on_a_grid_shows_less(seed: int) -> None:
    room = a_room(seed)
    grades, told, seen_mm = best_proposed(room)
    on_grid = best_on_grid(room)
    assert (grades, told) == on_grid[:2]
    assert seen_mm <= on_grid[2] + len(told)  # each is rounded to whole mm
