"""Seams wherever the roll wants them: rectangular rooms divided while they are packed, each breadth as wide as the gap it fills.

A room's own ways are made of places where a fitter might put a seam. A shorter roll is often had from a breadth just as wide as
others leave beside it, which only the packing tells.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, permutations

from remnants.estimating.pattern_places import microns
from remnants.estimating.roll.choices import LEAST_SAVED_MM, Seen
from remnants.estimating.roll.room_ways import Bearing
from remnants.estimating.roll.work import Work
from remnants.estimating.roll_lengths import fits_one_roll
from remnants.estimating.rooms.layings import lay_with_seams
from remnants.estimating.rooms.room_at_bearing import Site
from remnants.model.order_plan import Laying
from remnants.model.rooms import Room
from remnants.packing import QUICK, Divided, DividedProblem, Divisible, Piece, Watch, shorten_by_starts, shorten_divided

__all__ = ["seams_anywhere"]

SKYLINES = 100
"""Skylines kept at a time."""

MOST_AT_ONCE, AT_A_TIME = 14, 8
"""More floors than this are packed some at a time, one lot behind the other."""

MOST_SKYLINES, SKYLINES_A_TRY, BOUND_TIMES = 60, 4, 1.15
"""Of each lot so many skylines are kept at most, as many as there are tries for it; and its length looked for below its bound
times this."""

STARTS_SHARE = 0.25
"""Share of what is then left, for seams of a few floors at widths that follow from each other."""

LEAST_FLOORS, LEAST_TRIES = 4, 10
"""Of fewer floors the shortest is mostly found before; with less effort nothing would be."""

MOST_ORDERS = 120
"""Orders of a room's breadths that are looked at for the one whose seams lie best."""

SPARE_MICRONS = 2
"""A room is taken so much wider, so that no sum of its breadths falls short by rounding."""

Corner = tuple[int, int]


@dataclass(frozen=True)
class _Floor:
    """What is packed as one item: a room that may be divided, at each of its `sites`, or one cut of a floor that may not be."""

    item: Divisible
    place: int
    """Which laying of a whole it belongs to."""
    sites: tuple[Site, ...] = ()
    cut: int = 0
    """Which cut of that laying it is."""

    def way_in(self, whole: Seen) -> int:
        """Its way in that whole."""
        piles = [site.pile_deg for site in self.sites]
        return piles.index(whole.layings[self.place].pile_deg) if piles else 0


