"""Parts that have no place where others were laid: a few neighbours are taken out, and all of them put back another way.

Each is put back in a corner of the places that it has beside what lies there, in one order or another. What then leaves no more
carpet without a place, or little more at first, is gone on from (simulated annealing). It ends after so many looks for places.
What is found is proved, and a "no" is none.
"""

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from remnants.geometry.beside import Step, open_beside
from remnants.geometry.lie import MICRONS, Paths
from remnants.geometry.outline import Ring, area_mm2, bounds

__all__ = ["Parts", "put_back"]

MOST_MISSING = 3
"""Where more parts have no place, moving a few of the others doesn't help."""

LOOKS, LOOKS_A_STEP = 4000, 400
"""Looks for the places of one part beside the others: in all, and in a step of work, as long as one from the ends."""

TAKEN_OUT = (1, 2, 2, 3, 3, 4)
"""How many neighbours are taken out at once, one of these."""

CORNERS = (*((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, -1), (1, -1), (-1, 1)), *[None] * 6)
"""Which way the corner lies that parts are put back in, for all of them; None: each in any corner of its places."""

FIRST = 0.6
"""How often the parts that had no place are put in before those that were taken out."""

WORSE = 0.1
"""What may be without a place more than before at first, in the mean, as a share of the mean part; less and less later."""

REACH_MM = 5.0
"""Parts whose boxes come as near are neighbours."""


@dataclass(frozen=True, eq=False)
class Parts:
    """The parts (mm), the places that those have alone that have any, and what one, by its number, bars to another."""

    rings: Sequence[Ring]
    places: Mapping[int, Paths]
    barred: Callable[[int, int], Paths]


def put_back(parts: Parts, laid: Mapping[int, Step]) -> Iterator[dict[int, Step]]:
    """The most parts laid, after each step of work, until all that have a place are; nothing where too many are missing."""
    search = _Search(parts, laid)
    if not 0 < len(search.missing) <= MOST_MISSING or not laid:
        return
    most, step = dict(laid), LOOKS_A_STEP
    while search.looks < LOOKS:
        search.changed()
        if len(search.laid) > len(most):
            most = search.laid
            yield most
        if not search.missing:
            return
        if search.looks >= step:
            step += LOOKS_A_STEP
            yield most


class _Search:
    """The working state of one search."""

    def __init__(self, parts: Parts, laid: Mapping[int, Step]) -> None:
        self.parts, self.laid = parts, dict(laid)
        self.missing = sorted(parts.places.keys() - laid.keys())
        self.areas, self.boxes = [abs(area_mm2(ring)) for ring in parts.rings], [bounds(ring) for ring in parts.rings]
        self.worse_mm2 = WORSE * sum(self.areas) / len(self.areas)
        self.random, self.looks = random.Random(len(laid)), 0

    def changed(self) -> None:
        """Takes a few parts out and puts them back with those that are missing, if that leaves hardly more without a place."""
        out = self._taken_out()
        laid = {number: move for number, move in self.laid.items() if number not in out}
        corner, missing = self.random.choice(CORNERS), list[int]()
        worse_mm2 = self.worse_mm2 * max(1 - self.looks / LOOKS, 0.0)
        most_mm2 = sum(self.areas[number] for number in self.missing) + worse_mm2 * self.random.expovariate(1.0)
        for number in self._ordered(out):
            here = self._open_to(number, laid)
            if here:
                laid[number] = self._corner(here, corner)
                continue
            missing.append(number)
            if sum(self.areas[each] for each in missing) > most_mm2:
                return
        self.laid, self.missing = laid, missing

    def _taken_out(self) -> list[int]:
        first = self.random.choice(sorted(self.laid))
        beside = [number for number in sorted(self.laid) if number != first and self._near(first, number)]
        return [first, *self.random.sample(beside, min(self.random.choice(TAKEN_OUT) - 1, len(beside)))]

    def _near(self, one: int, two: int) -> bool:
        (left, low, right, top), (x, y) = self.boxes[one], self.laid[one]
        (left2, low2, right2, top2), (x2, y2) = self.boxes[two], self.laid[two]
        across, along = (x2 - x) / MICRONS, (y2 - y) / MICRONS
        apart = max(left - right2 - across, left2 + across - right, low - top2 - along, low2 + along - top)
        return apart <= REACH_MM

    def _ordered(self, out: Sequence[int]) -> list[int]:
        """The parts to put in: by their size, more or less, or in any order; mostly those that had no place before all others."""
        order = [*self.missing, *out]
        self.random.shuffle(order)
        if self.random.random() < 1 / 2:
            order.sort(key=lambda number: -self.areas[number] * self.random.uniform(0.6, 1.4))
        if self.random.random() < FIRST:
            order.sort(key=lambda number: number not in self.missing)
        return order

    def _open_to(self, number: int, laid: Mapping[int, Step]) -> Paths:
        self.looks += 1
        return open_beside(self.parts.places[number], ((self.parts.barred(other, number), at) for other, at in laid.items()))

    def _corner(self, here: Paths, corner: tuple[int, int] | None) -> Step:
        places = [(x, y) for path in here for x, y in path]
        return (
            self.random.choice(places)
            if corner is None
            else min(places, key=lambda at: (at[0] * corner[0] + at[1] * corner[1], at))
        )
