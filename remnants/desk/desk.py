"""Where questions are handed in and fetched when they are worked out: by workers beside the pages, or in place.

One desk serves all processes that answer pages: those that are not at it reach it through a socket of this machine.
"""

import logging
import math
import pickle
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import AuthenticationError
from multiprocessing.connection import Client, Connection, Listener
from typing import Any, Protocol

from remnants.desk.line import Asked, Line, Place
from remnants.desk.turns import in_turn
from remnants.desk.workers import Worker, is_whole, outcome_of, parcel_of, raised
from remnants.errors import GaveUp, RemnantsError
from remnants.question import Question

__all__ = ["Desk", "FarDesk", "InPlace", "Reply", "WorkDesk", "reached_from_afar"]

_log = logging.getLogger("remnants.desk")

Address = str | tuple[str, int]

KNOWN = 200
KNOWN_BYTES = 64 * 1024 * 1024
"""Outcomes that are kept, by number and by size, so that what is asked again is answered from what is known."""

REST_SECONDS = 5.0
CLOSE_SECONDS = 0.5

STOPS = "the shop's server is being stopped, so this was not worked out and nothing was changed; ask again in a minute"

TRY_AGAIN_SECONDS = 30.0
"""How long it is known that something was not worked out, or not to its end; then it is tried again."""


@dataclass(frozen=True, slots=True)
class Reply:
    """The outcome of a question, or else where it stands in the line."""

    outcome: bytes = b""
    place: Place = field(default_factory=Place)


class Desk(Protocol):
    """What whoever answers pages needs of it."""

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool, wait_s: float) -> Reply:
        """The outcome of a pickled question, if it is there within so many seconds. Raises Crowded, GaveUp."""

    def leave(self, key: str, who: str) -> None:
        """Notes that somebody waits no longer."""


@dataclass
class Known:
    """Outcomes by key, the latest used last; for one thread at a time."""

    clock: Callable[[], float]
    most: int = KNOWN
    _kept: OrderedDict[str, tuple[bytes, float]] = field(default_factory=OrderedDict)
    _bytes: int = 0

    def find(self, key: str) -> bytes:
        """The outcome; empty where none is known."""
        outcome, until = self._kept.get(key, (b"", 0.0))
        if not outcome or until < self.clock():
            return b""
        self._kept.move_to_end(key)
        return outcome

    def keep(self, key: str, outcome: bytes) -> None:
        """Keeps it, and lets the oldest go."""
        old, _ = self._kept.pop(key, (b"", 0.0))
        self._kept[key] = outcome, self.clock() + (math.inf if is_whole(outcome) else TRY_AGAIN_SECONDS)
        self._bytes += len(outcome) - len(old)
        while len(self._kept) > self.most or (self._bytes > KNOWN_BYTES and len(self._kept) > 1):
            _, (gone, _) = self._kept.popitem(last=False)
            self._bytes -= len(gone)


class InPlace:
    """A desk without workers: who asks works it out. For tests, and where no server was started."""

    def __init__(self) -> None:
        self._known = Known(time.monotonic)
        self._lock = threading.Lock()

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool, wait_s: float) -> Reply:
        """The outcome, known or worked out now."""
        with self._lock:
            known = self._known.find(key)
        if known:
            return Reply(known)
        outcome = in_turn(outcome_of)(pickle.loads(parcel), lambda: False)
        with self._lock:
            self._known.keep(key, outcome)
        return Reply(outcome)

    def leave(self, key: str, who: str) -> None:
        """Nobody waits here."""