def seams_anywhere(work: Work, groups: Sequence[Sequence[Bearing]], seen: Sequence[Seen], watch: Watch) -> Iterator[Seen]:
    """Wholes that take less roll than any of `seen` with no more seams, the shortest first and then with fewer and fewer seams.

    Floors that are no rectangles stay as they are in the shortest that was seen. None where the goods have a pattern.
    """
    if work.roll.repeat or work.roll.width_mm <= 2 * work.rules.seam_mm:
        return
    base = min(seen, key=lambda each: (each.length_mm, each.drawback_mm))
    floors = _floors(work, groups, base)
    if all(floor.item.whole for floor in floors):
        return
    if len(floors) > MOST_AT_ONCE:
        yield from _by_lots(work, floors, base, watch)
        return
    problem = _problem(work, floors)
    bound = -(-problem.least_area() // problem.width)
    before, most = list(seen), max(each.seams for each in seen)
    limit: int | None = None
    while not watch.over() and (limit is None or limit >= 0):
        known = min((each.length_mm for each in before if limit is None or each.seams <= limit), default=math.inf)
        top = known - (0.0 if limit is None else LEAST_SAVED_MM)
        found = shorten_divided(
            problem,
            shorter_than=microns(min(top, 2 * bound / 1000)),
            bound=bound,
            most=SKYLINES,
            watch=watch,
            most_divisions=limit,
        )
        whole = _laid(work, floors, base, found) if found else None
        if whole and whole.length_mm < top:
            yield whole
            before.append(whole)
            most = max(most, whole.seams) if limit is None else most
        limit = most = most - 1  # fewer each time, also where rounding gave a whole a seam more than asked
    yield from _by_starts(work, floors, min(before, key=lambda each: each.length_mm), work.watch.part(STARTS_SHARE))


def _by_starts(work: Work, floors: Sequence[_Floor], shortest: Seen, watch: Watch) -> Iterator[Seen]:
    """A whole that is shorter yet, of a few floors with the pile as it lies in the shortest that was seen."""
    if len(floors) < LEAST_FLOORS or watch.tries_left() < LEAST_TRIES:
        return
    problem = _problem(work, floors)
    found = shorten_by_starts(
        problem,
        [floor.way_in(shortest) for floor in floors],
        shorter_than=microns(shortest.length_mm),
        bound=-(-problem.least_area() // problem.width),
        watch=watch,
    )
    whole = _laid(work, floors, shortest, found) if found else None
    if whole and whole.length_mm < shortest.length_mm:
        yield whole


def _by_lots(work: Work, floors: Sequence[_Floor], base: Seen, watch: Watch) -> Iterator[Seen]:
    """A whole of many floors, some packed after the others, where that takes less roll than the base."""
    starts = range(0, len(floors), AT_A_TIME)
    pieces: list[Piece] = []
    end = 0
    for place, start in enumerate(starts):
        part = watch.part(1 / (len(starts) - place))
        problem = _problem(work, floors[start : start + AT_A_TIME])
        bound = -(-problem.least_area() // problem.width)
        found = shorten_divided(
            problem,
            shorter_than=int(bound * BOUND_TIMES),
            bound=bound,
            most=max(1, int(min(MOST_SKYLINES, SKYLINES_A_TRY * part.tries_left()))),
            watch=part,
            guides=(QUICK,),
        )
        if found is None:
            return
        pieces += [replace(piece, item=piece.item + start, y=piece.y + end) for piece in found.pieces]
        end += found.length
    whole = _laid(work, floors, base, Divided(tuple(pieces), end))
    if whole and whole.length_mm < base.length_mm:
        yield whole


def _floors(work: Work, groups: Sequence[Sequence[Bearing]], base: Seen) -> list[_Floor]:
    """Where there are many, and so packed some at a time, connected rooms keep the bearing of the base."""
    found: list[_Floor] = []
    many = len(base.layings) > MOST_AT_ONCE
    rooms = [*work.floors.groups, *(() for _ in work.floors.stairs)]
    place = 0
    for turn, (group, bearings) in enumerate(zip(rooms, groups, strict=True)):
        degrees = [bearing[0][0].pile_deg for bearing in bearings]
        sites = [[_site(work, room, pile) for room in group] for pile in degrees]
        good = [each for each in sites if all(site.is_rectangle for site in each)] if group else []
        if len(group) > 1 and many:
            good = [each for each in good if each[0].pile_deg == base.layings[place].pile_deg]
        for index in range(len(bearings[0])):
            if good:
                at = tuple(each[index] for each in good)
                sizes = tuple(_size(work, site) for site in at)
                found.append(_Floor(Divisible(sizes, turn), place, at))
            else:
                found += _whole_cuts(work, base.layings[place], place, len(rooms) + len(found))
            place += 1
    return found


def _whole_cuts(work: Work, laying: Laying, place: int, turn: int) -> list[_Floor]:
    items = work.problem(laying.cuts).items
    return [
        _Floor(Divisible(((item.width, item.length),), turn + index, whole=True), place, cut=index)
        for index, item in enumerate(items)
    ]


def _site(work: Work, room: Room, pile_deg: float) -> Site:
    return Site(room, pile_deg, roll=work.roll, rules=work.rules, construction=work.construction)


def _size(work: Work, site: Site) -> tuple[int, int]:
    """Width with its trims, and the length to cut (µm)."""
    left, low, right, high = site.outer
    return math.ceil(round((right - left) * 1000, 3)) + SPARE_MICRONS, microns(work.rules.cut_length_mm(high - low, None))


def _problem(work: Work, floors: Sequence[_Floor]) -> DividedProblem:
    rules = work.rules
    turns = {turn: place for place, turn in enumerate(dict.fromkeys(floor.item.turn for floor in floors))}
    items = tuple(Divisible(floor.item.sizes, turns[floor.item.turn], floor.item.whole) for floor in floors)
    trims = max((max(site.room.trims_mm) for floor in floors for site in floor.sites), default=0.0)
    step = max(1, microns(rules.cut_step_mm))
    least = rules.least_fill_mm + max(trims, rules.seam_mm) + rules.seam_mm
    steps = -(-(microns(least) + SPARE_MICRONS) // step)
    return DividedProblem(microns(work.roll.width_mm), items, microns(2 * rules.seam_mm), max(1, steps) * step, step)


def _laid(work: Work, floors: Sequence[_Floor], base: Seen, found: Divided) -> Seen | None:
    """The whole that is laid and packed so; None where a room can't be laid so, or would be cut from more than one roll."""
    layings = list(base.layings)
    corners: list[dict[int, Corner]] = [{} for _ in layings]
    for index, floor in enumerate(floors):
        pieces = found.of(index)
        if floor.item.whole:
            corners[floor.place][floor.cut] = pieces[0].x, pieces[0].y
            continue
        laid = _best_order(floor.sites[pieces[0].way], [piece.width for piece in pieces])
        if laid is None or not fits_one_roll(laid[0], work.roll):
            return None
        layings[floor.place], order = laid
        corners[floor.place] = {cut: (pieces[piece].x, pieces[piece].y) for cut, piece in enumerate(order)}
    cuts = [cut for laying in layings for cut in laying.cuts]
    at = [each[cut] for each, laying in zip(corners, layings, strict=True) for cut in range(len(laying.cuts))]
    work.remember(cuts, at)
    return Seen(work.quick_mm(cuts), tuple(layings))


def _best_order(site: Site, widths: Sequence[int]) -> tuple[Laying, tuple[int, ...]] | None:
    """The room in breadths so wide (µm), in the order in which its seams weigh least, and which width each breadth has."""
    orders = {tuple(widths[each] for each in order): order for order in islice(permutations(range(len(widths))), MOST_ORDERS)}

    def weight(order: tuple[int, ...]) -> float:
        return sum(weight for place in _places(site, [widths[each] for each in order]) for _, weight in site.side_seams(place))

    for order in sorted(orders.values(), key=lambda order: (round(weight(order), 6), order)):
        laying = lay_with_seams(site, _places(site, [widths[each] for each in order]))
        if laying is not None:
            return laying, order
    return None


def _places(site: Site, widths: Sequence[int]) -> list[float]:
    """Where the seams lie between breadths that are cut so wide (µm); the last is as wide as is left."""
    place, found = site.outer[0], []
    for width in widths[:-1]:
        place += width / 1000 - site.rules.seam_mm
        found.append(place)
        place -= site.rules.seam_mm
    return found
