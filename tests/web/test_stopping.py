"""A server that is told to stop finishes what was asked, such as a booking; idle connections don't hold it. Over real sockets."""

import http.client
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remnants_web import connections
from tests.thorough import share
from tests.web.served import Served
from tests.web.test_connections import answer_to, connection, wait_until

KINDS = ("idle", "used before", "half asked", "booking", "fit that takes long")
ASKS = {"booking": b"/book", "fit that takes long": b"/fit"}


class Shop:
    """A server whose bookings end when the test lets them, and whose long fits end when they are broken off."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.begun: list[str] = []
        self.booked: list[str] = []
        self.go_on, self.broken_off = threading.Event(), threading.Event()
        self.served = Served(self.page, threads=12, break_off=self.broken_off.set)

    def page(self, environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
        path = environ["PATH_INFO"]
        with self.lock:
            self.begun.append(path)
        if path == "/book":
            self.go_on.wait(60)
            with self.lock:
                self.booked.append(path)
        if path == "/fit":
            self.broken_off.wait(60)
            start("503 Out of reach", [("Content-Type", "text/plain"), ("Content-Length", "13")])
            return [b"being stopped"]
        start("200 OK", [("Content-Type", "text/plain"), ("Content-Length", "6")])
        return [b"booked"]

    def connect(self, kind: str, stack: ExitStack) -> socket.socket:
        """A connection of that kind, once the server has seen it."""
        server, before = self.served.server, len(self.served.server.active_channels)
        opened, seen = connection(self.served, stack), len(self.begun)
        if kind == "half asked":
            opened.sendall(b"POST /book HTTP/1.1\r\nHost: loc")
        elif kind == "used before":
            opened.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
            told = b""
            while not told.endswith(b"booked"):
                told += opened.recv(4096)
        elif kind in ASKS:
            opened.sendall(b"GET " + ASKS[kind] + b" HTTP/1.1\r\nHost: localhost\r\n\r\n")
            wait_until(lambda: len(self.begun) > seen)
        wait_until(lambda: len(server.active_channels) > before)
        return opened


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server that gives what was asked all the time that it needs."""
    monkeypatch.setattr(connections, "FINISH_SECONDS", 60.0)


@pytest.fixture
def curt(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server that breaks work off at once, and then has all the time for the answers."""
    monkeypatch.setattr(connections, "FINISH_SECONDS", 0.0)
    monkeypatch.setattr(connections, "LAST_SECONDS", 60.0)


@pytest.fixture
def shop() -> Iterator[Shop]:
    opened = Shop()
    yield opened
    opened.go_on.set()
    opened.broken_off.set()
    opened.served.end()


@pytest.mark.usefixtures("patient")
def test_a_booking_that_was_sent_before_the_stop_is_done_and_told(shop: Shop) -> None:
    with ExitStack() as stack:
        booking, idle = shop.connect("booking", stack), shop.connect("used before", stack)
        shop.served.server.stop()
        assert answer_to(idle) == "", "what nothing is asked on is closed at once"
        assert not shop.booked
        shop.go_on.set()
        assert answer_to(booking).endswith("\r\n\r\nbooked")
    shop.served.join(60)
    assert shop.booked == ["/book"]


@pytest.mark.usefixtures("patient")
def test_idle_connections_alone_don_t_hold_it_up(shop: Shop) -> None:
    with ExitStack() as stack:
        idle = [shop.connect("idle", stack), shop.connect("used before", stack)]
        shop.served.server.stop()
        assert [answer_to(each) for each in idle] == ["", ""]
        shop.served.join(60)
        assert not shop.served.is_alive()


@pytest.mark.usefixtures("curt")
def test_who_waits_for_work_that_is_broken_off_is_told_so(shop: Shop) -> None:
    with ExitStack() as stack:
        fit = shop.connect("fit that takes long", stack)
        shop.served.server.stop()
        assert answer_to(fit).endswith("\r\n\r\nbeing stopped")
        shop.served.join(60)


def test_once_it_is_stopped_nobody_is_taken_in(shop: Shop) -> None:
    shop.served.end()
    with pytest.raises(OSError):
        http.client.HTTPConnection("127.0.0.1", int(shop.served.address.rpartition(":")[2]), timeout=5).request("GET", "/")


@pytest.mark.usefixtures("curt")
@settings(max_examples=share(12), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(kinds=st.lists(st.sampled_from(KINDS), max_size=6))
def test_whatever_is_open_at_the_stop_each_request_is_answered_whole_or_was_never_begun(kinds: list[str]) -> None:
    shop = Shop()
    shop.go_on.set()
    with ExitStack() as stack:
        opened = [shop.connect(kind, stack) for kind in kinds]
        shop.served.server.stop()
        told = [answer_to(each) for each in opened]
        shop.served.join(60)
    assert not shop.served.is_alive()
    for kind, answer in zip(kinds, told, strict=True):
        whole = {"booking": "booked", "fit that takes long": "being stopped"}.get(kind, "")
        assert answer.endswith(whole) and bool(answer) is (kind in ASKS), kind
    assert shop.booked == ["/book"] * kinds.count("booking")
