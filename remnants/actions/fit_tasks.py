"""A job and what it is to be fitted from, answered: the same function of the same values in this process and in any other."""

import pickle
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from remnants.actions.fit_job import Fitted, Offer, Searching, fit_offer
from remnants.fitting import TRIES, Told
from remnants.model import Job
from remnants.packing import Watch

__all__ = ["Answered", "Limits", "Task", "bare", "fit_here", "fit_parcel", "fit_task", "whole"]

Answered = Callable[[int], None]
"""Hears how many jobs are answered."""


@dataclass(frozen=True, eq=False)
class Task:
    """A job and what its stock offers for it."""

    job: Job
    offer: Offer


@dataclass(frozen=True, slots=True)
class Limits:
    """When the search for a better plan ends, for each job; `ways`: whether others are looked for beside it.

    Without seconds an answer is always the same.
    """

    tries: int | None = TRIES
    seconds: float | None = None
    seed: int = 0
    ways: bool = False


def fit_task(
    task: Task, limits: Limits, *, stop: Callable[[], bool], told: Told = lambda _merit, _bound: None, watch: Watch | None = None
) -> Fitted:
    """The answer to one job. Pure but for the clock: the same task, tries and seed give the same answer. Raises Unproved."""
    ends = watch or Watch(tries=limits.tries, seconds=limits.seconds, clock=time.monotonic, stop=stop)
    return fit_offer(task.offer, task.job, search=Searching(limits.seed, ends, told), ways=limits.ways)


def fit_here(
    tasks: Sequence[Task],
    limits: Limits,
    *,
    stop: Callable[[], bool],
    answered: Answered = lambda _count: None,
    told: Callable[[Watch], Told] = lambda _watch: lambda _merit, _bound: None,
) -> tuple[Fitted, ...]:
    """The answers one after the other in this process. `told` is asked for a hearer of each job's search, given its watch."""
    found = []
    for count, task in enumerate(tasks):
        answered(count)
        watch = Watch(tries=limits.tries, seconds=limits.seconds, clock=time.monotonic, stop=stop)
        found.append(fit_task(task, limits, stop=stop, told=told(watch), watch=watch))
    return tuple(found)


def fit_parcel(parcel: bytes, stop: Callable[[], bool]) -> bytes:
    """`fit_task` between processes: from a pickled task and limits to a pickled answer without its stock."""
    task, limits = pickle.loads(parcel)
    return pickle.dumps(bare(fit_task(task, limits, stop=stop)))


def bare(fitted: Fitted) -> Fitted:
    """The answer without the stock, which whoever asked has already."""
    return replace(fitted, pieces={}, styles={})


def whole(fitted: Fitted, task: Task) -> Fitted:
    """The answer with the stock that its task was given."""
    return replace(fitted, pieces=task.offer.stock.piece_of, styles=task.offer.stock.style_of)
