"""Small jobs of rectangles on square-cut donors, solved to the end by an exact solver on whole micrometres.

Every patch is whole on one donor or in two parts with a seam along or across the pile at any position; every donor gives any
number of parts that don't overlap. So within two parts a patch the answer is the best possible, or a bound on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.fitting.ask import AXES, Ask
from remnants.fitting.donor import Donor
from remnants.fitting.joining import grounds_between
from remnants.fitting.layout import Joint, Leaf
from remnants.fitting.one import Made, settled
from remnants.fitting.several import Option
from remnants.fitting.shape import Axis, Split, splits
from remnants.geometry.blocks import blocked
from remnants.geometry.outline import Point, area_mm2, bounds
from remnants.packing.exact_solver import cp_model
from remnants.packing.solving import solve_watched
from remnants.packing.watch import Watch

__all__ = ["Exact", "solve_exactly", "terms_of", "weights_of"]

MICRONS = 1000
GIVE = 8
"""What a donor's size is forgiven, micrometres: less than the tolerance, more than rounding takes."""

MOST_CHOICES = 400
"""Ways to put parts on donors (patches times seams times donors) up to which the exact solver is asked."""

MOST_POINTS = 20
"""More points than any one seam can show."""

Terms = tuple[int, int, int, int, int]
"""Of a job's merit: patches not filled, match grade, wear, seams, points for how seams show."""


@dataclass(frozen=True)
class Exact:
    """The best found (None where a patch has none), whether it is proved the best, and terms of merit that no plan can beat."""

    made: tuple[Made | None, ...]
    proved: bool
    bound: Terms


@dataclass(eq=False)
class _Place:
    """A part of some size on a donor, if `chosen`."""

    donor: Donor
    chosen: cp_model.IntVar
    x: cp_model.IntVar
    y: cp_model.IntVar
    low_x: int
    low_y: int


