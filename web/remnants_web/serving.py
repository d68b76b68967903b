"""Starts the pages on waitress, and prints what a person needs to come in."""

import logging
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, closing, contextmanager
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import get_context, parent_process
from multiprocessing.process import BaseProcess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from remnants.actions import CatalogueAt, connections_kept, doors, open_catalogue, people
from remnants.actions.search_on_cluster import ClusterLookedAt
from remnants.desk import Address, Budget, Desk, FarDesk, WorkDesk, Worker, parcel_of, reached_from_afar, value_of
from remnants.errors import CatalogueUnusable, GaveUp
from remnants.limits import CONNECTIONS_EACH, READ_MEMORY, READ_SECONDS
from remnants.question import How, here
from remnants_web.app import create_app
from remnants_web.connections import make_server
from remnants_web.demo import make_accounts, tell
from remnants_web.greeting import ways_in
from remnants_web.hosts import EVERYWHERE, addresses_for_others, host_names, url_of
from remnants_web.questions import Warming, answer_on_cluster
from remnants_web.settings import Settings, utc_now

__all__ = ["THREADS", "Door", "serve", "serve_demo"]

CONNECTIONS = 12
"""To a server with the catalogue, of each process: PostgreSQL takes 100 where nobody told it another number."""

THREADS = 32

MOST_LARGE = 4
"""Workers for large questions at most, one a processor; one more is for small ones alone."""

MOST_FAR = 8
"""Questions on a cluster at once at most, beside a small one: each holds a process here, which waits for it."""

STANDS_BACK = 10
"""How far work on large questions stands back (nice) behind small ones and the pages."""

HELPER_SECONDS = 1.0
"""How long a further process may take to end after this one."""

MOST_READ = 8
"""Files that were read lately and are known, such as one that is sent again after a slip in its form."""

BEFORE = ("remnants_web.questions",)
"""What a worker has at hand when it starts."""

logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # that requests wait a moment is no news for a terminal


@dataclass(frozen=True)
class Door:
    """Where the pages are reached: the address listened on, its port (0 takes any free one), and under which names.

    `https` is for a server behind something that encrypts: addresses and cookies are then made for it. `processes` share the
    work: all that they know of one another stands in the catalogue. `cluster` is the address of a Dask scheduler, whose workers
    then work questions out.
    """

    listen: str = "127.0.0.1"
    port: int = 8080
    hosts: tuple[str, ...] = ()
    https: bool = False
    proxies: int = 0
    processes: int = 1
    cluster: str = ""

    def settings(self, catalogue: CatalogueAt, **more: Any) -> Settings:
        """What the app needs to know to serve a catalogue here."""
        return Settings(catalogue, hosts=host_names(self.listen, self.hosts), https=self.https, proxies=self.proxies, **more)

    def open(self) -> socket.socket:
        """A socket that listens here, at all addresses of both kinds where it shall. Raises OSError when the port is taken."""
        new = ":" in self.listen
        both = self.listen == "::" and socket.has_dualstack_ipv6()
        family = socket.AF_INET6 if new else socket.AF_INET
        return socket.create_server((self.listen, self.port), family=family, dualstack_ipv6=both)

    def reached(self, port: int) -> tuple[str, ...]:
        """The addresses at which others than this machine reach the pages."""
        return addresses_for_others(self.listen, port, self.hosts, https=self.https)

    def address(self, port: int) -> str:
        """The address to tell first: one that others reach, or else this machine's own."""
        own = next(iter(self.hosts), "localhost") if self.https else "localhost" if self.listen in EVERYWHERE else self.listen
        return next(iter(self.reached(port)), url_of(own, port, https=self.https))


def serve(catalogue: CatalogueAt, door: Door, *, say: Callable[[str], None] = print) -> None:
    """Serves until stopped. Where nobody has been let in yet, says the first manager's one-time link.

    Raises CatalogueUnusable; BadInput where the cluster can't be used; OSError when the port is taken.
    """
    with open_catalogue(catalogue, write=True) as opened:
        secret = people.first_manager_link(opened, now=utc_now())

    def greet(address: str, ways: Sequence[str]) -> None:
        say(f"serving {catalogue} at {address}/ (Ctrl-C stops it)")
        if secret:
            say(f"nobody has come in yet; the first manager opens this once, within three days:\n  {address}/link/{secret}")
        for line in ways:
            say(line)

    with _ended_by_term():
        _run(door.settings(catalogue), door, greet)


def serve_demo(door: Door, *, say: Callable[[str], None] = print) -> None:
    """Serves an invented shop until stopped, and leaves nothing behind: its catalogue lies in a temporary folder.

    Raises BadInput where the cluster can't be used; OSError when the port is taken, or there is no room for temporary files.
    """
    with _ended_by_term(), TemporaryDirectory(prefix="remnants-invented-shop-") as folder:
        catalogue = Path(folder) / "invented.db"
        with open_catalogue(catalogue, write=True) as opened:
            tell(opened, now=utc_now())
            accounts = make_accounts(opened, now=utc_now())

        def greet(address: str, ways: Sequence[str]) -> None:
            say(f"an invented shop at {address}/ (Ctrl-C stops it, and all of it is gone)")
            for account in accounts:
                person = account.person
                say(f"  {person.name:<5} {account.passphrase}   may {person.role}")
            for line in ("names and passphrases are for this run alone; no such styles, lots or customers exist", *ways):
                say(line)

        _run(door.settings(catalogue, demo=True, shop="Invented shop"), door, greet)


