"""The front door of strip packing: a quick start, search, and proof, each while the watch allows."""

import math
import random
from collections.abc import Callable, Sequence
from itertools import chain

from remnants.packing.rectpack_bins import STRIP_WAYS, shorter_strip
from remnants.packing.strip.beams import shorten_by_beams, shorten_quickly
from remnants.packing.strip.bounds import lower_bound
from remnants.packing.strip.exact_model import Drive, shorten
from remnants.packing.strip.no_waste import Dead, fill_tight
from remnants.packing.strip.problem import StripPacking, StripProblem, WhyStopped
from remnants.packing.strip.skyline import Corners, fill, length_of
from remnants.packing.watch import Watch

__all__ = ["pack_roughly", "pack_strip"]

Told = Callable[[int, int], None]

MOST_TO_PROVE = 60
"""Beyond this many items the exact model only slows the search."""

TIGHT_ORDERS, TIGHT_ORDERS_WHOLE = 24, 240
TIGHT_NODES = 3000
PRESS_SHARE, PRESS_SHARE_WHOLE = 0.05, 0.1
"""Shares of the time for packing without waste: more where the bound leaves none at all."""

FEW = 25
"""Up to so many items packing without waste is tried before anything else; beyond, search comes first."""

NARROW_SHARE = 0.4
"""Share of the time for the first narrow beams, which seldom take so long."""

BEAM_SHARE, BEAM_SHARE_MORE, BEAM_SHARE_MANY = 0.7, 0.85, 0.95
"""Shares of what is left for beams, which are the best at finding, up to `FEW` items, up to `MOST_TO_PROVE`, beyond; the rest
proves, which among many seldom ends."""

MOST_FOR_BEAMS = 250
"""Beyond so many items a step of a beam takes longer than it gains."""

BORROW_SHARE, BORROWS_PER_TRY, BORROW_ITEMS = 0.4, 5, 80
"""Share of what is left for rectpack's ways; so many are one try among so many items, and cost by the square of those."""

BORROW_OVER = 0.025
"""What lies above the bound by no more than this share isn't given to rectpack: where its best is nearer, beams come nearer
still. Of 41 published strips of over 30 items its best lies 1.3 % above the bound or more."""

SEARCH_SHARE, SEARCH_SHARE_MANY = 0.2, 0.4
SEARCH_TRIES_PER_ITEM, SEARCH_TRIES_PER_ITEM_MANY = 20, 200
PROVE_SHARE_MANY = 0.5
"""Beyond a few items the proof seldom ends: what it leaves of the time goes to search once more."""


def pack_strip(
    problem: StripProblem,
    *,
    watch: Watch,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
    start: Sequence[tuple[int, int]] | None = None,
) -> StripPacking:
    """Lays the items on the strip for the least length found before the watch is over, with a bound on the least there is.

    `told(length, bound)` hears of each better plan. Same problem, seed, tries and `start` (the corners of a plan that is known
    already): same plan, never longer than the start.
    """
    state = _State(problem, seed, watch, told)
    _start(state)
    if start and length_of(problem.items, start) < state.length:
        state.better(list(start))
        state.order = sorted(range(len(start)), key=lambda place: start[place][::-1])
    for step in (*((_press,) if len(problem.items) <= FEW else (_narrow_beams, _borrow)), _beams, _search, _prove, _search_on):
        if state.length > state.bound and not watch.over():
            step(state)
    tries = round(watch.tries)
    return StripPacking(tuple(state.corners), state.length, state.bound, _why(state), tries, watch.seconds_used(), seed)


