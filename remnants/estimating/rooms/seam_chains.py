"""Where the side seams of one room at one bearing may lie: sets of places, the most promising first, found with bounded work.

What a breadth takes and what its seam weighs are added up along the room, so the best sets are shortest ways over the places: the
least that the rest of a room still costs is known from every place before a set is begun, and no set is begun that has no end.
"""

import heapq
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from itertools import islice

from remnants.estimating.rooms.breadth_lengths import BreadthLengths
from remnants.estimating.rooms.room_at_bearing import Site
from remnants.geometry import TOLERANCE_MM
from remnants.geometry.turn import between, turned_point

__all__ = ["chains", "places_of"]

MOST_CHAINS = 100
"""Sets of seam places kept for one number of seams by each of the two measures."""

MOST_BREADTHS, MOST_BREADTHS_SLANTED = 20_000, 1_500
"""Pairs of places looked at: in a room whose places make more, those that matter least are left out. Slanted walls are dearer."""

MICRON = 1e-3
"""Costs (mm) that differ by less are alike: the order of sums must not decide."""

Chain = tuple[float, ...]
Cost = Callable[[float, float], float | None]


def chains(site: Site) -> Iterator[Chain]:
    """Sets of seam places in which every breadth can be cut from the roll: the fewest seams that do, then one more.

    Of each number the best few: by the roll that the breadths take side by side with others like them, and by area.
    """
    left, _, right, _ = site.outer
    width = site.roll.width_mm
    lone = right - left <= width + TOLERANCE_MM
    if lone:
        yield ()
    lengths = BreadthLengths(site)
    searches = [_Search(site, cost) for cost in (_beside(site, lengths), _area(site, lengths))]
    fewest = max(1, int((right - left - TOLERANCE_MM) // width))
    most = 2 * fewest + 2 if site.between_seams_mm <= 0 else max(fewest + 2, int((right - left) / site.between_seams_mm) + 2)
    found = 0
    for count in range(fewest, most + 1):
        kept = [chain for search in searches for chain in islice(search.best(count), MOST_CHAINS)]
        yield from dict.fromkeys(kept)
        if found:
            return
        found += len(kept)


def _area(site: Site, lengths: BreadthLengths) -> Cost:
    """What a breadth takes by its area, as length of roll (mm)."""

    def cost(low: float, high: float) -> float | None:
        parts = lengths.of(low, high)
        return None if parts is None else sum(wide * long for wide, long in parts) / site.roll.width_mm

    return cost


def _beside(site: Site, lengths: BreadthLengths) -> Cost:
    """What a breadth takes where as many like it lie side by side as the roll holds, as length of roll (mm)."""

    def cost(low: float, high: float) -> float | None:
        parts = lengths.of(low, high)
        if parts is None:
            return None
        return sum(long / max(1, int((site.roll.width_mm + TOLERANCE_MM) // wide)) for wide, long in parts)

    return cost


class _Search:
    """Sets of places by rising cost; knows the least that every rest costs."""

    def __init__(self, site: Site, cost: Cost) -> None:
        self._start, _, self._end, _ = site.floor.bounds
        self._places = places_of(site)
        self._seams = [sum(weight for _, weight in site.side_seams(place)) for place in self._places]
        self._breadths = [self._reached(site, cost, place) for place in (*self._places, self._start)]
        ends = [self._to_end(site, cost, place) for place in self._places]
        self._rests: list[list[float | None]] = [ends]
        self._after: dict[tuple[int, int], list[tuple[float, float, int]]] = {}

    def _reached(self, site: Site, cost: Cost, low: float) -> list[tuple[int, float]]:
        """Every place to which a breadth from `low` may reach, with what breadth and seam cost."""
        least, seam = site.rules.least_fill_mm - TOLERANCE_MM, site.rules.seam_mm
        outer = site.outer[0] if low == self._start else low - seam
        found = []
        for index in range(bisect_left(self._places, low + least), len(self._places)):
            place = self._places[index]
            if place + seam - outer > site.roll.width_mm + TOLERANCE_MM:
                break
            if place > low and (taken := cost(low, place)) is not None:
                found.append((index, taken + self._seams[index]))
        return found

    def _to_end(self, site: Site, cost: Cost, low: float) -> float | None:
        """What the last breadth costs from this place to the wall; None where it can't be cut."""
        wide = site.outer[2] - low + site.rules.seam_mm
        if wide > site.roll.width_mm + TOLERANCE_MM or self._end - low < site.rules.least_fill_mm - TOLERANCE_MM:
            return None
        return cost(low, self._end)

    def best(self, count: int) -> Iterator[Chain]:
        """Every set of `count` places (1 or more), the cheapest first."""
        first = self._next(len(self._places), count)
        if not first:
            return
        heap: list[tuple[float, Chain, float, int, int, int]] = [(first[0][0], (), 0.0, len(self._places), count, 0)]
        while heap:
            _, taken, cost, at, left, rank = heapq.heappop(heap)
            ways = self._next(at, left)
            if rank + 1 < len(ways):
                heapq.heappush(heap, (_rounded(cost + ways[rank + 1][0]), taken, cost, at, left, rank + 1))
            _, step, place = ways[rank]
            chain = (*taken, self._places[place])
            if left == 1:
                yield chain
            else:
                beyond = self._next(place, left - 1)
                heapq.heappush(heap, (_rounded(cost + step + beyond[0][0]), chain, cost + step, place, left - 1, 0))

    def _next(self, at: int, left: int) -> list[tuple[float, float, int]]:
        """Where the next of `left` seams may lie after place `at`: (least cost of all that is left, of this step, place)."""
        if (at, left) not in self._after:
            rests = self._rest(left - 1)
            ways = [(step + rest, step, place) for place, step in self._breadths[at] if (rest := rests[place]) is not None]
            self._after[at, left] = sorted(ways, key=lambda way: (_rounded(way[0]), way[2]))
        return self._after[at, left]

    def _rest(self, left: int) -> list[float | None]:
        """For every place the least that the floor beyond it costs with so many seams more; None where that can't be."""
        while len(self._rests) <= left:
            before = self._rests[-1]
            self._rests.append(
                [
                    min((step + rest for place, step in self._breadths[at] if (rest := before[place]) is not None), default=None)
                    for at in range(len(self._places))
                ]
            )
        return self._rests[left]


def _rounded(cost_mm: float) -> float:
    return round(cost_mm / MICRON) * MICRON


def places_of(site: Site) -> list[float]:
    """Where a seam may well lie, rising: full breadths from either wall, sides of doorways, the middle, corners; fills.

    A fill is best as wide as goes evenly into the roll's width (constructionwork.com/resource/carpet-and-vinyl: 1, 2, 3, 4, 6 ft
    of 12 ft goods), or as wide as another floor leaves beside it. In a room that has too many, those told last here are left out.
    """
    start, _, end, _ = site.floor.bounds
    reach = int((end - start) / max(min(_steps(site)), 1.0)) + 1
    most = MOST_BREADTHS if site.is_straight else MOST_BREADTHS_SLANTED
    kept: list[float] = []
    for anchor, repeats in _anchors(site):
        shifts = [index * step for step in _steps(site) for index in range(-reach, reach + 1)] if repeats else [0.0]
        more = _apart(sorted([*kept, *(anchor + shift for shift in shifts if _inside(anchor + shift, start, end))]))
        if kept and _pairs(more, site.roll.width_mm) > most:
            break
        kept = more
    return kept


def _inside(place: float, start: float, end: float) -> bool:
    return start + TOLERANCE_MM < place < end - TOLERANCE_MM


def _apart(places: Sequence[float]) -> list[float]:
    return [place for index, place in enumerate(places) if index == 0 or place - places[index - 1] > TOLERANCE_MM]


def _pairs(places: Sequence[float], within: float) -> int:
    """Pairs of places no further apart than this."""
    return sum(bisect_left(places, place + within) - index - 1 for index, place in enumerate(places))


def _steps(site: Site) -> list[float]:
    """Net widths of a breadth between two seams: the roll's, and as many whole repeats as it holds."""
    steps = [site.between_seams_mm]
    repeat = site.roll.repeat
    if repeat and repeat.across_mm <= site.between_seams_mm:
        steps.append(repeat.across_mm * ((site.between_seams_mm + TOLERANCE_MM) // repeat.across_mm))
    return list(dict.fromkeys(steps))


def _anchors(site: Site) -> Iterator[tuple[float, bool]]:
    """Places from which breadths are counted, what matters most first; False for those from which they aren't."""
    left, _, right, _ = site.outer
    start, _, end, _ = site.floor.bounds
    width, seam = site.roll.width_mm, site.rules.seam_mm
    yield from ((place, True) for place in (left + width - seam, right - width + seam))
    repeat = site.roll.repeat
    if repeat and repeat.across_mm <= site.between_seams_mm:
        full = repeat.across_mm * ((width - 2 * seam + TOLERANCE_MM) // repeat.across_mm)
        yield from ((place, True) for place in (left + seam + full, right - seam - full))
    for fill in (*(width / count for count in (2, 3, 4, 6, 12)), *site.fills_mm):
        yield from ((place, False) for place in (left + fill - seam, right - fill + seam))
    turn = between(site.pile_deg, 0.0)
    yield from ((turned_point(point, turn)[0], True) for door in site.room.doorways for point in (door.start, door.end))
    yield from ((place, True) for place in ((start + end) / 2, (start + end - site.between_seams_mm) / 2))
    yield from ((place, True) for place in (start + site.rules.least_fill_mm, end - site.rules.least_fill_mm))
    yield from ((x, True) for x in sorted({x for ring in (site.floor.ring, *site.floor.cutouts) for x, _ in ring}))