def _run(settings: Settings, door: Door, greet: Callable[[str, Sequence[str]], None]) -> None:
    far = _places(door.cluster) if door.cluster else 0
    opened = door.open()
    port = opened.getsockname()[1]
    settings = replace(settings, reached=door.reached(port))
    with (
        closing(opened),
        _desks(settings, door.cluster, far) as desks,
        _helped(settings, opened, desks, door.processes - 1) as end_others,
    ):
        greet(door.address(port), ways_in(settings.reached, https=door.https, code=_shows_codes()))
        _answer(settings, opened, desks, _Ends(end_others, lambda: _break_off(desks)))


@dataclass(frozen=True)
class _Ends:
    """What ends with a process that answers: the `others` at once, and a moment later the `work` that is still waited for."""

    others: Callable[[], None] = lambda: None
    work: Callable[[], None] = lambda: None


def _break_off(desks: Iterable[WorkDesk]) -> None:
    for desk in desks:
        desk.break_off()


@contextmanager
def _desks(settings: Settings, cluster: str, far: int) -> Iterator[tuple[WorkDesk, WorkDesk]]:
    """The desk where questions are worked out beside the pages, warm before somebody asks; and the one where files are read.

    `far` is how many the `cluster` works on at once.
    """
    large = min(far, MOST_FAR) if cluster else min(os.cpu_count() or 1, MOST_LARGE)
    how = partial(answer_on_cluster, address=cluster) if cluster else here
    work = WorkDesk(partial(_worker, how), large=large, warm=Warming(settings.catalogue, settings.now().date()))
    reading = WorkDesk(_reader, large=0, known=MOST_READ)
    try:
        yield work, reading
    finally:
        reading.close()
        work.close()


def _places(cluster: str) -> int:
    """How many questions the cluster works on at once, asked by a process that ends: its libraries stay out of this one.

    Raises BadInput where it can't be used.
    """
    try:
        looks = Worker(Budget())
    except (EOFError, OSError):
        raise GaveUp(f"no process could be started to look at the cluster at {cluster}; try again") from None
    try:
        places: int = value_of(looks.work(parcel_of(ClusterLookedAt(cluster))))
    finally:
        looks.end()
    return places


def _worker(how: How, large: bool) -> Worker:
    return Worker(Budget(nice=STANDS_BACK if large else 0), BEFORE, how)


def _reader(_large: bool) -> Worker:
    return Worker(Budget(READ_SECONDS, READ_MEMORY), BEFORE)


def _answer(settings: Settings, opened: socket.socket, desks: Sequence[Desk], ends: "_Ends") -> None:
    """Answers in this process until stopped, and then finishes."""
    each = None if settings.proxies else CONNECTIONS_EACH
    app = create_app(settings, *desks)
    server = make_server(app, opened, was_let_in=partial(_was_let_in, settings), threads=THREADS, each=each)
    try:
        with connections_kept(settings.catalogue, most=CONNECTIONS), _heard(server.stop):
            server.run()
            ends.others()
            server.finish(ends.work)
    finally:
        server.close()


def _answer_beside(settings: Settings, opened: socket.socket, *reached: tuple[Address, bytes]) -> None:
    """What a further process does, until the first one ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches every process of a terminal; the first one ends the others
    first = parent_process()
    if first is not None:
        threading.Thread(target=_outlive, args=(first,), daemon=True).start()
    _answer(settings, opened, [FarDesk(address, secret) for address, secret in reached], _Ends())


def _outlive(first: BaseProcess) -> None:
    """Ends this process where the first one is gone."""
    first.join()
    os.kill(os.getpid(), signal.SIGTERM)


def _was_let_in(settings: Settings, secret: str) -> bool:
    """Asked before a large request is taken in; where the catalogue can't be read just now, nobody was."""
    try:
        with open_catalogue(settings.catalogue, write=False) as catalogue:
            return doors.was_let_in(catalogue, secret)
    except CatalogueUnusable:
        return False


def _shows_codes() -> bool:
    """Whether what is said goes to a terminal that can draw a code."""
    return sys.stdout.isatty() and (sys.stdout.encoding or "").lower().startswith("utf")


@contextmanager
def _helped(settings: Settings, opened: socket.socket, desks: Sequence[Desk], count: int) -> Iterator[Callable[[], None]]:
    """That many further processes answer at the same door meanwhile, and bring their questions to the same desks.

    Gives what tells them to finish.
    """
    helping = get_context("spawn")
    with ExitStack() as stack:
        others: list[BaseProcess] = []
        if count:
            own = (settings, opened, *[stack.enter_context(reached_from_afar(desk)) for desk in desks])
            others += [helping.Process(target=_answer_beside, args=own, daemon=True) for _ in range(count)]
            for other in others:
                other.start()
                stack.callback(_end, other)
        yield lambda: _tell_to_end(others)


def _tell_to_end(others: Iterable[BaseProcess]) -> None:
    for other in others:
        other.terminate()


def _end(other: BaseProcess) -> None:
    """Ends a further process: by itself, or else at once."""
    other.terminate()
    other.join(HELPER_SECONDS)
    other.kill()
    other.join()


def _ended_by_term() -> AbstractContextManager[None]:
    """Lets a request to end (SIGTERM) clean up as Ctrl-C does, also before anybody is answered."""
    return _heard(lambda: sys.exit(0), signal.SIGTERM)


@contextmanager
def _heard(do: Callable[[], None], *signals: signal.Signals) -> Iterator[None]:
    """Does so at a request to end, SIGTERM or Ctrl-C unless others are named; only the main thread may hear them.

    What is ignored, as Ctrl-C is behind `nohup` and in a further process, stays ignored.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    heard = [each for each in signals or (signal.SIGTERM, signal.SIGINT) if signal.getsignal(each) is not signal.SIG_IGN]
    before = {each: signal.signal(each, lambda _number, _frame: do()) for each in heard}
    try:
        yield
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
