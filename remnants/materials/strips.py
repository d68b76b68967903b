"""Tack strip cut from stock lengths with the fewest lengths. Lengths mm."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.geometry.outline import TOLERANCE_MM

__all__ = ["StockLength", "cut_strips"]

MOST_TRIES = 20_000
"""Tries of the search before the best found so far is kept: more than any job of a patch needs."""


@dataclass(frozen=True, slots=True)
class StockLength:
    """One stock length and the pieces cut from it, longest first (mm)."""

    pieces: tuple[float, ...]
    rest_mm: float


def cut_strips(runs_mm: Sequence[float], stock_mm: float) -> tuple[StockLength, ...]:
    """The stock lengths to open for runs of strip, and what is cut from each; fewest lengths first of all.

    A run longer than a stock length takes whole ones and a rest. Rests go together on as few lengths as can be: first the
    longest where it fits, then a search that stops when no fewer are possible, or after a fixed number of tries.
    """
    whole: list[StockLength] = []
    rests: list[float] = []
    for run in runs_mm:
        full = math.floor((run + TOLERANCE_MM) / stock_mm)
        whole += [StockLength((stock_mm,), 0.0)] * full
        rest = run - full * stock_mm
        if rest > TOLERANCE_MM:
            rests.append(rest)
    rests.sort(reverse=True)
    shared = _fewest(rests, stock_mm)
    return (*whole, *(StockLength(tuple(pieces), max(0.0, stock_mm - sum(pieces))) for pieces in shared))


def _fewest(rests: list[float], stock_mm: float) -> list[list[float]]:
    best = _first_fit(rests, stock_mm)
    least = math.ceil((sum(rests) - TOLERANCE_MM) / stock_mm)
    tries = MOST_TRIES
    while len(best) > least and tries > 0:
        found, tries = _into(rests, len(best) - 1, stock_mm, tries)
        if found is None:
            break
        best = found
    return best


def _first_fit(rests: Sequence[float], stock_mm: float) -> list[list[float]]:
    lengths: list[list[float]] = []
    for rest in rests:
        for pieces in lengths:
            if sum(pieces) + rest <= stock_mm + TOLERANCE_MM:
                pieces.append(rest)
                break
        else:
            lengths.append([rest])
    return lengths


def _into(rests: Sequence[float], count: int, stock_mm: float, tries: int) -> tuple[list[list[float]] | None, int]:
    """The rests on `count` lengths, or None when they can't be, or were not within the tries; and the tries left."""
    lengths: list[list[float]] = [[] for _ in range(count)]
    left = tries

    def place(index: int) -> bool:
        nonlocal left
        if index == len(rests):
            return True
        seen: set[float] = set()
        for pieces in lengths:
            used = round(sum(pieces), 3)
            left -= 1
            if left < 0 or used in seen or used + rests[index] > stock_mm + TOLERANCE_MM:
                continue
            seen.add(used)
            pieces.append(rests[index])
            if place(index + 1):
                return True
            pieces.pop()
        return False

    found = place(0)
    return (lengths if found else None), max(left, 0)
