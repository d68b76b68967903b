"""Small jobs of rectangles on square-cut donors, solved to the end by an exact solver on whole micrometres.

Every patch is whole on one donor or in two parts with a seam along or across the pile at any position; every donor gives any
number of parts that don't overlap. So within two parts a patch the answer is the best possible, or a bound on it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from remnants.fitting.patch.donor import Donor
from remnants.fitting.patch.layout import Joint, Leaf
from remnants.fitting.patch.look import carpet_of, grounds_between, seams_round, whole_mm
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.question import Ask
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.patch.seam_spans import Span, every_span
from remnants.fitting.patch.shape import Axis, Split
from remnants.fitting.sharing.exact_terms import RANKS_A_WORST, Stage, Term, applies, counts_of, merit_from_terms, stages_of
from remnants.geometry.blocks import blocked
from remnants.geometry.outline import Point, area_mm2, bounds
from remnants.model.match import Troubled
from remnants.model.merit import Merit
from remnants.packing.exact_solver import cp_model, solve_watched
from remnants.packing.watch import Watch
from remnants.sights import View, grade_of, points_in

__all__ = ["Exact", "solve_exactly"]

MICRONS = 1000
GIVE = 8
"""What a donor's size is forgiven, micrometres: less than the tolerance, more than rounding takes."""


