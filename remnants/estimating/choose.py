"""The front door: from floors, stock and rules to the order. Rooms are laid in the ways that together take least roll."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, islice, product

from remnants.errors import NoPlan
from remnants.estimating.layouts import lay_room, lay_stairs
from remnants.estimating.leftovers import leftovers_of
from remnants.estimating.patterns import item_of, microns
from remnants.estimating.plan import ROLL, Cut, Laying, OrderPlan, Placed, Sum
from remnants.estimating.rooms import Floors, Room
from remnants.estimating.rules import Roll, Rules
from remnants.estimating.stock_use import Option, lay_on_stock, options, usable_stock, views
from remnants.geometry import Point
from remnants.geometry.turn import between, turned_point
from remnants.model import Candidate, Construction, PassedOver
from remnants.packing import StripPacking, StripProblem, Watch, pack_strip

__all__ = ["Told", "order_from_roll", "order_with_stock"]

Told = Callable[[float, float], None]
"""Is told of each better plan: roll taken and the least possible for its cuts (mm)."""

QUICK_TRIES = 4
WAYS_KEPT = 4
MOST_WAYS = 300
MOST_BEARINGS = 4
MOST_COMBINATIONS = 64
FINALISTS = 3
MOST_OPTIONS = 8
"""Options of stock tried in every combination; more are taken one by one, largest first."""


@dataclass(frozen=True)
class _Work:
    """What does not change during a search."""

    floors: Floors
    roll: Roll
    rules: Rules
    construction: Construction
    seed: int
    watch: Watch
    told: Told

    def pack(self, cuts: Iterable[Cut], watch: Watch) -> StripPacking:
        """The cuts laid on the roll."""
        problem = StripProblem(microns(self.roll.width_mm), tuple(item_of(cut, self.roll.repeat) for cut in cuts))
        return pack_strip(problem, watch=watch, seed=self.seed, told=lambda length, bound: self.told(length / 1000, bound / 1000))

    def quick_mm(self, cuts: Iterable[Cut]) -> float:
        """Roughly the roll that the cuts take (mm)."""
        problem = StripProblem(microns(self.roll.width_mm), tuple(item_of(cut, self.roll.repeat) for cut in cuts))
        return pack_strip(problem, watch=Watch(tries=QUICK_TRIES), seed=self.seed).length / 1000


def order_from_roll(
    floors: Floors,
    roll: Roll,
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """The order with everything cut from new roll.

    Raises NoPlan when a room can't be laid within the rules, naming it.
    """
    work = _Work(floors, roll, rules, construction, seed, watch, told)
    best: OrderPlan | None = None
    for index, layings in enumerate(finalists := _finalists(work)):
        cuts = [cut for laying in layings for cut in laying.cuts]
        packing = work.pack(cuts, watch.part(1 / (len(finalists) - index)))
        plan = _plan(work, layings, cuts, packing)
        best = plan if best is None or (plan.merit_mm, len(plan.seams)) < (best.merit_mm, len(best.seams)) else best
    assert best is not None, "every floor has a way to be laid"
    return best


def order_with_stock(
    plan: OrderPlan,
    floors: Floors,
    stock: Sequence[Candidate],
    *,
    rules: Rules,
    watch: Watch,
    construction: Construction = Construction.CUT,
    seed: int = 0,
    told: Told = lambda _length, _bound: None,
) -> OrderPlan:
    """The same layings with what stock can give: the least roll; `plan` itself where stock gives nothing."""
    work = _Work(floors, plan.roll, rules, construction, seed, watch, told)
    usable, passed = usable_stock(stock, plan.roll)
    groups = views(floors, plan.layings)
    cuts = [cut for group in groups for cut in group]
    best: tuple[tuple[float, int, float], tuple[Placed, ...]] = ((plan.length_mm, 0, 0.0), ())
    for chosen in _choices(list(options(groups, usable, plan.roll)), watch):
        placed = lay_on_stock(chosen, plan.roll)
        if placed is None:
            continue
        names = {each.cut.name for each in placed}
        rest = [cut for cut in cuts if cut.name not in names]
        spoiled = sum(each.piece.outline.usable_area_mm2 for each in usable if each.piece.tag in {p.source for p in placed})
        merit = work.quick_mm(rest), len({each.source for each in placed}), spoiled
        if merit < best[0]:
            best = merit, placed
    if not best[1]:
        return _with(plan, passed)
    names = {each.cut.name for each in best[1]}
    rest = [cut for cut in cuts if cut.name not in names]
    return _plan(work, plan.layings, rest, work.pack(rest, watch), from_stock=best[1], stock=usable, passed=passed)


def _choices(found: Sequence[Option], watch: Watch) -> Iterable[tuple[Option, ...]]:
    """Sets of options that take no cut twice: all of them where they are few, else the largest one by one."""
    possible = [option for option in found if _may_suffice(option)]
    possible.sort(key=lambda option: -sum(cut.width_mm * cut.length_mm for cut in option.cuts))
    if len(possible) > MOST_OPTIONS:
        taken: tuple[Option, ...] = ()
        for option in possible:
            yield (option,)
            if _apart((*taken, option)):
                taken = (*taken, option)
                yield taken
        possible = possible[:MOST_OPTIONS]
    for size in range(1, len(possible) + 1):
        for chosen in combinations(possible, size):
            if watch.over():
                return
            if _apart(chosen):
                yield chosen


def _may_suffice(option: Option) -> bool:
    """False when the pieces are too small in all, which needs no search."""
    needed = sum(cut.width_mm * cut.length_mm for cut in option.cuts)
    return needed <= sum(each.piece.outline.usable_area_mm2 for each in option.stock) + 1.0


def _apart(chosen: Sequence[Option]) -> bool:
    names = [cut.name for option in chosen for cut in option.cuts]
    return len(names) == len(set(names))


def _finalists(work: _Work) -> list[tuple[Laying, ...]]:
    """The combinations of bearings and ways that look best by a quick packing."""
    groups = work.floors.groups
    bearings = [_bearings(group) for group in groups]
    ways: dict[tuple[str, float], list[Laying]] = {}
    found: list[tuple[float, tuple[Laying, ...]]] = []
    for combination in islice(product(*bearings), MOST_COMBINATIONS):
        if found and work.watch.over():
            break
        choices = []
        for group, bearing in zip(groups, combination, strict=True):
            for room in group:
                key = room.name, bearing
                if key not in ways:
                    ways[key] = _ways(work, room, bearing)
                choices.append(ways[key])
        if all(choices):
            choices += [_best_ways(work, lay_stairs(flight, work.rules, work.roll)) for flight in work.floors.stairs]
            found += _descend(work, choices)
    if not found:
        raise NoPlan(_no_way(work, ways))
    found.sort(key=lambda each: each[0])
    kept: list[tuple[Laying, ...]] = []
    for _, layings in found:
        if layings not in kept:
            kept.append(layings)
    return kept[:FINALISTS]


def _ways(work: _Work, room: Room, bearing: float) -> list[Laying]:
    return _best_ways(work, lay_room(room, bearing, roll=work.roll, rules=work.rules, construction=work.construction))


def _no_way(work: _Work, ways: dict[tuple[str, float], list[Laying]]) -> str:
    stuck = sorted({room.name for room in work.floors.rooms if not any(ways.get((room.name, b)) for b in _all_bearings(ways))})
    names = " and ".join(repr(name) for name in stuck) or "the connected rooms together"
    return (
        f"{names} can't be laid from a roll {work.roll.width_mm:.0f} mm wide within the rules: "
        "allow a narrower fill or another pile bearing, or take a wider roll"
    )


def _all_bearings(ways: dict[tuple[str, float], list[Laying]]) -> set[float]:
    return {bearing for _, bearing in ways}


def _best_ways(work: _Work, ways: Iterable[Laying]) -> list[Laying]:
    """The few ways of a room that may end up in the best order: least roll alone, and least area."""
    seen = list(islice(ways, MOST_WAYS))
    rough = sorted(seen, key=lambda way: _area_mm(work, way) + way.drawback_mm)[: 8 * WAYS_KEPT]
    alone = sorted(rough, key=lambda way: work.quick_mm(way.cuts) + way.drawback_mm)
    return list({id(way): way for way in (*alone[:WAYS_KEPT], *rough[:WAYS_KEPT])}.values())


def _area_mm(work: _Work, way: Laying) -> float:
    return sum(cut.width_mm * cut.length_mm for cut in way.cuts) / work.roll.width_mm


def _descend(work: _Work, choices: Sequence[Sequence[Laying]]) -> list[tuple[float, tuple[Laying, ...]]]:
    """Changes one room's way at a time while the whole gets better; gives every whole looked at with its merit."""
    current = [options[0] for options in choices]
    best = _merit(work, current)
    seen = [(best, tuple(current))]
    better = True
    while better and not work.watch.over():
        better = False
        for index, ways in enumerate(choices):
            for way in ways:
                if way is current[index]:
                    continue
                trial = [*current[:index], way, *current[index + 1 :]]
                merit = _merit(work, trial)
                seen.append((merit, tuple(trial)))
                if merit < best - 1e-6:
                    current, best, better = trial, merit, True
    return seen


