"""The least change that makes a no a yes, or a yes show less: each as far as it goes, then the least of it that does; then pairs.

Where a change only adds ways (a smaller allowance, a narrower part, one part more, more carpet), whatever was made without it is
made with it, so more of it never helps less: the least is found by halving, to what a tape shows. Of sides that are moved see
`sides`. Changes that only add ways are first tried all together: where that is of no help, no one of them is. After a no a patch
is first asked for alone: what doesn't make it with all the stock to itself doesn't beside others.

Two changes are tried where no one does, and where both together are less effort than the easiest one.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations, islice
from typing import Protocol

from remnants.fitting.bargains.gain import gain, shown, shows
from remnants.fitting.bargains.lever import Lever
from remnants.fitting.bargains.levers import NOTHING_BESIDE, Beside, levers
from remnants.fitting.bargains.outcome import lower, made_by, merit_of, without_names
from remnants.fitting.bargains.sides import tape_step_mm
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model.bargain import Asked, Bargain, Bargains, Change, ChangeKind
from remnants.model.merit import NO_TROUBLE, Merit
from remnants.model.patch import Job
from remnants.model.piece import Piece
from remnants.model.plan import Plan
from remnants.units import Unit

__all__ = ["MOST_TOLD", "MOST_WORK", "Answers", "bargains_for"]

MOST_WORK = 400
"""Work that a search for bargains is worth, counted as `work_of` does; the answer itself is not touched by it."""

WORK = {1: 1, 2: 4, 3: 12, 4: 24}
"""What it takes to weigh a patch of so many parts at most, beside one of a single part (measured on 10,000 pieces)."""

MOST_TOLD = 5

MOST_PAIRS = 2
"""Pairs of changes that fill all of it after which no more are looked for."""


class Answers(Protocol):
    """What answers a changed job."""

    def weigh(self, asked: Asked) -> Merit:
        """How its plan compares."""

    def tell(self, asked: Asked) -> Plan:
        """Its plan, proved and told."""


def work_of(job: Job) -> int:
    """What it takes to weigh a job once: more parts and more turns take longer, patches that share donors for each of them."""
    return len(job.patches) * sum(WORK[patch.max_parts] * len(patch.turns) for patch in job.patches)


def bargains_for(
    job: Job,
    ways: Sequence[Plan],
    answers: Answers,
    *,
    beside: Beside = NOTHING_BESIDE,
    most_work: int = MOST_WORK,
    stop: Callable[[], bool] = lambda: False,
) -> Bargains:
    """What would fill more than the first of the ways does, or show or trouble less than all of them: at most five.

    The least effort first. Changed jobs are weighed while less than `most_work` is done, and none after `stop`. Nothing for a
    plan that fills all, shows nothing and troubles nobody. Of the changes of one kind on one patch the least is told.
    """
    plan, no = ways[0], bool(ways[0].short)
    patches = frozenset(short.patch for short in plan.short) if no else _showing(plan)
    if not patches:
        return Bargains()
    search = _Search(job, patches, [merit_of(way) for way in ways], answers, most_work=most_work, stop=stop)
    every = levers(job, patches, Unit(job.unit), beside, no=no)
    singles = search.singles(every)
    cut_short = search.stopped
    pairs = search.pairs([lever for lever in every if not _is_bought(lever)], singles) if no else []
    ranked = sorted([*singles, *pairs], key=_Found.key)
    told = _each_plan_once(bargain for each in ranked if (bargain := search.told(each, plan, no=no)) is not None)
    helped = {lever.name for each in ranked for lever, _ in each.changes}
    names = dict.fromkeys(lever.name for lever in every if lever.name not in helped)
    return Bargains(tuple(islice(told, MOST_TOLD)), () if cut_short else tuple(names), search.stopped, better=not no)


def _each_plan_once(found: Iterable[Bargain]) -> Iterator[Bargain]:
    """Those whose cuts no easier change made already: another lot is taken before another style, where both take one piece."""
    seen: set[object] = set()
    for bargain in found:
        cuts = tuple((part.piece, part.cut) for patch in bargain.plan.patches for part in patch.parts)
        if cuts not in seen:
            seen.add(cuts)
            yield bargain


def _showing(plan: Plan) -> frozenset[str]:
    """The patches of which something shows; all that are cut where somebody is troubled."""
    if merit_of(plan).trouble != NO_TROUBLE:
        return frozenset(patch.name for patch in plan.patches if patch.parts)
    return frozenset(sight.patch for sight in plan.sights if shows(sight))


@dataclass(frozen=True)
class _Found:
    """One or two changes by their amounts, what is then asked, and how its plan compares."""

    changes: tuple[tuple[Lever, float], ...]
    asked: Asked
    merit: Merit

    def is_bought(self) -> bool:
        """Whether it is new roll, which can always be had, so that what else might help is still looked for."""
        return any(_is_bought(lever) for lever, _ in self.changes)

    @property
    def effort(self) -> int:
        """What it costs the technician."""
        return sum(lever.effort for lever, _ in self.changes)

    def key(self) -> tuple[object, ...]:
        """Sorts what was found, the best first."""
        return self.merit.unfilled, self.effort, self.merit.key, sum(by for _, by in self.changes)


class _Search:
    """Work still to be done, and what was found."""

    def __init__(
        self,
        job: Job,
        patches: frozenset[str],
        ways: list[Merit],
        answers: Answers,
        *,
        most_work: int,
        stop: Callable[[], bool],
    ) -> None:
        self.asked, self.patches, self.ways, self.stopped = Asked(job), patches, ways, False
        self._answers, self._left, self._stop = answers, most_work, stop
        self._known: dict[Asked, Merit] = {}
        self._step = tape_step_mm(Unit(job.unit))
        self._unfilled = ways[0].unfilled
        """As many are open at the least of what was found: what is looked for leaves fewer."""

    def helps(self, asked: Asked, patch: str = "") -> Merit | None:
        """The merit of what is asked where it is better; None where it isn't, or no work is left. `patch`: what differs."""
        if self.ways[0].unfilled and len(asked.job.patches) > 1 and not self._may_fill(asked, patch):
            return None
        merit = self._weighed(asked)
        return merit if merit is not None and self.is_better(merit, self._unfilled) else None

    def _may_help(self, asked: Asked) -> bool:
        """Whether something that is asked less may help: of one patch exactly; of several, each alone."""
        return self._may_fill(asked, "") if len(asked.job.patches) > 1 else self.helps(asked) is not None

    def _may_fill(self, asked: Asked, patch: str) -> bool:
        """Whether as many more patches as are wanted can be made at all, each with all the stock to itself."""
        wanted = self.ways[0].unfilled - self._unfilled + 1
        names = [patch] if wanted == 1 and patch in self.patches else sorted(self.patches)
        alone = (self._weighed(_alone(asked, name)) for name in names)
        made = (True for merit in alone if merit is not None and not merit.unfilled)
        return sum(islice(made, wanted)) == wanted

    def _weighed(self, asked: Asked) -> Merit | None:
        """The merit of what is asked; None where no work is left."""
        if asked in self._known:
            return self._known[asked]
        if self._left <= 0 or self._stop():
            self.stopped = True
            return None
        self._left -= work_of(asked.job)
        merit = self._answers.weigh(asked)
        if self._stop():  # it may have been ended halfway
            self.stopped = True
            return None
        self._known[asked] = merit
        return merit

    def is_better(self, merit: Merit, unfilled: int) -> bool:
        """Whether it leaves fewer than so many unfilled; where all is filled, whether less shows, or fewer are troubled, than in
        any way there is.
        """
        if self.ways[0].unfilled:
            return merit.unfilled < unfilled
        beaten = any(shown(way) <= shown(merit) and way.trouble <= merit.trouble for way in self.ways)
        return not merit.unfilled and not beaten and merit.key < self.ways[0].key

    def singles(self, every: Sequence[Lever]) -> list[_Found]:
        """Single changes that help: of each kind on each patch the least."""
        opening = [lever for lever in every if lever.opens]
        shut = len(opening) > 1 and not self._may_help(_all(self.asked, opening))
        found: dict[tuple[object, ...], _Found] = {}
        for lever in every:
            kind = lever.change.kind, lever.change.patch, lever.change.finish if lever.change.kind is ChangeKind.ALLOWANCE else ""
            known = found.get(kind)
            if lever.opens and shut:
                continue
            below = known.changes[0][1] if known and lever.is_length else math.inf
            least = self.least(lever, partial(lever.asked, self.asked), below)
            if least is not None:
                found[kind] = _Found(((lever, least[0]),), least[1], least[2])
        return list(found.values())

    def least(
        self, lever: Lever, asked_at: Callable[[float], Asked], below: float = math.inf
    ) -> tuple[float, Asked, Merit] | None:
        """The least amount below `below` at which it helps, in whole steps of a tape, what is then asked, and its merit."""
        before = 0.0
        for stop in lever.stops_mm:
            top = min(stop, below - self._step)
            if lever.is_length and top <= before + TOLERANCE_MM:
                return None
            asked = asked_at(top)
            merit = self.helps(asked, lever.change.patch)
            if merit is not None:
                best = top, asked, merit
                return self._halved(lever, asked_at, before, best) if lever.halved else best
            before = stop
        return None

    def _halved(
        self, lever: Lever, asked_at: Callable[[float], Asked], before: float, best: tuple[float, Asked, Merit]
    ) -> tuple[float, Asked, Merit]:
        low, high = math.floor((before + TOLERANCE_MM) / self._step), math.ceil((best[0] - TOLERANCE_MM) / self._step)
        while high - low > 1:
            middle = (low + high) // 2
            asked = asked_at(middle * self._step)
            merit = self.helps(asked, lever.change.patch)
            if merit is None:
                low = middle
            else:
                high, best = middle, (middle * self._step, asked, merit)
        return best

    def pairs(self, every: Sequence[Lever], singles: Sequence[_Found]) -> list[_Found]:
        """Two changes that fill more than the `singles` and are less effort than each that fills all: as far as the second goes,
        then the least of either; the least effort first.
        """
        had = [each for each in singles if not each.is_bought()]
        below = min((each.effort for each in had if not each.merit.unfilled), default=math.inf)
        self._unfilled = min((each.merit.unfilled for each in had if each.merit.unfilled), default=self._unfilled)
        both = [(one, two) for one, two in combinations(every, 2) if one.effort + two.effort < below and not _alike(one, two)]
        if not both:
            return []
        opening = [lever for lever in every if lever.opens]
        both_open = len(opening) > 1 and self._may_help(_all(self.asked, opening))
        usable = {id(each) for each in every if not (each.opens or each.is_length) or self._helps_with(each, opening)}
        found: dict[object, _Found] = {}
        for one, two in sorted(both, key=lambda both: both[0].effort + both[1].effort):
            if sum(not each.merit.unfilled for each in found.values()) >= MOST_PAIRS:
                break
            if one.opens and two.opens:
                may = both_open
            else:
                may = id(one) in usable or id(two) in usable if one.opens or two.opens else True
            pair = self._pair(one, two) if may and _kinds(one, two) not in found else None
            found |= {_kinds(one, two): pair} if pair is not None else {}
        return list(found.values())

    def _helps_with(self, lever: Lever, opening: Sequence[Lever]) -> bool:
        """Whether a change helps beside all that only add ways."""
        if lever.opens or not opening:
            return False
        return any(self._may_help(_all(lever.asked(self.asked, stop), opening)) for stop in reversed(lever.stops_mm))

    def _pair(self, one: Lever, two: Lever) -> _Found | None:
        for stop in reversed(two.stops_mm):
            both = partial(_both, self.asked, one, two)
            first = self.least(one, partial(_second_at, both, stop))
            second = first and self.least(two, partial(both, first[0]))
            if first and second:
                return _Found(((one, first[0]), (two, second[0])), second[1], second[2])
        return None

    def told(self, found: _Found, before: Plan, *, no: bool) -> Bargain | None:
        """It as it is told; None where its plan, once proved, is no better after all."""
        plan = self._answers.tell(found.asked)
        if not self.is_better(merit_of(plan), self.ways[0].unfilled):
            return None
        if any(lever.change.kind is ChangeKind.OTHER_CUSTOMERS for lever, _ in found.changes):
            plan = without_names(plan)
        words = [lever.words(by, plan) for lever, by in found.changes]
        told = "; ".join([words[0], *(lower(each) for each in words[1:])])
        used = {part.piece for patch in plan.patches for part in patch.parts}
        extra = tuple(piece for piece in found.asked.beside if piece.tag in used)
        changes = tuple(change for lever, by in found.changes for change in _changes(lever, by, extra))
        costs = " ".join(dict.fromkeys(lever.cost for lever, _ in found.changes))
        better = "" if no else gain(before, plan, Unit(found.asked.job.unit))
        if not (no or better):
            return None
        return Bargain(changes, f"{told}, and {made_by(plan)}.", found.asked.job, plan, extra, costs, better)