class _Model:
    """The model of one job; never leaves this module."""

    def __init__(self, asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> None:
        self.model = cp_model.CpModel()
        self.weights = weights_of(asks, donors)
        self.boxes: dict[str, tuple[list[cp_model.IntervalVar], list[cp_model.IntervalVar]]] = {}
        self.cost: list[cp_model.LinearExprT] = []
        self.filled: list[cp_model.IntVar] = []
        self.whole: list[list[_Place]] = []
        self.joins: list[list[tuple[Split, cp_model.IntVar, list[_Place], list[_Place]]]] = []
        for ask, own in zip(asks, donors, strict=True):
            self._patch(ask, own)
        self._areas(asks, donors)
        self._donor_areas(asks)
        self._order_alike(asks, donors)
        for across, along in self.boxes.values():
            self.model.add_no_overlap_2d(across, along)
        self.model.minimize(sum(self.cost))

    def _patch(self, ask: Ask, donors: Sequence[Donor]) -> None:
        filled = self.model.new_bool_var("")
        self.filled.append(filled)
        self.cost.append(self.weights[0] * (1 - filled))
        left, bottom, right, top = _grid(bounds(ask.shape.cut))
        whole = [self._place(donor, right - left, top - bottom, left, bottom) for donor in donors]
        self.whole.append(whole)
        ways = [place.chosen for place in whole]
        levels = sorted({donor.level for donor in donors})
        at_level = [self.model.new_bool_var("") for _ in levels]
        self.model.add(sum(at_level) == filled)
        for level, chosen in zip(levels, at_level, strict=True):
            self.cost.append((self.weights[1] * level[0] + self.weights[2] * level[1]) * chosen)
        better = [sum(at_level[: i + 1]) for i in range(len(levels))]
        places = list(whole)
        joins = []
        if ask.patch.max_parts > 1:
            for axis in AXES:
                for split in splits(ask.shape, axis):
                    join = self._join(ask, split, donors)
                    if join is not None:
                        joined, entry = join
                        ways.append(joined)
                        joins.append(entry)
                        places += [*entry[2], *entry[3]]
        self.joins.append(joins)
        self.model.add(sum(ways) == filled)
        for place in places:  # a place on a donor of some level rules every better level out
            worse = levels.index(place.donor.level)
            if worse:
                self.model.add(better[worse - 1] == 0).only_enforce_if(place.chosen)

    def _areas(self, asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> None:
        """All cuts together have no more area than all donors: implied, but it closes many proofs at once.

        A join's cuts have one area wherever its seam falls. Square centimetres, cuts rounded down and donors up.
        """
        stock = {donor.tag: donor.left.usable_area_mm2 for own in donors for donor in own}
        used: list[cp_model.LinearExprT] = []
        for ask, whole, joins in zip(asks, self.whole, self.joins, strict=True):
            used.append(int(area_mm2(ask.shape.cut) / 100) * sum(place.chosen for place in whole))
            for split, _, lows, _ in joins:
                middle = sum(split.limits(ask.min_part_mm)) / 2
                area = sum(area_mm2(half.cut) for half in split.halves(middle))
                used.append(int(area / 100) * sum(place.chosen for place in lows))
        self.model.add(sum(used) <= int(sum(stock.values()) / 100) + 1)

    def _donor_areas(self, asks: Sequence[Ask]) -> None:
        """The cuts on each donor have no more area than it: implied too. A joined part counts what it has at the least."""
        used: dict[str, list[cp_model.LinearExprT]] = {}
        stock: dict[str, int] = {}
        for ask, whole, joins in zip(asks, self.whole, self.joins, strict=True):
            sized = [(place, area_mm2(ask.shape.cut)) for place in whole]
            for split, _, lows, highs in joins:
                first, last = split.limits(ask.min_part_mm)
                sized += [(place, area_mm2(split.halves(first)[0].cut)) for place in lows]
                sized += [(place, area_mm2(split.halves(last)[1].cut)) for place in highs]
            for place, area in sized:
                used.setdefault(place.donor.tag, []).append(int(area / 100) * place.chosen)
                stock[place.donor.tag] = int(place.donor.left.usable_area_mm2 / 100) + 1
        for tag, areas in used.items():
            self.model.add(sum(areas) <= stock[tag])

    def _order_alike(self, asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> None:
        """Like patches may change places: of each two the first is filled, whole, and from an earlier donor if any is."""
        last: dict[object, int] = {}
        for index, (ask, own) in enumerate(zip(asks, donors, strict=True)):
            left, bottom, right, top = _grid(bounds(ask.shape.cut))
            tags = tuple((donor.tag, donor.turn_deg) for donor in own)
            patch = ask.patch
            key = right - left, top - bottom, ask.shape.finishes, patch.max_parts, patch.traffic_deg, patch.light_deg, tags
            before = last.get(key)
            last[key] = index
            if before is None:
                continue
            one, two = self.whole[before], self.whole[index]
            self.model.add(self.filled[before] >= self.filled[index])
            self.model.add(sum(place.chosen for place in one) >= sum(place.chosen for place in two))
            first, second = (sum(rank * place.chosen for rank, place in enumerate(places)) for places in (one, two))
            for place in two:
                self.model.add(first <= second).only_enforce_if(place.chosen)

    def begin_empty(self) -> None:
        """Hints at the plan that fills nothing: from there the solver gets going at once, and it isn't led astray."""
        for filled, whole in zip(self.filled, self.whole, strict=True):
            self.model.add_hint(filled, False)
            for place in whole:
                self.model.add_hint(place.chosen, False)

    def _join(
        self, ask: Ask, split: Split, donors: Sequence[Donor]
    ) -> tuple[cp_model.IntVar, tuple[Split, cp_model.IntVar, list[_Place], list[_Place]]] | None:
        first, last = split.limits(ask.min_part_mm)
        if first > last:
            return None
        joined = self.model.new_bool_var("")
        at = self.model.new_int_var(round(first * MICRONS), round(last * MICRONS), "")
        sides: list[list[_Place]] = []
        for side in (0, 1):
            half = split.halves((first + last) / 2)[side]
            box = _grid(bounds(half.cut))
            seam = round((first + last) / 2 * MICRONS)
            axis = split.axis
            # the extent along the axis moves with the seam; the other one stays
            moving = (box[axis + 2] - seam + at - box[axis]) if side == 0 else (box[axis + 2] - at + seam - box[axis])
            still = box[3 - axis] - box[1 - axis]
            sizes = (moving, still) if axis is Axis.ACROSS else (still, moving)
            sides.append([self._place(donor, sizes[0], sizes[1], 0, 0) for donor in donors])
            self.model.add(sum(place.chosen for place in sides[-1]) == joined)
        self.cost.append(self.weights[3] * joined)
        self._points(ask, split.axis, sides)
        return joined, (split, at, sides[0], sides[1])

    def _points(self, ask: Ask, axis: Axis, sides: Sequence[Sequence[_Place]]) -> None:
        """What the seam costs, by the kinds of carpet on either side."""
        for one in sides[0]:
            for two in sides[1]:
                points = sum(weight for weight, _ in grounds_between(ask, axis, one.donor, two.donor))
                if points:
                    both = self.model.new_bool_var("")
                    self.model.add_bool_or([both, one.chosen.negated(), two.chosen.negated()])
                    self.cost.append(self.weights[4] * points * both)

    def _place(self, donor: Donor, width: cp_model.LinearExprT, length: cp_model.LinearExprT, low_x: int, low_y: int) -> _Place:
        """An optional rectangle on a donor, inside its bounds and clear of what is blocked."""
        left, bottom, right, top = _grid(donor.box)
        chosen = self.model.new_bool_var("")
        x = self.model.new_int_var(left, right + GIVE, "")
        y = self.model.new_int_var(bottom, top + GIVE, "")
        end_x, end_y = self.model.new_int_var(left, right + GIVE, ""), self.model.new_int_var(bottom, top + GIVE, "")
        across, along = self._axes_of(donor)
        across.append(self.model.new_optional_interval_var(x, width, end_x, chosen, ""))
        along.append(self.model.new_optional_interval_var(y, length, end_y, chosen, ""))
        return _Place(donor, chosen, x, y, low_x, low_y)

    def _axes_of(self, donor: Donor) -> tuple[list[cp_model.IntervalVar], list[cp_model.IntervalVar]]:
        if donor.tag not in self.boxes:
            boxes = [_grid(box) for box in blocked(donor.ground.outline) or ()]
            fixed = self.model.new_fixed_size_interval_var
            self.boxes[donor.tag] = (
                [fixed(left + GIVE, max(1, right - left - GIVE), "") for left, _, right, _ in boxes],
                [fixed(low + GIVE, max(1, high - low - GIVE), "") for _, low, _, high in boxes],
            )
        return self.boxes[donor.tag]


def solve_exactly(
    asks: Sequence[Ask],
    donors: Sequence[Sequence[Donor]],
    *,
    work: float,
    watch: Watch,
    seed: int,
) -> Exact | None:
    """The best plan for all patches together; None if the job isn't one of rectangles on square-cut donors, or is too large.

    It ends after so much `work`, in units of the solver's own count (some 5 seconds each), which
    makes the answer the same on a fast and a slow machine, or with the time of the `watch`, which doesn't; it hears within a
    tenth of a second of somebody who asks to stop, and then answers with the best so far.
    """
    if not applies(asks, donors):
        return None
    built = _Model(asks, donors)
    built.begin_empty()
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = work
    if math.isfinite(watch.seconds_left()):
        solver.parameters.max_time_in_seconds = watch.seconds_left()
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = 1
    status = solve_watched(solver, built.model, watch)
    bound = terms_of(max(0, math.ceil(solver.best_objective_bound - 0.5)), built.weights)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Exact((None,) * len(asks), False, bound)
    made = tuple(_made(ask, whole, joins, solver) for ask, whole, joins in zip(asks, built.whole, built.joins, strict=True))
    return Exact(made, status == cp_model.OPTIMAL, bound)


def weights_of(asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> Terms:
    """Weights under which the sum of a job's terms sorts as its terms do, first to last: each outweighs all after it."""
    levels = [donor.level for own in donors for donor in own] or [(0, 0)]
    count = len(asks)
    most = (count * max(grade for grade, _ in levels), count * max(wear for _, wear in levels), count, count * MOST_POINTS)
    grade, wear, seams, points = (figure + 1 for figure in most)
    return grade * wear * seams * points, wear * seams * points, seams * points, points, 1


def terms_of(cost: int, weights: Terms) -> Terms:
    """The terms whose weighed sum is `cost`."""
    found = []
    for weight in weights:
        term, cost = divmod(cost, weight)
        found.append(term)
    unfilled, grade, wear, seams, points = found
    return unfilled, grade, wear, seams, points


def applies(asks: Sequence[Ask], donors: Sequence[Sequence[Donor]]) -> bool:
    """True for plain rectangles on square-cut donors, few enough, each donor lying one way."""
    choices = sum(len(own) * (5 if ask.patch.max_parts > 1 else 1) for ask, own in zip(asks, donors, strict=True))
    if choices > MOST_CHOICES or any(not ask.shape.is_rectangle for ask in asks):
        return False
    every = [donor for own in donors for donor in own]
    lays = {(donor.tag, donor.turn_deg) for donor in every}
    one_lay = len({tag for tag, _ in lays}) == len(lays)
    return one_lay and all(donor.candidate.style.repeat is None and blocked(donor.ground.outline) is not None for donor in every)


def _made(
    ask: Ask,
    whole: Sequence[_Place],
    joins: Sequence[tuple[Split, cp_model.IntVar, list[_Place], list[_Place]]],
    solver: cp_model.CpSolver,
) -> Made | None:
    """The patch's part or parts as the solver put them."""
    for place in whole:
        if solver.boolean_value(place.chosen):
            return settled(ask, Option(Leaf(ask.shape, place.donor), (_move(place, ask.shape.cut, solver),)))
    for split, at, lows, highs in joins:
        chosen = [next((p for p in side if solver.boolean_value(p.chosen)), None) for side in (lows, highs)]
        one, two = chosen
        if one is not None and two is not None:
            position = solver.value(at) / MICRONS
            low, high = split.halves(position)
            moves = (_move(one, low.cut, solver), _move(two, high.cut, solver))
            return settled(ask, Option(Joint(split, position, Leaf(low, one.donor), Leaf(high, two.donor)), moves))
    return None


def _move(place: _Place, cut: Sequence[Point], solver: cp_model.CpSolver) -> Point:
    """The move that brings a cut to where the solver put it; what the donor was forgiven is shared between both its edges."""
    left, bottom, _, _ = bounds(cut)
    give = GIVE / 2 / MICRONS
    return solver.value(place.x) / MICRONS - left - give, solver.value(place.y) / MICRONS - bottom - give


def _grid(box: tuple[float, float, float, float]) -> tuple[int, int, int, int]:
    left, bottom, right, top = (round(value * MICRONS) for value in box)
    return left, bottom, right, top