def _merit(work: _Work, layings: Sequence[Laying]) -> float:
    cuts = [cut for laying in layings for cut in laying.cuts]
    return work.quick_mm(cuts) + sum(laying.drawback_mm for laying in layings)


def _bearings(group: Sequence[Room]) -> list[float]:
    """Pile bearings to try for connected rooms: the fixed one, else along and across their longest walls, facing the entry."""
    fixed = next((room.pile_deg for room in group if room.pile_deg is not None), None)
    if fixed is not None:
        return [fixed % 360]
    lengths: dict[float, float] = {}
    for room in group:
        ring = room.outline.ring
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            bearing = round(_bearing(a, b) % 90, 6) % 90
            lengths[bearing] = lengths.get(bearing, 0.0) + abs(complex(b[0] - a[0], b[1] - a[1]))
    longest = sorted(lengths, key=lambda bearing: (-lengths[bearing], bearing))[: MOST_BEARINGS // 2]
    return [_toward_entry(group, bearing + quarter) for bearing in longest for quarter in (0.0, 90.0)]


def _bearing(a: Point, b: Point) -> float:
    return math.degrees(math.atan2(b[0] - a[0], b[1] - a[1]))


def _toward_entry(group: Sequence[Room], bearing: float) -> float:
    """The bearing or its opposite: the pile faces the entry, where one is known (CRI and trade training: where possible)."""
    for room in group:
        for door in room.doorways:
            if door.entry:
                low, high = room.outline.bounds[:2], room.outline.bounds[2:]
                middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
                way = turned_point((door.middle[0] - middle[0], door.middle[1] - middle[1]), between(bearing, 0.0))
                return bearing if way[1] >= 0 else bearing + 180.0
    return bearing


def _plan(
    work: _Work,
    layings: tuple[Laying, ...],
    rest: Sequence[Cut],
    packing: StripPacking,
    *,
    from_stock: tuple[Placed, ...] = (),
    stock: Sequence[Candidate] = (),
    passed: tuple[PassedOver, ...] = (),
) -> OrderPlan:
    placed = (
        tuple(Placed(cut, ROLL, (x / 1000, y / 1000)) for cut, (x, y) in zip(rest, packing.corners, strict=True)) + from_stock
    )
    roll, length = work.roll, packing.length / 1000
    ordered = roll.ordered_mm(length)
    left = leftovers_of(placed, roll.width_mm, ordered, stock, work.rules)
    kept = sum(each.outline.usable_area_mm2 for each in left if each.usable and each.piece == ROLL)
    sums = []
    for price in work.rules.prices:
        cost, credit = price.of(roll.width_mm, ordered), price.credited(kept, roll.width_mm)
        sums.append(Sum(cost, credit, type(cost)(cost.minor - credit.minor, cost.currency)))
    area = work.floors.area_mm2 + sum(cut.width_mm * cut.length_mm for cut in _stair_cuts(layings))
    return OrderPlan(
        roll, layings, placed, length, packing.bound / 1000, ordered, area, left, tuple(sums), passed, packing.why.value
    )


def _stair_cuts(layings: Sequence[Laying]) -> list[Cut]:
    return [cut for laying in layings for cut in laying.cuts if cut.net is None]


def _with(plan: OrderPlan, passed: tuple[PassedOver, ...]) -> OrderPlan:
    return replace(plan, passed_over=passed)
