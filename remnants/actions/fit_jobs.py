"""Many jobs in one run, each answered on its own against the same stock: in processes of this machine, or on a cluster.

Everywhere it is `fit_task` of the same values, so the answers are the same; only how long they take differs.
"""

import pickle
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from multiprocessing.synchronize import Event
from typing import TYPE_CHECKING

from remnants.actions.cluster_extra import cluster_extra
from remnants.actions.fit_job import Fitted
from remnants.actions.fit_tasks import Answered, Limits, Task, bare, fit_task, whole
from remnants.errors import GaveUp
from remnants.late import Late

if TYPE_CHECKING:
    from remnants.actions import cluster
else:
    cluster = Late("remnants.actions.cluster")

__all__ = ["fit_in_processes", "fit_on_cluster"]

MOST_LOSSES = 3
"""How often processes may end by themselves before the run is given up: the job itself is then likely to end them."""

LOOK_SECONDS = 0.1


def fit_in_processes(
    tasks: Sequence[Task],
    limits: Limits,
    *,
    workers: int,
    stop: Callable[[], bool],
    answered: Answered = lambda _count: None,
) -> tuple[Fitted, ...]:
    """The answers from so many processes of this machine, in the order of the tasks.

    What a process that ends was working on is done again by others. Raises GaveUp when processes keep ending, and what
    `fit_task` raises.
    """
    found: dict[int, Fitted] = {}
    for _ in range(MOST_LOSSES):
        left = [index for index in range(len(tasks)) if index not in found]
        if not left:
            break
        try:
            _one_pool(tasks, limits, left, found, workers=workers, stop=stop, answered=answered)
        except BrokenProcessPool:
            continue  # memory ran short, or somebody ended one: what was not answered is asked again
    if len(found) < len(tasks):
        missing = ", ".join(repr(task.job.name) for index, task in enumerate(tasks) if index not in found)
        raise GaveUp(f"processes ended by themselves {MOST_LOSSES} times before {missing} was answered; try fewer --workers")
    return tuple(whole(found[index], task) for index, task in enumerate(tasks))


def fit_on_cluster(
    tasks: Sequence[Task],
    limits: Limits,
    *,
    address: str,
    stop: Callable[[], bool],
    answered: Answered = lambda _count: None,
) -> tuple[Fitted, ...]:
    """The answers from the workers of a Dask cluster, whose scheduler is at `address`, in the order of the tasks.

    Raises BadInput when the package for it is missing or the scheduler can't be used, GaveUp when workers keep ending.
    """
    with cluster_extra():
        answers = cluster.answers
    parcels = [pickle.dumps((task, limits)) for task in tasks]
    found = answers(parcels, address=address, stop=stop, answered=answered)
    return tuple(whole(pickle.loads(parcel), task) for parcel, task in zip(found, tasks, strict=True))


def _one_pool(
    tasks: Sequence[Task],
    limits: Limits,
    left: Sequence[int],
    found: dict[int, Fitted],
    *,
    workers: int,
    stop: Callable[[], bool],
    answered: Answered,
) -> None:
    """Puts the answers to the tasks that are `left` into `found` as they come. Raises BrokenProcessPool when a process ended."""
    context = get_context("spawn")
    asked = context.Event()
    pool = ProcessPoolExecutor(min(workers, len(left)), mp_context=context, initializer=_begin, initargs=(asked,))
    try:
        waiting: dict[Future[Fitted], int] = {pool.submit(_fit_apart, tasks[index], limits): index for index in left}
        while waiting:
            done, _ = wait(waiting, timeout=LOOK_SECONDS)
            for future in done:
                found[waiting.pop(future)] = future.result()
            answered(len(found))
            if stop():
                asked.set()
    finally:
        asked.set()  # nobody waits any more for those at work
        pool.shutdown(cancel_futures=True)


_asked: list[Event] = []
"""In a worker process: set when the user asks to stop."""


def _begin(asked: Event) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process of a terminal; the first one tells the others
    _asked[:] = [asked]


def _fit_apart(task: Task, limits: Limits) -> Fitted:
    return bare(fit_task(task, limits, stop=_asked[0].is_set))