class WorkDesk:
    """A desk with workers: one for small questions alone, that works out `warm` first, and so many for `large` ones.

    Those start when there is something for them: a large question, or a small one while the other is at work. So many outcomes
    are `known` afterwards. `make_worker` is told whether one for large questions is wanted.
    """

    def __init__(
        self, make_worker: Callable[[bool], Worker], *, large: int, warm: Question | None = None, known: int = KNOWN
    ) -> None:
        self._line = Line(time.monotonic)
        self._known = Known(time.monotonic, known)
        self._changed = threading.Condition()
        self._closing = False
        self._workers: set[Worker] = set()
        self._make_worker = make_worker
        self._warm = parcel_of(warm) if warm else b""
        self._idle = False
        kinds = [False, *[True] * large]
        self._threads = [threading.Thread(target=self._serve, args=(kind,), daemon=True) for kind in kinds]
        for thread in self._threads:
            thread.start()

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool, wait_s: float) -> Reply:
        """The outcome, if it is there within so many seconds, or else its place. Raises Crowded, and GaveUp once it closes."""
        ends = time.monotonic() + wait_s
        with self._changed:
            while True:
                known = self._known.find(key)
                if known:
                    return Reply(known)
                if self._closing:
                    raise GaveUp(STOPS)
                if self._line.ask(key, who, parcel, large=large):
                    self._changed.notify_all()
                left = ends - time.monotonic()
                if left <= 0:
                    return Reply(place=self._line.place(key))
                self._changed.wait(min(left, 1.0))

    def leave(self, key: str, who: str) -> None:
        """Notes that somebody waits no longer; work that nobody waits for is ended."""
        with self._changed:
            self._line.leave(key, who)

    def break_off(self) -> None:
        """Ends what is worked on and tells so whoever waits; what is known is still told, and nothing is taken any more."""
        with self._changed:
            self._closing = True
            for worker in self._workers:
                worker.break_off()
            self._changed.notify_all()

    def close(self) -> None:
        """Ends the workers. One that is only just starting ends by itself, as nobody is there to hand it anything."""
        self.break_off()
        ends = time.monotonic() + CLOSE_SECONDS
        for thread in self._threads:
            thread.join(max(0.0, ends - time.monotonic()))

    def _serve(self, large: bool) -> None:
        """What the thread of one worker does; one that can't go on is replaced."""
        while not self._closing:
            asked = self._taken(large) if large or not self._warm else None
            try:
                with self._begun(large) as worker:
                    self._go_on(worker, large, asked)
            except (EOFError, OSError):
                self._not_begun(asked)

    def _go_on(self, worker: Worker, large: bool, asked: Asked | None) -> None:
        """Has one worker work out what was `asked`, and what comes then, as long as it can."""
        if not large and self._warm:
            worker.work(self._warm, lambda: not self._closing)
        while worker.fit_to_go_on and (asked := asked or self._taken(large)) is not None:
            self._settle(asked.key, worker.work(asked.parcel, partial(self._wanted, asked.key)))
            asked = None

    def _not_begun(self, asked: Asked | None) -> None:
        """Tells whoever asked that no process could be started for it, and waits a while before another is tried."""
        if not self._closing:
            _log.exception("no process could be started to work questions out; it is tried again")
        if asked is not None:
            self._settle(asked.key, raised(GaveUp("no process could be started to work this out; ask again in a minute")))
        with self._changed:
            self._changed.wait_for(lambda: self._closing, REST_SECONDS)

    @contextmanager
    def _begun(self, large: bool) -> Iterator[Worker]:
        worker = self._make_worker(large)
        with self._changed:
            self._workers.add(worker)
            if self._closing:
                worker.break_off()
        try:
            yield worker
        finally:
            with self._changed:
                self._workers.discard(worker)
            worker.end()

    def _taken(self, large: bool) -> Asked | None:
        """The next question, waited for; None when the desk closes."""
        with self._changed:
            while not self._closing:
                asked = self._line.take(large=large, small=not (large and self._idle))
                self._idle = self._idle if large else asked is None
                if asked is not None:
                    self._changed.notify_all()  # one is at work now: the others may take small ones too
                    return asked
                self._changed.wait(1.0)
            return None

    def _wanted(self, key: str) -> bool:
        with self._changed:
            return not self._closing and self._line.wanted(key)

    def _settle(self, key: str, outcome: bytes) -> None:
        with self._changed:
            if self._line.wanted(key):
                self._known.keep(key, outcome)
            self._line.end(key)
            self._changed.notify_all()


class FarDesk:
    """A desk in another process of this machine. Each thread that asks has a connection of its own."""

    def __init__(self, address: Address, secret: bytes) -> None:
        self._reached = address, secret
        self._own = threading.local()

    def ask(self, key: str, who: str, parcel: bytes, *, large: bool, wait_s: float) -> Reply:
        """As the desk itself."""
        reply: Reply = self._done("ask", key, who, parcel, large=large, wait_s=wait_s)
        return reply

    def leave(self, key: str, who: str) -> None:
        """As the desk itself."""
        self._done("leave", key, who)

    def _done(self, name: str, *args: object, **named: object) -> Any:
        try:
            if not hasattr(self._own, "line"):
                address, secret = self._reached
                self._own.line = Client(address, authkey=secret)
            self._own.line.send((name, args, named))
            value = self._own.line.recv()
        except (EOFError, OSError):  # it went with its process
            raise GaveUp(STOPS) from None
        if isinstance(value, Exception):
            raise value
        return value


@contextmanager
def reached_from_afar(desk: Desk) -> Iterator[tuple[Address, bytes]]:
    """Address and secret under which other processes of this machine reach the desk."""
    secret = secrets.token_bytes(32)
    with Listener(authkey=secret, backlog=64) as listener:
        threading.Thread(target=_take_in, args=(listener, desk), daemon=True).start()
        yield listener.address, secret


def _take_in(listener: Listener, desk: Desk) -> None:
    while True:
        try:
            line = listener.accept()
        except AuthenticationError:
            continue
        except OSError:  # closed
            return
        threading.Thread(target=_answer, args=(line, desk), daemon=True).start()


def _answer(line: "Connection[Any, Any]", desk: Desk) -> None:
    """Does for one connection what it asks, until it is closed."""
    try:
        while True:
            name, args, named = line.recv()
            do: Callable[..., Any] = desk.ask if name == "ask" else desk.leave
            try:
                line.send(do(*args, **named))
            except RemnantsError as error:
                line.send(error)
    except (EOFError, OSError):
        line.close()