def _changes(lever: Lever, by_mm: float, extra: Sequence[Piece]) -> list[Change]:
    """The change as answers have it: one for each piece that is asked back."""
    held = lever.change.kind is ChangeKind.HELD
    return [replace(lever.change, piece=piece.tag) for piece in extra] if held else [lever.at(by_mm)]


def _is_bought(lever: Lever) -> bool:
    return lever.change.kind is ChangeKind.ROLL


def _kinds(one: Lever, two: Lever) -> tuple[object, ...]:
    return one.change.kind, one.change.patch, two.change.kind, two.change.patch


def _alike(one: Lever, two: Lever) -> bool:
    """True of two that do the same: one kind of change, but for two sides of a patch."""
    return one.change.kind is two.change.kind and one.change.kind not in (ChangeKind.SHAVE, ChangeKind.GROW)


def _both(asked: Asked, one: Lever, two: Lever, first: float, second: float) -> Asked:
    """What is asked with both changes."""
    return two.asked(one.asked(asked, first), second)


def _second_at(both: Callable[[float, float], Asked], second: float, first: float) -> Asked:
    return both(first, second)


def _alone(asked: Asked, patch: str) -> Asked:
    """What is asked of one patch, with all the stock to itself."""
    return replace(asked, job=replace(asked.job, patches=tuple(each for each in asked.job.patches if each.name == patch)))


def _all(asked: Asked, every: Iterable[Lever]) -> Asked:
    """What is asked with all of these changes."""
    for lever in every:
        asked = lever.asked(asked, 0.0)
    return asked
