"""A server's searches on a Dask cluster, each in a process of its own beside a worker there, within bounds of seconds and memory.

A worker looks several times a second whether its search is still wanted: whoever asked may have left, or be gone altogether.
Then the process is ended. The scheduler gives what a worker that ended was doing to another one.
"""

import logging
import multiprocessing
import threading
import time

from distributed import CancelledError, Client, Future, KilledWorker, get_worker

from remnants import __version__
from remnants.actions.cluster import connected
from remnants.desk import Budget, Worker, raised
from remnants.errors import BadInput, Fault, GaveUp
from remnants.question import Stop

__all__ = ["outcome", "places"]

_log = logging.getLogger("remnants.cluster")

LOOK_SECONDS = 0.05
WORKERS_SECONDS = 2.0
"""How often it is asked whether there are workers at all."""

WITHOUT_SECONDS = 10.0
"""How long a search waits for a worker to come (back) where there is none: a worker that ended is often started again."""

RETRIES = 2
"""How often a search goes to another worker, where those that it was given to end by themselves."""

BEFORE = ("remnants.actions.fit_in_time",)
"""What a process beside a worker has at hand when it starts."""

AWAY = "the cluster that works answers out can't be reached, or has no workers, so nothing was worked out: ask again in a minute"
ENDED = "workers of the cluster kept ending while they worked this out; ask for less at once"
OTHERS = "the cluster's workers have another version of this program, so nothing was worked out: give them this one ({})"

_clients: dict[str, Client] = {}
"""This process's connection to a scheduler, kept from question to question."""

_idle: dict[Budget, list[Worker]] = {}
_lock = threading.Lock()
"""On a worker of the cluster: processes that wait for a search, and what keeps two threads from taking the same."""


def places(address: str) -> int:
    """How many searches the cluster works on at once. Raises BadInput where it can't be used."""
    with connected(address) as client:
        told = client.run(_version, on_error="return")
        if any(version != __version__ for version in told.values()):
            raise BadInput([Fault("--cluster", f"its workers need version {__version__} of this program")])
        return sum(client.ncores().values())


def outcome(parcel: bytes, stop: Stop, *, address: str, seconds: float, memory: int | None) -> bytes:
    """The outcome of a pickled search, as the desk's `Worker` gives it. Raises GaveUp, as `search_on_cluster`."""
    client = _client(address)
    future = client.submit(_worked_out, parcel, __version__, seconds, memory, pure=False, retries=RETRIES)
    try:
        _wait(client, future, stop)
        return _told(future, address)
    finally:
        if client.status == "running":
            future.cancel(force=True)


def _client(address: str) -> Client:
    known = _clients.pop(address, None)
    if known is None or known.status != "running":
        try:
            known = connected(address)
        except BadInput as error:
            _log.warning("%s", error)
            raise GaveUp(AWAY) from None
    _clients[address] = known
    return known


def _wait(client: Client, future: Future, stop: Stop) -> None:
    """Until the search is done. Raises GaveUp when nobody waits for it, and where no worker has been there for a while."""
    there = looked = time.monotonic()
    while not future.done():
        if stop():
            raise GaveUp("it was not worked out in time, or nobody waits for it any longer; ask for less at once")
        now = time.monotonic()
        if now - looked > WORKERS_SECONDS:
            looked = now
            there = now if _has_workers(client) else there
            if now - there > WITHOUT_SECONDS:
                raise GaveUp(AWAY)
        time.sleep(LOOK_SECONDS)


def _has_workers(client: Client) -> bool:
    try:
        return bool(client.ncores())
    except (OSError, TimeoutError):  # it is just being lost: the search tells so by itself
        return True


def _told(future: Future, address: str) -> bytes:
    if future.status not in ("finished", "error"):
        _log.warning("the scheduler at %s went away while a question was worked out", address)
        raise GaveUp(AWAY)
    try:
        told: bytes = future.result()
    except CancelledError:
        raise GaveUp(AWAY) from None
    except KilledWorker:
        raise GaveUp(ENDED) from None
    except (ImportError, AttributeError) as error:
        _log.warning("workers of %s can't work a question out: %s", address, error)
        raise GaveUp(OTHERS.format(__version__)) from None
    return told


def _version() -> str:
    return __version__


def _worked_out(parcel: bytes, version: str, seconds: float, memory: int | None) -> bytes:
    """On a worker of the cluster: the outcome of a search, worked out in a process beside it, which goes on to the next one."""
    if version != __version__:
        return raised(GaveUp(OTHERS.format(version)))
    worker = get_worker()
    key = worker.get_current_task()
    budget = Budget(seconds, memory)
    process = _taken(budget)

    def wanted() -> bool:
        task = worker.state.tasks.get(key)
        if task is not None and task.state == "executing":
            return True
        process.break_off()
        return False

    try:
        return process.work(parcel, wanted)
    finally:
        if process.fit_to_go_on:
            with _lock:
                _idle.setdefault(budget, []).append(process)
        else:
            process.end()


def _taken(budget: Budget) -> Worker:
    with _lock:
        idle = _idle.get(budget, [])
        while idle:
            process = idle.pop()
            if process.fit_to_go_on:
                return process
            process.end()
    multiprocessing.current_process().daemon = False  # what a nanny looks after may have no processes unless told so
    return Worker(budget, BEFORE)
