"""The least change that makes a no a yes, or a yes show less: each as far as it goes, then the least of it that does; then pairs.

Where a change only adds ways (a smaller allowance, a narrower part, one part more, more carpet), whatever was made without it is
made with it, so more of it never helps less: the least is found by halving, to what a tape shows. Of sides that are moved see
`sides`. Changes that only add ways are first tried all together: where that is of no help, no one of them is.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations, islice
from typing import Protocol

from remnants.fitting.bargains.lever import Lever
from remnants.fitting.bargains.levers import NEW_ROLL, NOTHING_BESIDE, Beside, levers
from remnants.fitting.bargains.sides import tape_step_mm
from remnants.fitting.telling.sights import listed
from remnants.geometry.outline import TOLERANCE_MM
from remnants.model.bargain import Asked, Bargain, Bargains, Change, ChangeKind
from remnants.model.merit import NO_TROUBLE, Merit, Rank
from remnants.model.patch import Job
from remnants.model.piece import Piece
from remnants.model.plan import Plan, Verdict
from remnants.model.sight import Sight
from remnants.units import Unit

__all__ = ["MOST_TOLD", "MOST_WORK", "Answers", "bargains_for", "made_by", "shows", "without_names"]

MOST_WORK = 400
"""Work that a search for bargains is worth, counted as `work_of` does; the answer itself is not touched by it."""

WORK = {1: 1, 2: 4, 3: 12, 4: 24}
"""What it takes to weigh a patch of so many parts at most, beside one of a single part (measured on 10,000 pieces)."""

MOST_TOLD = 5

MOST_PAIRS = 2
"""Pairs of changes that are told, where no single one helps."""

UNNAMED = "Made once somebody was asked: the page of each piece tells where it lies."

SEEN = 2
"""The grade from which on a sight shows."""


class Answers(Protocol):
    """What answers a changed job."""

    def weigh(self, asked: Asked) -> Merit:
        """How its plan compares."""

    def tell(self, asked: Asked) -> Plan:
        """Its plan, proved and told."""


def work_of(job: Job) -> int:
    """What it takes to weigh a job once: more parts and more turns take longer, patches that share donors for each of them."""
    return len(job.patches) * sum(WORK[patch.max_parts] * len(patch.turns) for patch in job.patches)


def shows(sight: Sight) -> bool:
    """Whether a sight is seen however it turns out. One that may be hard to find, as of a lot not known, asks to be looked at."""
    return sight.worst >= SEEN and sight.best > 0


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
    search = _Search(job, [_merit(way) for way in ways], answers, most_work, stop)
    every = levers(job, patches, Unit(job.unit), beside, no=no)
    singles = search.singles(every)
    cut_short = search.stopped
    pairs = (
        search.pairs([lever for lever in every if not _is_bought(lever)]) if no and all(map(_Found.is_bought, singles)) else []
    )
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
    if _merit(plan).trouble != NO_TROUBLE:
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

    def key(self) -> tuple[object, ...]:
        """Sorts what was found, the best first."""
        effort = sum(lever.effort for lever, _ in self.changes)
        return self.merit.unfilled, effort, self.merit.key, sum(by for _, by in self.changes)


class _Search:
    """Work still to be done, and what was found."""

    def __init__(self, job: Job, ways: list[Merit], answers: Answers, most_work: int, stop: Callable[[], bool]) -> None:
        self.asked, self.ways, self.stopped = Asked(job), ways, False
        self._answers, self._left, self._stop = answers, most_work, stop
        self._step = tape_step_mm(Unit(job.unit))

    def helps(self, asked: Asked) -> Merit | None:
        """The merit of what is asked where it is better; None where it isn't, or no work is left."""
        if self._left <= 0 or self._stop():
            self.stopped = True
            return None
        self._left -= work_of(asked.job)
        merit = self._answers.weigh(asked)
        if self._stop():  # it may have been ended halfway
            self.stopped = True
            return None
        return merit if self.is_better(merit) else None

    def is_better(self, merit: Merit) -> bool:
        """Whether it fills more; where all is filled, whether less shows, or fewer are troubled, than in any way there is."""
        first = self.ways[0]
        if first.unfilled:
            return merit.unfilled < first.unfilled
        beaten = any(_shown(way) <= _shown(merit) and way.trouble <= merit.trouble for way in self.ways)
        return not merit.unfilled and not beaten and merit.key < first.key

    def singles(self, every: Sequence[Lever]) -> list[_Found]:
        """Single changes that help: of each kind on each patch the least."""
        opening = [lever for lever in every if lever.opens]
        shut = len(opening) > 1 and self.helps(_all(self.asked, opening)) is None
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
            merit = self.helps(asked)
            if merit is not None:
                best = top, asked, merit
                return self._halved(asked_at, before, best) if lever.halved else best
            before = stop
        return None

    def _halved(
        self, asked_at: Callable[[float], Asked], before: float, best: tuple[float, Asked, Merit]
    ) -> tuple[float, Asked, Merit]:
        low, high = math.floor((before + TOLERANCE_MM) / self._step), math.ceil((best[0] - TOLERANCE_MM) / self._step)
        while high - low > 1:
            middle = (low + high) // 2
            asked = asked_at(middle * self._step)
            merit = self.helps(asked)
            if merit is None:
                low = middle
            else:
                high, best = middle, (middle * self._step, asked, merit)
        return best

    def pairs(self, every: Sequence[Lever]) -> list[_Found]:
        """Two changes that help together: as far as the second goes, then the least of either; the least effort first."""
        opening = [lever for lever in every if lever.opens]
        both_open = len(opening) > 1 and self.helps(_all(self.asked, opening)) is not None
        usable = {id(each) for each in every if not (each.opens or each.is_length) or self._helps_with(each, opening)}
        found: dict[object, _Found] = {}
        for one, two in sorted(combinations(every, 2), key=lambda both: both[0].effort + both[1].effort):
            if len(found) >= MOST_PAIRS:
                break
            if one.opens and two.opens:
                may = both_open
            else:
                may = id(one) in usable or id(two) in usable if one.opens or two.opens else True
            pair = self._pair(one, two) if may and not _alike(one, two) and _kinds(one, two) not in found else None
            found |= {_kinds(one, two): pair} if pair is not None else {}
        return list(found.values())

    def _helps_with(self, lever: Lever, opening: Sequence[Lever]) -> bool:
        """Whether a change helps beside all that only add ways."""
        if lever.opens or not opening:
            return False
        return any(self.helps(_all(lever.asked(self.asked, stop), opening)) is not None for stop in reversed(lever.stops_mm))

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
        if not self.is_better(_merit(plan)):
            return None
        if any(lever.change.kind is ChangeKind.OTHER_CUSTOMERS for lever, _ in found.changes):
            plan = without_names(plan)
        words = [lever.words(by, plan) for lever, by in found.changes]
        told = "; ".join([words[0], *(_lower(each) for each in words[1:])])
        used = {part.piece for patch in plan.patches for part in patch.parts}
        extra = tuple(piece for piece in found.asked.beside if piece.tag in used)
        changes = tuple(change for lever, by in found.changes for change in _changes(lever, by, extra))
        costs = " ".join(dict.fromkeys(lever.cost for lever, _ in found.changes))
        gain = "" if no else _gain(before, plan)
        return Bargain(changes, f"{told}, and {made_by(plan)}.", found.asked.job, plan, extra, costs, gain)


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