def pack_roughly(problem: StripProblem) -> tuple[int, Corners]:
    """Length and corners of the shortest of a few plans made at once, without a bound: what a search compares by."""
    best: tuple[int, Corners] = (0, [])
    least = max(-(-problem.area // problem.width), max((item.length for item in problem.items), default=0))
    for order in _orders(problem) if problem.items else ():
        best = fill(problem, order, best[0] or None) or best
        if best[0] <= least:
            break
    return best


class _State:
    """The best plan so far; never leaves this module."""

    def __init__(self, problem: StripProblem, seed: int, watch: Watch, told: Told) -> None:
        self.problem = problem
        self.random = random.Random(seed)
        self.seed = seed
        self.watch = watch
        self.bound = lower_bound(problem)
        self.length = 0
        self.corners: Corners = []
        self.order = list(range(len(problem.items)))
        self.told = told

    def better(self, corners: Corners) -> None:
        """Takes a plan that is shorter than the best so far."""
        self.corners = corners
        self.length = length_of(self.problem.items, corners)
        self.told(self.length, self.bound)

    def take(self, corners: Sequence[tuple[int, int]]) -> None:
        """The same, and the items are in its order from now on: from the strip's start to its end."""
        self.better(list(corners))
        self.order = sorted(range(len(corners)), key=lambda place: corners[place][::-1])


def _why(state: _State) -> WhyStopped:
    if state.length <= state.bound:
        return WhyStopped.BEST_POSSIBLE
    if state.watch.stopped():
        return WhyStopped.ASKED
    return WhyStopped.TIME if state.watch.hurried else WhyStopped.LIMIT


def _orders(problem: StripProblem) -> list[list[int]]:
    """The orders that a person would try first: widest, longest, largest, and the largest round."""
    items = problem.items
    keys: tuple[Callable[[int], tuple[int, ...]], ...] = (
        lambda index: (items[index].width, items[index].length),
        lambda index: (items[index].length, items[index].width),
        lambda index: (items[index].width * items[index].length,),
        lambda index: (items[index].width + items[index].length,),
    )
    return [sorted(range(len(items)), key=key, reverse=True) for key in keys]


def _start(state: _State) -> None:
    """Always gives a plan, whatever the watch says."""
    if not state.problem.items:
        return
    for order in _orders(state.problem):
        state.watch.count()
        filled = fill(state.problem, order, state.length or None)
        if filled:
            state.order = order
            state.better(filled[1])


def _borrow(state: _State) -> None:
    """Takes rectpack's plan where one of its ways is shorter: with many items it is not to be better than ours."""
    items = state.problem.items
    if any(item.lattice for item in items) or state.length <= state.bound * (1 + BORROW_OVER):
        return
    parts, width = [(item.width, item.length) for item in items], state.problem.width
    watch = state.watch.part(BORROW_SHARE)
    effort = max(1.0, (len(items) / BORROW_ITEMS) ** 2) / BORROWS_PER_TRY
    for way in STRIP_WAYS:
        if watch.over():
            return
        watch.count(effort)
        found = shorter_strip(parts, width, shorter_than=state.length, least=state.bound, way=way)
        if found:
            state.take(found[1])


def _press(state: _State) -> None:
    """Looks for a plan as short as the bound, with next to no waste."""
    indexes = list(range(len(state.problem.items)))
    whole = state.problem.width * state.bound == state.problem.area
    watch = state.watch.part(PRESS_SHARE_WHOLE if whole else PRESS_SHARE)
    dead: set[Dead] = set()
    shuffled = (state.random.sample(indexes, len(indexes)) for _ in range(TIGHT_ORDERS_WHOLE if whole else TIGHT_ORDERS))
    for count, order in enumerate(chain(_orders(state.problem), shuffled)):
        if watch.over():
            return
        watch.count()
        nodes = TIGHT_NODES * (1 + count // TIGHT_ORDERS)
        corners = fill_tight(state.problem, state.bound, order=order, nodes=nodes, watch=watch, dead=dead)
        if corners is not None:
            state.better(list(corners))
            return


def _narrow_beams(state: _State) -> None:
    """A few beams at once where there are many items: what is tried after them has the less to find."""
    if _beams_may_help(state):
        shorten_quickly(
            state.problem, length=state.length, bound=state.bound, watch=state.watch.part(NARROW_SHARE), better=state.take
        )


def _beams(state: _State) -> None:
    """Shorter by looking on from many skylines at once."""
    count = len(state.problem.items)
    if _beams_may_help(state):
        more = BEAM_SHARE_MORE if count <= MOST_TO_PROVE else BEAM_SHARE_MANY
        watch = state.watch.part(BEAM_SHARE if count <= FEW else more)
        begun = count > FEW
        shorten_by_beams(state.problem, length=state.length, bound=state.bound, watch=watch, better=state.take, begun=begun)


def _beams_may_help(state: _State) -> bool:
    items = state.problem.items
    return len(items) <= MOST_FOR_BEAMS and not any(item.lattice for item in items)


def _search(state: _State) -> None:
    """Changes places in the order while that helps, for a share of what is left."""
    count = len(state.problem.items)
    share, tries = (SEARCH_SHARE, SEARCH_TRIES_PER_ITEM) if count <= FEW else (SEARCH_SHARE_MANY, SEARCH_TRIES_PER_ITEM_MANY)
    _change_places(state, state.watch.part(share, tries=tries * count))


def _change_places(state: _State, watch: Watch) -> None:
    count = len(state.problem.items)
    filled = fill(state.problem, state.order, None)
    if count < 2 or filled is None:
        return
    current = filled[0]
    while state.length > state.bound and not watch.over():
        watch.count()
        order = list(state.order)
        for _ in range(state.random.choice((1, 1, 2, 3))):
            one, other = state.random.sample(range(count), 2)
            order[one], order[other] = order[other], order[one]
        filled = fill(state.problem, order, current + 1)
        if filled is None:
            continue
        state.order, current = order, filled[0]
        if filled[0] < state.length:
            state.better(filled[1])


def _prove(state: _State) -> None:
    count = len(state.problem.items)
    if count > MOST_TO_PROVE:
        return
    watch = state.watch if count <= FEW else state.watch.part(PROVE_SHARE_MANY)
    if math.isinf(watch.tries_left()):
        _drive(state, Drive.ALL, watch)
        return
    _drive(state, Drive.FIND, watch.part(0.5))
    if state.length > state.bound and not watch.over():
        _drive(state, Drive.PROVE, watch)


def _drive(state: _State, drive: Drive, watch: Watch) -> None:
    found = shorten(
        state.problem,
        best=state.corners,
        length=state.length,
        bound=state.bound,
        watch=watch,
        seed=state.seed,
        drive=drive,
        told=state.told,
    )
    state.bound = found.bound
    if found.corners is not None:
        state.better(list(found.corners))


def _search_on(state: _State) -> None:
    """What time is left after a proof that did not end goes to search (only with a limit, or it would not end)."""
    if state.watch.limited():
        _change_places(state, state.watch)
