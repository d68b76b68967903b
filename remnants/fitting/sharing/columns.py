"""Small jobs of any outlines: which way for each patch, and which of them a piece can hold together, in one model with a bound.

The model chooses a way for each patch as if pieces were so much carpet; what it chose is laid out on the pieces, all seams free.
Where that can't be, the parts that can't lie on one piece together are told to it, and it chooses again. So it never bars what
could be: what it comes to is a bound that no plan beats, and what then can be laid out is the best plan.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TypeVar

from remnants.errors import GaveUp
from remnants.fitting.patch.made import Made, settled
from remnants.fitting.patch.question import Ask, OutOfTime
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.patch.same_donor import Effort
from remnants.fitting.patch.same_donor_layouts import Option
from remnants.fitting.sharing.exact import Exact
from remnants.fitting.sharing.exact_terms import RANKS_A_WORST, Term, counts_of, merit_from_terms, stages_of
from remnants.fitting.sharing.options import PartKey, Way, WayPart, ways_of
from remnants.fitting.sharing.placing import can_share, placed
from remnants.geometry.outline import TOLERANCE_MM, area_mm2
from remnants.model.match import Troubled
from remnants.packing.exact_solver import cp_model, solve_watched
from remnants.packing.watch import Watch

__all__ = ["MOST_PATCHES", "solve_by_columns"]

MOST_PATCHES = 12
"""Patches up to which a job is asked so."""

MOST_DONORS = 600
"""Pieces, once for each allowed turn and patch, up to which it is."""

MOST_WAYS = 3000
"""Ways of all patches together up to which they are chosen from."""

ROUNDS = 80
"""How often the model may choose again."""

PROGRAMMES, PROGRAMMES_A_QUESTION = 4000, 300
"""Linear programmes for laying out all that it chooses, and for one question."""

Answer = TypeVar("Answer")

Barred = tuple[frozenset[PartKey], int]
"""Parts, and how many of them can be cut at most."""


@dataclass(eq=False)
class _Choice:
    """The model of one job; never leaves this module."""

    asks: Sequence[Ask]
    ways: Sequence[Way]
    carpet_mm2: float
    barred: list[Barred] = field(default_factory=list)
    barred_ways: list[frozenset[int]] = field(default_factory=list)
    """Ways (by identity) that don't all go together."""

    floor: dict[Term, int] = field(default_factory=dict)
    """What the terms come to at the least, as far as that is known."""

    def chosen(self, work: float, watch: Watch, seed: int) -> tuple[list[Way] | None, float, bool]:
        """The best ways that nothing known speaks against, the work left, and whether they are proved the best of these."""
        model = cp_model.CpModel()
        taken = [model.new_bool_var("") for _ in self.ways]
        terms = self._terms(model, taken)
        self._conditions(model, taken)
        solver = cp_model.CpSolver()
        solver.parameters.random_seed, solver.parameters.num_workers = seed, 1
        floor: dict[Term, int] = {}
        found: list[Way] | None = None
        for stage in stages_of(terms):
            if work <= 0 or watch.over():
                return found, 0.0, False
            model.minimize(sum(weight * count * when for weight, term in stage for count, when in terms[term]))
            solver.parameters.max_deterministic_time = work
            status = solve_watched(solver, model, watch)
            if status != cp_model.OPTIMAL:
                return found, 0.0, False
            found = [way for way, one in zip(self.ways, taken, strict=True) if solver.boolean_value(one)]
            work -= solver.response_proto.deterministic_time
            floor |= counts_of(round(solver.objective_value), stage)
            for _, term in stage:
                total = sum(count * when for count, when in terms[term])
                model.add(total == solver.value(total))
        self.floor = floor
        return found, work, True

    def _terms(
        self, model: cp_model.CpModel, taken: Sequence[cp_model.IntVar]
    ) -> dict[Term, list[tuple[int, cp_model.LinearExprT]]]:
        """What is chosen, as sums of the terms of merit."""
        terms: dict[Term, list[tuple[int, cp_model.LinearExprT]]] = {("unfilled", 0): []}
        troubled: dict[Troubled, list[cp_model.IntVar]] = {}
        for index in range(len(self.asks)):
            own = [one for way, one in zip(self.ways, taken, strict=True) if way.patch == index]
            model.add(sum(own) <= 1)
            terms["unfilled", 0].append((1, 1 - sum(own)))
        for way, one in zip(self.ways, taken, strict=True):
            counts = Counter[Term](("sights", RANKS_A_WORST * worst + best) for worst, best in way.look.sights)
            counts.update(("points", points) for points in way.look.points)
            counts["seen_mm", 0] = way.look.seen_mm
            for term, count in counts.items():
                terms.setdefault(term, []).append((count, one))
            for trouble in {part.donor.candidate.trouble for part in way.parts}:
                if trouble is not None:
                    troubled.setdefault(trouble, []).append(one)
        for each, ones in troubled.items():
            any_of = model.new_bool_var("")
            model.add_max_equality(any_of, ones)
            terms.setdefault(("trouble", each.tier), []).append((each.weight, any_of))
        return terms

    def _conditions(self, model: cp_model.CpModel, taken: Sequence[cp_model.IntVar]) -> None:
        """Carpet enough, on each piece and in all (cm², needs rounded down and pieces up), and what is barred."""
        needs: dict[str, list[cp_model.LinearExprT]] = {}
        stock: dict[str, float] = {}
        by_key: dict[PartKey, list[cp_model.IntVar]] = {}
        whole: list[cp_model.LinearExprT] = []
        for way, one in zip(self.ways, taken, strict=True):
            ask = self.asks[way.patch]
            whole.append(int(area_mm2(ask.shape.ring) / 100) * one)
            for part in way.parts:
                by_key.setdefault(part.key, []).append(one)
                needs.setdefault(part.donor.tag, []).append(int(way.area_on(ask, part) / 100) * one)
                outline = part.donor.left
                stock[part.donor.tag] = outline.usable_area_mm2 + 2 * TOLERANCE_MM * outline.usable.length
        for tag, own in needs.items():
            model.add(sum(own) <= int(stock[tag] / 100) + 1)
        model.add(sum(whole) <= int(self.carpet_mm2 / 100) + 1)
        for keys, most in self.barred:
            model.add(sum(one for key in sorted(keys, key=repr) for one in by_key.get(key, ())) <= most)
        for together in self.barred_ways:
            model.add(sum(one for way, one in zip(self.ways, taken, strict=True) if id(way) in together) <= len(together) - 1)


