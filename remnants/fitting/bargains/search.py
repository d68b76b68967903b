"""The least change that makes a no a yes: each at its most; where that does, the least of it; pairs where no single one does.

More of a change never helps less: a smaller patch, allowance or least part is made by whatever made the larger one. So the least
of it is found by halving, to what a tape shows. But for a patch shaved until two, three or four parts of it would be too
narrow: up to there it is tried as well.
"""

import math
from collections.abc import Callable
from functools import partial
from itertools import combinations

from remnants.fitting.bargains.levers import Lever, levers
from remnants.fitting.telling.sights import listed
from remnants.model.bargain import Bargain, Bargains, ChangeKind
from remnants.model.merit import Merit
from remnants.model.patch import Job
from remnants.model.plan import Plan, Verdict
from remnants.units import MM_PER_IN, Unit, is_imperial

__all__ = ["MOST_FITS", "MOST_TOLD", "bargains_for"]

MOST_FITS = 90
"""Fits that a search for bargains is worth; the answer itself is not touched by it."""

MOST_TOLD = 5

MOST_PAIRS = 2
"""Pairs of changes that are told, where no single one helps."""


def bargains_for(
    job: Job, plan: Plan, fits: Callable[[Job], Plan], *, most_fits: int = MOST_FITS, stop: Callable[[], bool] = lambda: False
) -> Bargains:
    """What would fill more of the job's patches than the plan does: at most five, the least effort first.

    `fits` answers a changed job; no more than `most_fits` are asked, none after `stop`. Nothing for a plan that fills all.
    """
    unfilled = frozenset(short.patch for short in plan.short)
    search = _Search(job, fits, _open(plan), most_fits, stop)
    every = levers(job, unfilled, search.unit) if unfilled else ()
    singles = [found for lever in every if (found := search.single(lever)) is not None]
    pairs = [] if singles else search.pairs([lever for lever in every if lever.most_mm > 0])
    helped = {lever.name for lever, _ in singles} if singles else {lever.name for lever in every if pairs and lever.most_mm > 0}
    told = sorted([*singles, *pairs], key=lambda each: (_open(each[1].plan), each[0].effort, _merit(each[1].plan).key))
    best: dict[tuple[object, ...], Bargain] = {}
    for _, bargain in told:
        best.setdefault((tuple(change.kind for change in bargain.changes), bargain.changes[0].patch), bargain)
    names = dict.fromkeys(lever.name for lever in every if lever.name not in helped)
    return Bargains(tuple(best.values())[:MOST_TOLD], () if search.stopped else tuple(names), search.stopped)


class _Search:
    """Fits still to be had, and what they found."""

    def __init__(self, job: Job, fits: Callable[[Job], Plan], unfilled: int, most_fits: int, stop: Callable[[], bool]) -> None:
        self.job, self.unit, self.stopped = job, Unit(job.unit), False
        self._fits, self._open, self._left, self._stop = fits, unfilled, most_fits, stop
        self._step = MM_PER_IN / 16 if is_imperial(self.unit) else 1.0

    def helps(self, job: Job) -> Plan | None:
        """The plan for the job where it fills more; None where it doesn't, or no fit is left."""
        if self._left <= 0 or self._stop():
            self.stopped = True
            return None
        self._left -= 1
        plan = self._fits(job)
        return plan if _open(plan) < self._open else None

    def single(self, lever: Lever) -> tuple[Lever, Bargain] | None:
        """The least of one change that helps."""
        found = self.least(lever, partial(lever.job, self.job), lever.stops_mm)
        if found is None:
            return None
        amount, job, plan = found
        return lever, Bargain((lever.at(amount),), f"{lever.words(amount)}, and {_made(plan)}.", job, plan)

    def least(
        self, lever: Lever, job_at: Callable[[float], Job], stops_mm: tuple[float, ...] = ()
    ) -> tuple[float, Job, Plan] | None:
        """The least amount at which it helps, in whole steps of a tape, its job and plan."""
        tried = ((most, job, self.helps(job)) for most in (lever.most_mm, *stops_mm) for job in (job_at(most),))
        most, job, plan = next((each for each in tried if each[2] is not None), (0.0, self.job, None))
        if plan is None:
            return None
        low, high, best = 0, math.ceil(most / self._step), (most, job, plan)
        while high - low > 1:
            middle = (low + high) // 2
            job = job_at(middle * self._step)
            plan = self.helps(job)
            if plan is None:
                low = middle
            else:
                high, best = middle, (middle * self._step, job, plan)
        return best

    def pairs(self, lengths: list[Lever]) -> list[tuple[Lever, Bargain]]:
        """Two changes that help together: as much of the second as may be, then the least of either."""
        found: list[tuple[Lever, Bargain]] = []
        for one, two in combinations(lengths, 2):
            if len(found) >= MOST_PAIRS or _alike(one, two):
                continue
            both = partial(_both, self.job, one, two)
            first = self.least(one, partial(_second_at, both, two.most_mm))
            second = first and self.least(two, partial(both, first[0]))
            if first and second:
                words = f"{one.words(first[0])}; {_lower(two.words(second[0]))}"
                changes = (one.at(first[0]), two.at(second[0]))
                found.append((one, Bargain(changes, f"{words}, and {_made(second[2])}.", second[1], second[2])))
        return found


def _alike(one: Lever, two: Lever) -> bool:
    """True of two that do the same: one kind of change, but for two sides of a patch."""
    return one.change.kind is two.change.kind and one.change.kind is not ChangeKind.SHAVE


def _both(job: Job, one: Lever, two: Lever, first: float, second: float) -> Job:
    """The job with both changes."""
    return two.job(one.job(job, first), second)


def _second_at(both: Callable[[float, float], Job], second: float, first: float) -> Job:
    return both(first, second)


def _open(plan: Plan) -> int:
    return sum(patch.verdict is Verdict.NONE for patch in plan.patches)


def _merit(plan: Plan) -> Merit:
    return plan.merit or Merit()


def _made(plan: Plan) -> str:
    """What then makes it: `R-0188 makes it whole`."""
    tags = list(dict.fromkeys(part.piece for patch in plan.patches for part in patch.parts))
    named = listed(tags)
    joined = any(patch.verdict is Verdict.JOINED for patch in plan.patches)
    if _open(plan):
        return f"{named} {'make' if len(tags) > 1 else 'makes'} more of it"
    return f"{named} {'make' if len(tags) > 1 else 'makes'} it {'with a seam' if joined else 'whole'}"


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