def _all(asked: Asked, every: Iterable[Lever]) -> Asked:
    """What is asked with all of these changes."""
    for lever in every:
        asked = lever.asked(asked, 0.0)
    return asked


def _shown(merit: Merit) -> tuple[Rank, ...]:
    """Those of the sights that show."""
    return tuple(rank for rank in merit.sights if rank[0] >= SEEN)


def _merit(plan: Plan) -> Merit:
    return plan.merit or Merit()


def made_by(plan: Plan) -> str:
    """What then makes it: `R-0188 makes it whole`."""
    tags = list(dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts))
    tags = [f"the {tag}" if tag == NEW_ROLL else tag for tag in tags]
    named, makes = listed(tags), "make" if len(tags) > 1 else "makes"
    joined = any(patch.verdict is Verdict.JOINED for patch in plan.patches)
    if any(patch.verdict is Verdict.NONE for patch in plan.patches):
        return f"{named} {makes} more of it"
    return f"{named} {makes} it {'with a seam' if joined else 'whole'}"


def without_names(plan: Plan) -> Plan:
    """The plan, its patches told without the place where a piece lies: it may be another customer's address."""
    return replace(plan, patches=tuple(replace(each, reason=UNNAMED if each.parts else each.reason) for each in plan.patches))


def _gain(before: Plan, after: Plan) -> str:
    """What no longer shows, the plainest; else whom it no longer troubles."""
    known = {sight.sentence for sight in after.sights}
    gone = sorted((each for each in before.sights if shows(each) and each.sentence not in known), key=lambda each: -each.worst)
    if _shown(_merit(after)) < _shown(_merit(before)) and gone:
        return f"What then no longer shows: {_lower(gone[0].sentence.partition('. ')[0].rstrip('.'))}."
    return "Then fewer floors are lifted, or fewer people asked." if _merit(after).trouble < _merit(before).trouble else ""


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