def solve_by_columns(asks: Sequence[Ask], fields: Sequence[Field], *, work: float, watch: Watch, seed: int) -> Exact | None:
    """The best plan of ways of up to two parts for all patches together, and a merit that no plan beats, of any number of parts.

    None if the job isn't one of a few patches, is too large, or if time is up. `work` is in units of the solver's
    own count; beside it a number of linear programmes limits what is done, so that the answer is the same on a fast machine and
    a slow one. It hears of somebody who asks to stop.
    """
    every = [donor for own in fields for donor in own.donors]
    if not 2 <= len(asks) <= MOST_PATCHES or len(every) > MOST_DONORS:
        return None
    try:
        ways = [way for index, ask in enumerate(asks) for way in ways_of(index, ask, fields[index], len(asks))]
        choice = _Choice(asks, ways, _carpet_mm2(fields))
        return _chosen_and_laid(choice, work, watch, seed) if len(ways) <= MOST_WAYS else None
    except OutOfTime:
        return None


def _chosen_and_laid(choice: _Choice, work: float, watch: Watch, seed: int) -> Exact:
    asks, programmes = choice.asks, PROGRAMMES
    made: list[Made | None] = [None] * len(asks)
    for _ in range(ROUNDS):
        chosen, work, proved = choice.chosen(work, watch, seed)
        if chosen is None or not proved:
            break
        laid = _Laying(asks, watch, programmes)
        made = laid.out(chosen)
        programmes = laid.left
        if not laid.barred and not laid.barred_ways:
            return Exact(tuple(made), laid.all_known, merit_from_terms(choice.floor))
        choice.barred += laid.barred
        choice.barred_ways += laid.barred_ways
    return Exact(tuple(made), False, merit_from_terms(choice.floor))


def _carpet_mm2(fields: Sequence[Field]) -> float:
    """All the carpet that there is, to the tolerance."""
    outlines = {donor.tag: donor.left for own in fields for donor in own.donors}
    return math.fsum(outline.usable_area_mm2 + 2 * TOLERANCE_MM * outline.usable.length for outline in outlines.values())


class _Laying:
    """Laying out what was chosen: what came of it, and what is known from then on; working state of `solve_by_columns`."""

    def __init__(self, asks: Sequence[Ask], watch: Watch, programmes: int) -> None:
        self.asks, self.watch, self.left = asks, watch, programmes
        self.barred: list[Barred] = []
        self.barred_ways: list[frozenset[int]] = []
        self.all_known = True
        """False where something chosen isn't known to be made, and isn't known not to be either."""

    def out(self, chosen: Sequence[Way]) -> list[Made | None]:
        """The patches made as chosen, of those that share pieces all or none; None for the others."""
        made: list[Made | None] = [None] * len(self.asks)
        self.all_known = all(way.parts for way in chosen)
        for ways in _sharing([way for way in chosen if way.parts]):
            try:
                options = self._options(ways)
            except GaveUp:
                self.all_known = False
                continue
            for way, option in zip(ways, options or (), strict=False):
                made[way.patch] = settled(self.asks[way.patch], option)
        return made

    def _options(self, ways: Sequence[Way]) -> list[Option] | None:
        """The ways laid on their pieces; None, and what doesn't go together barred, where that can't be. Raises GaveUp."""
        for tag in sorted({part.donor.tag for way in ways for part in way.parts}):
            own = [part for way in ways for part in way.parts if part.donor.tag == tag]
            if len(own) > 1 and not self._asked(partial(can_share, self.asks, own)):
                self._bar(own)
        if self.barred:
            return None
        found = self._asked(partial(placed, self.asks, ways))
        if found is None:
            self.barred_ways.append(frozenset(id(way) for way in ways))
        return found

    def _bar(self, own: list[WayPart]) -> None:
        """Bars these parts of one piece, or as few of them as already have no room together."""
        for part in list(own):
            fewer = [each for each in own if each is not part]
            try:
                if len(fewer) > 1 and not self._asked(partial(can_share, self.asks, fewer)):
                    own = fewer
            except GaveUp:
                break
        self.barred.append((frozenset(part.key for part in own), len(own) - 1))

    def _asked(self, question: Callable[[Effort], Answer]) -> Answer:
        """What a question comes to, within what is left of the effort."""
        effort = Effort(min(PROGRAMMES_A_QUESTION, self.left), self.asks[0].go_on)
        before = effort.left
        try:
            return question(effort)
        finally:
            self.left -= before - max(0, effort.left)


def _sharing(ways: Sequence[Way]) -> list[list[Way]]:
    """The ways in groups that have no piece in common."""
    groups: list[tuple[set[str], list[Way]]] = []
    for way in ways:
        tags = {part.donor.tag for part in way.parts}
        touched = [group for group in groups if group[0] & tags]
        groups = [group for group in groups if not group[0] & tags]
        groups.append((tags.union(*(own for own, _ in touched)), [*(each for _, own in touched for each in own), way]))
    return [own for _, own in groups]
