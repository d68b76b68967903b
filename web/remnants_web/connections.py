"""What the server takes of connections, before any page is asked: how many, how slow, how much of a request unasked.

Waitress gathers a request whole before a thread works on it, so a slow sender holds no thread; but it keeps 100 connections
however idle, and stores whatever strangers send, up to a gigabyte each. Here idle ones make room for new ones, whoever is slow
is let go, and more than a small form is taken only from those who were let in: `remnants/limits.py` has the figures.
"""

import socket
import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping
from functools import partial
from http.cookies import CookieError, SimpleCookie
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher, WSGITask
from waitress.utilities import Error, RequestEntityTooLarge
from waitress.wasyncore import loop

from remnants.limits import (
    BODIES_BYTES,
    BODY_SECONDS,
    CONNECTIONS,
    CONNECTIONS_EACH,
    HEAD_SECONDS,
    IDLE_SECONDS,
    SENT_BYTES,
    STRANGER_BYTES,
)
from remnants_web.hosts import HERE

__all__ = ["Server", "WasLetIn", "make_server", "secret_in"]

WasLetIn = Callable[[str], bool]
"""Whether the secret in a request's cookie or key is one of a session, running or just over."""

LARGEST = 4 * SENT_BYTES
"""A body somewhat too large is still taken from people who were let in, so that a page can tell them the limit."""

LOOK_SECONDS = 5

FINISH_SECONDS = 0.8
"""How long what was asked before a stop may go on, such as a booking."""

LAST_SECONDS = 0.4
"""How long the answers of what was broken off then may take to be sent."""

SPARE = 100
"""Places for sockets that are no connections, and for connections that are just being closed."""


class _Crowded(Error):  # type: ignore[misc]
    code = 503
    reason = "Service Unavailable"


class _Request(HTTPRequestParser):  # type: ignore[misc]
    """A request as it comes in; once its head is there, what may follow is known."""

    secret = ""
    promised = 0
    completed: bool
    error: Error | None

    def __init__(self, connection: "_Connection", adj: Adjustments) -> None:
        super().__init__(adj)
        self._connection = connection

    def received(self, data: bytes) -> int:
        """Takes what came, as far as it belongs to this request; gives its length in bytes."""
        before = self.headers_finished
        taken: int = super().received(data)
        if self.body_rcv is not None and not before and not (self.error and self.error.code == 400):
            promised = LARGEST if self.chunked else self.content_length
            refusal = self._connection.server.refusal(self.headers, promised)
            if refusal is None:
                self.promised = promised
                self.secret = secret_in(self.headers)
            else:
                self.error, self.expect_continue = refusal, False
                self.completed = True
        return taken


class _Task(WSGITask):  # type: ignore[misc]
    """A request that is answered; it knows which address of this machine it came to."""

    def get_environment(self) -> dict[str, Any]:
        """The environment of the request."""
        environ: dict[str, Any] = super().get_environment()
        environ[HERE] = self.channel.here
        return environ


class _Connection(HTTPChannel):  # type: ignore[misc]
    """A connection, and since when it waits for the rest of a request, or for its answer to be taken."""

    task_class = _Task
    since = 0.0

    def __init__(self, server: "Server", *args: Any, **named: Any) -> None:
        self.parser_class = partial(_Request, self)
        super().__init__(server, *args, **named)
        self.here = str(self.socket.getsockname()[0])

    def received(self, data: bytes) -> bool:
        """Takes what came."""
        if self.request is None:
            self.since = time.time()
        return bool(super().received(data))

    @property
    def at_work(self) -> bool:
        """True while a request of it is being answered."""
        return bool(self.requests)

    def overdue(self, now: float) -> bool:
        """True when who is at the other end kept it waiting for too long."""
        if self.at_work:
            self.since = now
            return False
        if self.request is not None:
            return bool(now - self.since > (BODY_SECONDS if self.request.promised > STRANGER_BYTES else HEAD_SECONDS))
        if self.total_outbufs_len:
            return bool(now - self.since > BODY_SECONDS)
        return bool(now - self.last_activity > IDLE_SECONDS)


