"""The front door: from a job and its candidates to a plan. Pure: the same input, seed and tries give the same plan."""

from collections.abc import Callable, Sequence

from remnants.fitting.patch.best_way import ask_of, donors_of
from remnants.fitting.patch.room_on_donors import Field
from remnants.fitting.rules import FitRules
from remnants.fitting.sharing.search import Told, left_of, share
from remnants.fitting.telling.misses import Misses
from remnants.fitting.telling.plan import plan_of
from remnants.fitting.telling.reasons import short_of
from remnants.fitting.telling.ways import ways_of
from remnants.model.match import Candidate
from remnants.model.patch import Job
from remnants.model.plan import Plan, Way
from remnants.packing import Watch

__all__ = ["TRIES", "TRIES_BESIDE", "contested", "fit", "fit_ways"]

TRIES = 60
"""Tries of the search where no watch is given: a few seconds on a job of dozens of patches."""

TRIES_BESIDE = 1
"""Tries of the search for each other way, which is told beside the answer and must not delay it."""


def fit(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    rules: FitRules | None = None,
    *,
    seed: int = 0,
    watch: Watch | None = None,
    told: Told = lambda _merit, _bound: None,
    thrifty: bool = False,
) -> Plan:
    """The plan for a job from the candidates of each of its patches, in the order of `job.patches`.

    First everything is filled; then `Merit` decides: what will be seen, whom it troubles, what it spends (`thrifty`: that first).
    `watch` ends the search for plans that share donors better; `told` hears of each better one and of the bound. More tries or
    time never give a worse plan.
    """
    rules = rules or FitRules()
    asks = [ask_of(job, patch, rules, thrifty=thrifty) for patch in job.patches]
    shared = share(asks, candidates, watch=watch or Watch(tries=TRIES), seed=seed, told=told)
    asks = list(shared.asks)
    misses = [Misses(ask, field, job.unit) for ask, field in zip(asks, shared.fields, strict=True)]
    left = left_of(candidates, shared.made)
    used = any(each is not None for each in shared.made)
    shorts = {
        index: short_of(
            ask,
            Misses(ask, Field(tuple(donors_of(ask.patch, candidates[index], left))), job.unit) if used else misses[index],
            job,
        )
        for index, ask in enumerate(asks)
        if shared.made[index] is None
    }
    return plan_of(job, candidates, shared, shorts=shorts, misses=misses, rules=rules)


def fit_ways(
    job: Job,
    candidates: Sequence[Sequence[Candidate]],
    plan: Plan,
    rules: FitRules | None = None,
    *,
    seed: int = 0,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[Way, ...]:
    """The plan of `fit` and up to two ways beside it, the plan first: see `ways_of`. `stop` ends the search for others."""

    def other(offered: Sequence[Sequence[Candidate]], thrifty: bool) -> Plan:
        return fit(job, offered, rules, seed=seed, watch=Watch(tries=TRIES_BESIDE, stop=stop), thrifty=thrifty)

    return ways_of(plan, candidates, other, job.unit)


def contested(plans: Sequence[Plan]) -> dict[str, tuple[str, ...]]:
    """Pieces that several plans cut, by tag, each with the names of those jobs in the order of the plans."""
    wanted: dict[str, dict[str, None]] = {}
    for plan in plans:
        for tag in (part.piece for patch in plan.patches for part in patch.parts):
            wanted.setdefault(tag, {})[plan.job] = None
    return {tag: tuple(wanted[tag]) for tag in sorted(wanted) if len(wanted[tag]) > 1}
