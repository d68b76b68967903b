"""A process that works on questions, one after the other, within bounds of seconds and memory; ended and replaced past them.

It is told to stop before it is ended: a search then gives the best it has. What it answers or raises comes back pickled.
"""

import os
import pickle
import signal
import threading
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from ctypes import c_byte
from dataclasses import dataclass
from multiprocessing import get_all_start_methods, get_context, parent_process, resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.context import BaseContext
from typing import Any

from remnants.errors import GaveUp, RemnantsError
from remnants.limits import WORK_MEMORY, WORK_SECONDS
from remnants.question import How, MayBeCutShort, Question, Stop, here

try:
    import resource
except ImportError:  # not on Windows: work is bounded in seconds there, not in memory
    resource = None  # type: ignore[assignment]

__all__ = ["Budget", "Worker", "is_whole", "outcome_of", "parcel_of", "raised", "value_of"]

LOOK_SECONDS = 0.1
GRACE_SECONDS = 6.0
"""How long a search that was asked to stop may take to give what it has, drawn and told."""

_ANSWERED, _CUT_SHORT, _RAISED = b"+", b"~", b"-"


@dataclass(frozen=True, slots=True)
class Budget:
    """What one question may take: seconds until its process is ended, bytes of its memory; and how far it stands back (nice)."""

    seconds: float = WORK_SECONDS
    memory: int | None = WORK_MEMORY
    nice: int = 0


class Worker:
    """A process at work, from its start to its end; it ends soon after the one that started it, however that ended.

    `before` are modules that it has at hand, where processes can be forked; `how` it works a question out.
    """

    def __init__(self, budget: Budget, before: Sequence[str] = (), how: How = here) -> None:
        context = _context(tuple(before))
        self._budget = budget
        self._stop: c_byte = context.RawValue("b", 0)
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_work, args=(theirs, self._stop, budget, how), daemon=True)
        with _deaf():
            self._process.start()
        theirs.close()

    def work(self, parcel: bytes, wanted: Callable[[], bool] = lambda: True) -> bytes:
        """The outcome of a pickled question: see `value_of`. `wanted` is asked now and then whether anybody waits.

        A process that takes too long, takes too much memory or ends by itself gives GaveUp; then `fit_to_go_on` is False.
        """
        self._stop.value = 0
        try:
            self._pipe.send_bytes(parcel)
            return self._outcome(wanted)
        except (EOFError, OSError):
            self.end()
            return raised(GaveUp("working it out took more memory than is given, or broke off; ask for less at once"))

    def _outcome(self, wanted: Callable[[], bool]) -> bytes:
        ends = time.monotonic() + self._budget.seconds
        while not wait([self._pipe, self._process.sentinel], LOOK_SECONDS):
            now = time.monotonic()
            if not self._stop.value and (now >= ends or not wanted()):
                self._stop.value = 1
                ends = now + GRACE_SECONDS
            elif now >= ends:
                self.end()
                told = f"it was not worked out within {self._budget.seconds:g} seconds; ask for less at once"
                return raised(GaveUp(told))
        outcome: bytes = self._pipe.recv_bytes()
        return outcome

    @property
    def fit_to_go_on(self) -> bool:
        """Whether it can be handed another question."""
        return bool(self._process.is_alive())

    def break_off(self) -> None:
        """Ends what it works on at once; for another thread than the one that waits for the outcome."""
        self._process.kill()

    def end(self) -> None:
        """Ends the process, whatever it does."""
        self._process.kill()
        self._process.join()
        self._pipe.close()


def parcel_of(question: Question) -> bytes:
    """A question as it is handed to a process of our own."""
    return pickle.dumps(question)


def outcome_of(question: Question, stop: Stop, how: How = here) -> bytes:
    """The answer or what was raised instead, pickled."""
    try:
        answer = how(question, stop)
        short = stop() or (isinstance(question, MayBeCutShort) and question.is_cut_short(answer))
        return (_CUT_SHORT if short else _ANSWERED) + pickle.dumps(answer)
    except RemnantsError as error:
        return raised(error)
    except MemoryError:
        return raised(GaveUp("working it out took more memory than is given; ask for less at once"))
    except Exception as error:
        error.add_note(traceback.format_exc())  # where it was raised is lost on the way
        return raised(error)


def value_of(outcome: bytes) -> Any:
    """The answer in an outcome. Raises what was raised instead."""
    value = pickle.loads(outcome[1:])
    if outcome.startswith(_RAISED):
        raise value
    return value


def is_whole(outcome: bytes) -> bool:
    """Whether an outcome is an answer that was not cut short, and not an error that was raised instead."""
    return outcome.startswith(_ANSWERED)


def raised(error: Exception) -> bytes:
    """The outcome of work that raised this instead of an answer."""
    try:
        return _RAISED + pickle.dumps(error)
    except Exception:  # an error that holds what can't be handed on
        return _RAISED + pickle.dumps(RuntimeError(repr(error)))


@contextmanager
def _deaf() -> Iterator[None]:
    """Processes begun meanwhile never hear Ctrl-C, which reaches every process of a terminal: the first one ends the others.

    That they hold from their first moment on, also the one that they are forked from, which loads its modules for seconds.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # begun with the first process, it would let this thread hear Ctrl-C again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _context(before: tuple[str, ...]) -> Any:
    """Processes that start quickly, where there are such: forked from one that has loaded the modules already."""
    if "forkserver" not in get_all_start_methods():
        return get_context("spawn")
    context: BaseContext = get_context("forkserver")
    context.set_forkserver_preload(list(before))
    return context


def _work(pipe: Connection, stop: c_byte, budget: Budget, how: How) -> None:
    """In the process: question after question until the pipe is closed at the other end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # where it could not be kept from hearing it: see `_deaf`
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    threading.Thread(target=_outlive_nobody, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(budget.nice)
    if resource is not None and budget.memory is not None:
        resource.setrlimit(resource.RLIMIT_AS, (budget.memory, budget.memory))
    while True:
        try:
            parcel = pipe.recv_bytes()
        except (EOFError, OSError):
            return
        pipe.send_bytes(outcome_of(pickle.loads(parcel), lambda: bool(stop.value), how))


def _outlive_nobody() -> None:
    """Ends this process once the one that started it is gone: nobody waits for what it works on any more."""
    first = parent_process()
    if first is not None:
        first.join()
        os._exit(1)
