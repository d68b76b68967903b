"""One beam after another, wider and wider, each for a length shorter than the best so far."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from remnants.packing.strip.beam import Filled, Guide, fill_by_beam
from remnants.packing.strip.problem import Item, StripProblem
from remnants.packing.watch import Watch

__all__ = ["shorten_by_beams"]

Corners = tuple[tuple[int, int], ...]

LARGE_FIRST = Guide(waste=50.0, small=1.4, steps=0.3, level=-0.05, filled=-0.15, uneven=0.15)
EVEN = Guide(waste=33.0, small=0.2, uneven=0.05)
WASTE_MATTERS_LESS, SIZE_MATTERS_MORE = replace(EVEN, waste=20.0), replace(EVEN, small=0.3)
"""The guides; their figures were found by trial on strips cut up whole (`tests/bench/strips.py`). The first is best at leaving no
waste among few items, the others at little waste; of those each is best on some strips."""

FEW = 40

NARROWEST, WIDEST, TIMES_WIDER = 100, 20_000, 5
"""Skylines kept by the first beams and by the last."""

HALVINGS = 5
"""Lengths above the bound that one beam tries."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A guide, whether the strip is filled from its side, and whether the bound and what lies above it are tried."""

    guide: Guide
    turned: bool = False
    at_bound: bool = True
    above: bool = True


WAYS_FEW = _Way(LARGE_FIRST, above=False), _Way(LARGE_FIRST, turned=True, above=False), _Way(EVEN, at_bound=False)
WAYS_MANY = (
    _Way(EVEN),
    _Way(WASTE_MATTERS_LESS, turned=True, at_bound=False),
    _Way(SIZE_MATTERS_MORE, at_bound=False),
    _Way(EVEN, turned=True, at_bound=False),
)


def shorten_by_beams(problem: StripProblem, *, length: int, bound: int, watch: Watch, better: Callable[[Corners], None]) -> None:
    """Tells `better` of each packing found that is shorter than `length`; ends at `bound`.

    The items must have no lattice. Beams grow wider until none had to leave a skyline out.
    """
    best, most, cut_short = length, NARROWEST, True
    while most <= WIDEST and cut_short:
        cut_short = False
        for way in WAYS_FEW if len(problem.items) <= FEW else WAYS_MANY:
            low, target = bound, bound if way.at_bound else (bound + best) // 2
            for _ in range(way.at_bound + HALVINGS * way.above):
                if best <= bound or watch.over():
                    return
                if target >= best:
                    break
                filled = _filled(problem, target, most, way, watch)
                cut_short |= filled.cut_short
                if filled.corners is None:
                    low = target + 1
                else:
                    best = max(y + item.length for (_, y), item in zip(filled.corners, problem.items, strict=True))
                    better(filled.corners)
                target = (low + best) // 2
        most *= TIMES_WIDER


def _filled(problem: StripProblem, length: int, most: int, way: _Way, watch: Watch) -> Filled:
    if not way.turned:
        return fill_by_beam(problem, length, most=most, guide=way.guide, watch=watch)
    if any(item.length > length for item in problem.items):
        return Filled(None, False)
    across = StripProblem(length, tuple(Item(item.length, item.width) for item in problem.items))
    filled = fill_by_beam(across, problem.width, most=most, guide=way.guide, watch=watch)
    corners = None if filled.corners is None else tuple((y, x) for x, y in filled.corners)
    return Filled(corners, filled.cut_short)