@dataclass(frozen=True)
class Exact:
    """The best found (None where a patch has none), whether it is proved the best, and a merit that no plan can beat."""

    made: tuple[Made | None, ...]
    proved: bool
    bound: Merit


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
        self.boxes: dict[str, tuple[list[cp_model.IntervalVar], list[cp_model.IntervalVar]]] = {}
        self.terms: dict[Term, list[tuple[int, cp_model.LinearExprT]]] = {}
        self.floors: dict[Troubled, list[cp_model.IntVar]] = {}
        self.filled: list[cp_model.IntVar] = []
        self.whole: list[list[_Place]] = []
        self.joins: list[list[tuple[Split, cp_model.IntVar, list[_Place], list[_Place]]]] = []
        for ask, own in zip(asks, donors, strict=True):
            self._patch(ask, own)
        for each, chosen in self.floors.items():
            troubled = self.model.new_bool_var("")
            self.model.add_max_equality(troubled, chosen)
            self._term(("trouble", each.tier), each.weight, troubled)
        self._areas(asks, donors)
        self._donor_areas(asks)
        self._order_alike(asks, donors)
        for across, along in self.boxes.values():
            self.model.add_no_overlap_2d(across, along)

    def _term(self, term: Term, count: int, when: cp_model.LinearExprT) -> None:
        """Adds so much to a term where a choice is made."""
        self.terms.setdefault(term, []).append((count, when))

    def _seam(self, points: int, length_mm: float, when: cp_model.LinearExprT) -> None:
        """A seam that shows so many points."""
        grade = grade_of(points)
        self._term(("sights", RANKS_A_WORST * grade + grade), 1, when)
        self._term(("points", points), 1, when)
        self._term(("seen_mm", 0), whole_mm(length_mm), when)

    def _patch(self, ask: Ask, donors: Sequence[Donor]) -> None:
        filled = self.model.new_bool_var("")
        self.filled.append(filled)
        self._term(("unfilled", 0), 1, 1 - filled)
        for points, shown_mm in seams_round(ask, carpet_of(donors[0])) if donors else ():
            self._seam(points, shown_mm, filled)
        left, bottom, right, top = _grid(bounds(ask.shape.cut))
        whole = [self._place(donor, right - left, top - bottom, left, bottom) for donor in donors]
        self.whole.append(whole)
        ways = [place.chosen for place in whole]
        places = list(whole)
        joins = []
        if ask.patch.max_parts > 1:
            for split, span in every_span(ask, ask.shape):
                join = self._join(ask, split, span, donors)
                if join is not None:
                    joined, entry = join
                    ways.append(joined)
                    joins.append(entry)
                    places += [*entry[2], *entry[3]]
        self.joins.append(joins)
        self.model.add(sum(ways) == filled)
        self._shades(places)

    def _shades(self, places: Sequence[_Place]) -> None:
        """One sight for each different carpet in a patch, and the floors and people that its pieces trouble."""
        carpets: dict[tuple[object, ...], list[_Place]] = {}
        for place in places:
            carpets.setdefault((place.donor.name, place.donor.candidate.match.shade), []).append(place)
            trouble = place.donor.candidate.trouble
            if trouble is not None:
                self.floors.setdefault(trouble, []).append(place.chosen)
        for own in carpets.values():
            used = self.model.new_bool_var("")
            self.model.add_max_equality(used, [place.chosen for place in own])
            worst, best = own[0].donor.candidate.match.shade
            self._term(("sights", RANKS_A_WORST * worst + best), 1, used)

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
            seen = (patch.traffic_deg, ask.light_deg, None if ask.surroundings.is_plain else (ask.surroundings, ask.shape.box))
            ring = tuple((x - ask.shape.box[0], y - ask.shape.box[1]) for x, y in ask.shape.ring)  # a doorway may lie elsewhere
            key = right - left, top - bottom, ring, ask.shape.finishes, patch.max_parts, seen, tags
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

    def settle(self, stage: Stage, solver: cp_model.CpSolver) -> None:
        """Holds the terms of a stage at what they came to, and begins from there."""
        for _, term in stage:
            total = sum(count * when for count, when in self.terms[term])
            self.model.add(total == solver.value(total))
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for index, value in enumerate(solver.response_proto.solution):
            self.model.add_hint(self.model.get_int_var_from_proto_index(index), value)

    def begin_empty(self) -> None:
        """Hints at the plan that fills nothing: from there the solver gets going at once, and it isn't led astray."""
        for filled, whole in zip(self.filled, self.whole, strict=True):
            self.model.add_hint(filled, False)
            for place in whole:
                self.model.add_hint(place.chosen, False)

    def _join(
        self, ask: Ask, split: Split, span: Span, donors: Sequence[Donor]
    ) -> tuple[cp_model.IntVar, tuple[Split, cp_model.IntVar, list[_Place], list[_Place]]] | None:
        first, last = split.limits(ask.min_part_mm)
        if first > last:
            return None
        first, last = max(first, span.low), min(last, span.high)
        if round(first * MICRONS) > round(last * MICRONS):
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
        self._joint(ask, (split.axis, span.view), sides, joined)
        return joined, (split, at, sides[0], sides[1])

    def _joint(self, ask: Ask, seam: tuple[Axis, View], sides: Sequence[Sequence[_Place]], joined: cp_model.IntVar) -> None:
        """What a seam that is seen so shows, by the kinds of carpet on either side."""
        axis, view = seam
        shown: dict[int, list[tuple[_Place, _Place]]] = {}
        for one in sides[0]:
            for two in sides[1]:
                points = points_in(grounds_between(ask, axis, one.donor, two.donor, view))
                shown.setdefault(points, []).append((one, two))
        if len(shown) == 1:
            self._seam(next(iter(shown)), view.shown_mm, joined)
            return
        at = {points: self.model.new_bool_var("") for points in sorted(shown)}
        self.model.add(sum(at.values()) == joined)
        for points, pairs in shown.items():
            self._seam(points, view.shown_mm, at[points])
            for one, two in pairs:
                self.model.add_bool_or([at[points], one.chosen.negated(), two.chosen.negated()])

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
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = 1
    made: tuple[Made | None, ...] = (None,) * len(asks)
    settled_terms: dict[Term, int] = {}
    left, proved = work, True
    for stage in stages_of(built.terms):
        if left <= 0 or watch.over():
            proved = False
            break
        built.model.minimize(sum(weight * count * when for weight, term in stage for count, when in built.terms[term]))
        solver.parameters.max_deterministic_time = left
        if math.isfinite(watch.seconds_left()):
            solver.parameters.max_time_in_seconds = watch.seconds_left()
        status = solve_watched(solver, built.model, watch)
        least = max(0, math.ceil(solver.best_objective_bound - 0.5))
        settled_terms |= counts_of(least, stage)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            made = tuple(
                _made(ask, whole, joins, solver) for ask, whole, joins in zip(asks, built.whole, built.joins, strict=True)
            )
        if status != cp_model.OPTIMAL:
            proved = False
            break
        left -= solver.response_proto.deterministic_time
        built.settle(stage, solver)
    return Exact(made, proved, merit_from_terms(settled_terms))


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
