"""The door to a Dask cluster: parcels of work go out, answers come back, and workers may come and go.

The scheduler keeps each parcel until its answer is there, so what a worker that ends was doing goes to another one.
"""

import time
import uuid
from collections.abc import Callable, Sequence

from distributed import Client, Event, Future, KilledWorker, get_client

from remnants.actions.fit_tasks import Answered, fit_parcel
from remnants.errors import BadInput, Fault, GaveUp

__all__ = ["answers", "connected"]

CONNECT_SECONDS = 10
LOOK_SECONDS = 0.1
ASK_SECONDS = 0.5
"""How often a worker asks whether it should stop."""

RETRIES = 3


def answers(parcels: Sequence[bytes], *, address: str, stop: Callable[[], bool], answered: Answered) -> list[bytes]:
    """The answers of `fit_parcel`, in order.

    Raises BadInput when no scheduler or worker is there, GaveUp when workers keep ending or the scheduler goes away.
    """
    with connected(address) as client:
        name = f"stop-{uuid.uuid4().hex}"
        asked = Event(name, client=client)
        futures = [client.submit(_fit, parcel, name, pure=False, retries=RETRIES) for parcel in parcels]
        try:
            _wait(futures, stop, asked, answered)
        finally:
            if client.status == "running":
                asked.set()  # nobody waits any more for those at work
        return [_result(future, address) for future in futures]


def connected(address: str) -> Client:
    """A connection to the scheduler, of which there is at least one worker. Raises BadInput where there is none."""
    try:
        client = Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, TimeoutError, ValueError, TypeError) as error:
        what = f"no scheduler answers at {address} ({error}); give one such as tcp://127.0.0.1:8786"
        raise BadInput([Fault("--cluster", what)]) from None
    try:
        client.wait_for_workers(1, timeout=CONNECT_SECONDS)
    except TimeoutError:
        client.close()
        raise BadInput([Fault("--cluster", f"the scheduler at {address} has no workers; start some")]) from None
    return client


def _wait(futures: Sequence[Future], stop: Callable[[], bool], asked: Event, answered: Answered) -> None:
    told = False
    while (done := sum(future.done() for future in futures)) < len(futures):
        answered(done)
        if stop() and not told:
            asked.set()
            told = True
        time.sleep(LOOK_SECONDS)


def _result(future: Future, address: str) -> bytes:
    if future.status not in ("finished", "error"):
        raise GaveUp(f"the scheduler at {address} went away before all was answered; nothing was changed")
    try:
        result: bytes = future.result()
    except KilledWorker as error:
        raise GaveUp(f"workers of {address} kept ending while they answered a job: {error}") from None
    except ModuleNotFoundError as error:
        raise BadInput([Fault("--cluster", f"its workers lack {error.name}; install this program on them")]) from None
    return result


def _fit(parcel: bytes, name: str) -> bytes:
    """On a worker: one answer, ended early when the user asks."""
    return fit_parcel(parcel, _Asked(name))


class _Asked:
    """True once the event of this name is set; looks over the network only now and then."""

    def __init__(self, name: str) -> None:
        self._event = Event(name, client=get_client())
        self._set = False
        self._next = 0.0

    def __call__(self) -> bool:
        now = time.monotonic()
        if not self._set and now >= self._next:
            self._set = bool(self._event.is_set())
            self._next = now + ASK_SECONDS
        return self._set
