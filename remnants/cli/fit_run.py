"""How `remnants fit` has its jobs answered: here, in processes, or on a cluster, with progress and Ctrl-C for each."""

import argparse
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from remnants.actions import open_catalogue
from remnants.actions.fit_job import Fitted, offer_in_hand, offer_of
from remnants.actions.fit_tasks import Limits, Task, fit_here
from remnants.actions.why_not import why_not_in, why_not_of
from remnants.cli.fit_options import limits_of
from remnants.cli.options import now
from remnants.cli.progress import Searching, searching
from remnants.errors import BadInput, Fault
from remnants.exchange import Stock
from remnants.fitting import Told
from remnants.late import Late
from remnants.model import Job, Merit
from remnants.packing import Watch

if TYPE_CHECKING:
    from remnants.actions import fit_jobs
else:
    fit_jobs = Late("remnants.actions.fit_jobs")  # brings what runs processes

__all__ = ["answers", "asked_about"]


def answers(args: argparse.Namespace, jobs: Sequence[Job], stock: Stock | None) -> tuple[tuple[Fitted, ...], bool]:
    """The answer to each job, and whether Ctrl-C asked to stop before all was done."""
    tasks, limits = _tasks(args, jobs, stock), limits_of(args)
    with searching() as progress:
        apart = args.cluster or ((args.workers or 1) > 1 and len(tasks) > 1)
        found = _apart(args, tasks, limits, progress) if apart else _here(tasks, limits, progress)
        return found, progress.asked_to_stop


def asked_about(
    args: argparse.Namespace, jobs: Sequence[Job], stock: Stock | None, found: tuple[Fitted, ...]
) -> tuple[Fitted, ...]:
    """The answers, that of the one job with why a piece isn't its choice where that is asked. Raises BadInput."""
    tag = args.why_not.strip()
    if not tag:
        return found
    if len(jobs) > 1:
        raise BadInput([Fault("--why-not", "a piece can be asked about for one job: give one job file")])
    (job,), (fitted,) = jobs, found
    if stock:
        told = why_not_in(offer_in_hand(stock, job), job, tag, fitted.plan)
    else:
        with open_catalogue(args.catalogue, write=False) as catalogue:
            told = why_not_of(catalogue, job, tag, fitted.plan, today=now().date())
    return (replace(fitted, why_not=told),)


def _tasks(args: argparse.Namespace, jobs: Sequence[Job], stock: Stock | None) -> list[Task]:
    if stock:
        return [Task(job, offer_in_hand(stock, job)) for job in jobs]
    with open_catalogue(args.catalogue, write=False) as catalogue:
        return [Task(job, offer_of(catalogue, job, today=now().date())) for job in jobs]


def _apart(args: argparse.Namespace, tasks: Sequence[Task], limits: Limits, progress: Searching) -> tuple[Fitted, ...]:
    done = 0

    def answered(count: int) -> None:
        nonlocal done
        done = count
        progress.say(f"{count} of {len(tasks)} jobs answered")

    progress.follow(lambda: done / len(tasks))
    if args.cluster:
        return fit_jobs.fit_on_cluster(tasks, limits, address=args.cluster, stop=progress.stop, answered=answered)
    return fit_jobs.fit_in_processes(tasks, limits, workers=args.workers, stop=progress.stop, answered=answered)


def _here(tasks: Sequence[Task], limits: Limits, progress: Searching) -> tuple[Fitted, ...]:
    done = 0

    def answered(count: int) -> None:
        nonlocal done
        done = count
        progress.say(_before(tasks, done) + "searching")

    def told(watch: Watch) -> Told:
        progress.follow(lambda: (done + _used(watch, limits)) / len(tasks))
        return lambda merit, bound: progress.say(_before(tasks, done) + _progress(merit, bound))

    return fit_here(tasks, limits, stop=progress.stop, answered=answered, told=told)


def _before(tasks: Sequence[Task], done: int) -> str:
    return f"job {done + 1} of {len(tasks)}, " if len(tasks) > 1 else ""


def _used(watch: Watch, limits: Limits) -> float:
    """The share of a search's tries or seconds that is used up, whichever is more."""
    tries = watch.tries / limits.tries if limits.tries else 0.0
    return max(tries, watch.seconds_used() / limits.seconds if limits.seconds else 0.0)


def _progress(merit: Merit, bound: Merit) -> str:
    """The best yet and the bound: patches not filled, and what will be seen."""
    seen = sum(1 for worst, _ in merit.sights if worst > 1)
    least = sum(1 for worst, _ in bound.sights if worst > 1)
    return f"best yet: {merit.unfilled} not filled, {seen} to be seen; at best {bound.unfilled} and {least}"