class Server(TcpWSGIServer):  # type: ignore[misc]
    """Waitress, with bounds on connections by address and in all, on slowness, and on what strangers may send."""

    channel_class = _Connection
    was_let_in: WasLetIn
    each: int
    stopped = False
    closed = False

    def __init__(self, *args: Any, **named: Any) -> None:
        self._closing = threading.RLock()
        super().__init__(*args, **named)

    def run(self) -> None:
        """Answers until it is told to stop."""
        while not self.stopped:
            self._look(1.0)

    def stop(self) -> None:
        """Tells it to stop; from any thread, or where a signal is handled."""
        self.stopped = True
        self.pull_trigger()

    def finish(self, break_off: Callable[[], None]) -> None:
        """Takes no more, and ends what was asked already: by itself, or else by breaking off what is worked out elsewhere.

        Whatever takes longer than both times together is left as it is: a change of stock is one transaction.
        """
        self.accepting = False
        self._go_on(FINISH_SECONDS)
        break_off()
        self._go_on(LAST_SECONDS, half_asked=False)
        self.task_dispatcher.set_thread_count(0)

    def pull_trigger(self) -> None:
        """Wakes it. Once it is closed there is nothing to wake, and the number of its pipe may be another file's."""
        with self._closing:
            if not self.closed:
                super().pull_trigger()

    def close(self) -> None:
        """Gives its sockets back."""
        with self._closing:
            self.closed = True
            super().close()

    def _go_on(self, seconds: float, *, half_asked: bool = True) -> None:
        """Goes on with what is asked, and also with what is `half_asked`, whose rest may still come."""
        ends = time.monotonic() + seconds
        while self._close_idle(half_asked=half_asked) and time.monotonic() < ends:
            self._look(0.05)

    def _close_idle(self, *, half_asked: bool) -> bool:
        """Lets go of those on which nothing is asked; whether any connection is left."""
        for connection in list(self.active_channels.values()):
            if not (connection.at_work or connection.total_outbufs_len or (half_asked and connection.request)):
                connection.will_close = True
        return bool(self.active_channels)

    def _look(self, seconds: float) -> None:
        loop(timeout=seconds, use_poll=True, map=self._map, count=1)

    def handle_accept(self) -> None:
        """Takes a connection; where there are too many, the one that waits longest makes room."""
        before = set(self.active_channels)
        super().handle_accept()
        newest = next((self.active_channels[number] for number in self.active_channels if number not in before), None)
        if newest is None:
            return
        own: list[_Connection] = list(self.active_channels.values())
        of_address = [connection for connection in own if connection.addr[0] == newest.addr[0]]
        if len(of_address) > self.each:
            _make_room(of_address, newest)
        elif len(own) > CONNECTIONS:
            crowded, _ = Counter(connection.addr[0] for connection in own).most_common(1)[0]
            _make_room([connection for connection in own if connection.addr[0] == crowded], newest)

    def maintenance(self, now: float) -> None:
        """Lets go of who is too slow."""
        for connection in list(self.active_channels.values()):
            if connection.overdue(now):
                connection.will_close = True

    def refusal(self, headers: Mapping[str, str], promised: int) -> Error | None:
        """Why a body of so many bytes isn't taken; None where it is."""
        if promised <= STRANGER_BYTES:
            return None
        secret = secret_in(headers)
        if not secret or not self.was_let_in(secret):
            return RequestEntityTooLarge(f"sign in first: until then at most {STRANGER_BYTES // 1024} KB are taken.")
        if promised > LARGEST:
            return RequestEntityTooLarge(f"that is too large to send: at most {SENT_BYTES // 2**20} MB are taken.")
        coming = [each.request for each in self.active_channels.values() if each.request is not None]
        own = sum(request.promised for request in coming if request.secret == secret)
        if own + promised > LARGEST or sum(request.promised for request in coming) + promised > BODIES_BYTES:
            return _Crowded("much is being sent here just now; send it again in a minute.")
        return None


def make_server(
    app: Callable[..., Any], opened: socket.socket, *, was_let_in: WasLetIn, threads: int, each: int | None = CONNECTIONS_EACH
) -> Server:
    """A server for `app` at an open socket; its `run` answers until it is closed.

    `each` is how many connections one address may have; None for a server behind a proxy, which has them all.
    """
    named = {"max_request_body_size": LARGEST + 1, "connection_limit": CONNECTIONS + SPARE, "cleanup_interval": LOOK_SECONDS}
    adj = Adjustments(
        sockets=[opened],
        threads=threads,
        ident=None,
        asyncore_use_poll=True,
        channel_request_lookahead=1,  # so that a client that is gone is noticed while its request is worked on
        **named,
    )
    dispatcher = ThreadedTaskDispatcher()
    dispatcher.set_thread_count(threads)
    told = (opened.family, opened.type, opened.proto, opened.getsockname())
    server = Server(app, {}, True, opened, dispatcher=dispatcher, adj=adj, bind_socket=False, sockinfo=told)
    server.was_let_in, server.each = was_let_in, CONNECTIONS if each is None else each
    return server


def secret_in(headers: Mapping[str, str]) -> str:
    """The secret of a session in a request's head, of a key or a cookie; empty without one."""
    scheme, _, key = headers.get("AUTHORIZATION", "").partition(" ")
    if scheme.lower() == "bearer" and key.strip():
        return key.strip()
    try:
        cookies = SimpleCookie(headers.get("COOKIE", ""))
    except CookieError:
        return ""
    return next((cookies[name].value for name in ("__Host-remnants", "remnants") if name in cookies), "")


def _make_room(among: list[_Connection], newest: _Connection) -> None:
    """Closes the one that waits longest, or else the newest where the others are all at work."""
    waiting = [connection for connection in among if not connection.at_work and connection is not newest]
    gone = min(waiting, key=lambda connection: max(connection.since, connection.last_activity), default=newest)
    gone.handle_close()
