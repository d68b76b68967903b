"""Connections: idle ones make room, slow ones are let go, strangers send little. Over real sockets, time turned by hand."""

import http.client
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any
from urllib.parse import urlencode

import pytest

from remnants.actions import doors, open_catalogue
from remnants.limits import BODY_SECONDS, CONNECTIONS_EACH, HEAD_SECONDS, IDLE_SECONDS, SENT_BYTES
from remnants_web.connections import LARGEST, secret_in
from tests.web.conftest import Clock, House
from tests.web.served import Served

KNOWN = "let-in-before"


def page(environ: dict[str, Any], start: Callable[..., Any]) -> list[bytes]:
    """A page that takes what is sent to it."""
    environ["wsgi.input"].read()
    start("200 OK", [("Content-Type", "text/plain")])
    return [b"come in"]


@pytest.fixture
def served() -> Iterator[Served]:
    """A page on the server, which knows one secret."""
    at_work = Served(page, threads=4, was_let_in=lambda secret: secret == KNOWN)
    yield at_work
    at_work.end()


def connection(served: Served, stack: ExitStack) -> socket.socket:
    return stack.enter_context(socket.create_connection(("127.0.0.1", int(served.server.effective_port)), timeout=60))


def head(length: int, *, cookie: str = "", path: str = "/sign-in", chunked: bool = False) -> bytes:
    lines = [f"POST {path} HTTP/1.1", "Host: localhost", "Sec-Fetch-Site: same-origin", "Accept: text/html"]
    lines += ["Content-Type: multipart/form-data; boundary=x"]
    lines += ["Transfer-Encoding: chunked" if chunked else f"Content-Length: {length}"]
    lines += [f"Cookie: remnants={cookie}"] if cookie else []
    return ("\r\n".join(lines) + "\r\n\r\n").encode()


def answer_to(sent: socket.socket) -> str:
    """All that comes until the server closes."""
    parts = []
    while part := sent.recv(65536):
        parts.append(part)
    return b"".join(parts).decode()


def sign_in(served: Served) -> str:
    """Somebody comes with a name and a passphrase now: what they are told."""
    asked = http.client.HTTPConnection("127.0.0.1", int(served.server.effective_port), timeout=60)
    asked.request("POST", "/sign-in", urlencode({"name": "Maud", "passphrase": "ochre badger lantern five"}))
    told = asked.getresponse().read().decode()
    asked.close()
    return told


def wait_until(so: Callable[[], bool]) -> None:
    """Until something is so: the server sees what was sent by itself, in a moment."""
    for _ in range(6000):
        if so():
            return
        time.sleep(0.005)
    pytest.fail("the server did not see it")


def wait_until_seen(served: Served, count: int) -> None:
    wait_until(lambda: len(served.server.active_channels) >= count)


def test_130_idle_connections_shut_nobody_out(served: Served) -> None:
    with ExitStack() as stack:
        idle = [connection(served, stack) for _ in range(130)]
        assert sign_in(served) == "come in"
        assert len(served.server.active_channels) <= CONNECTIONS_EACH
        assert answer_to(idle[0]) == "", "the oldest one made room"


def test_connections_with_half_a_request_make_room_too(served: Served) -> None:
    with ExitStack() as stack:
        for _ in range(CONNECTIONS_EACH + 10):
            connection(served, stack).sendall(b"POST /sign-in HTTP/1.1\r\nHost: loc")
        assert sign_in(served) == "come in"


def test_a_stranger_who_announces_much_is_told_to_sign_in_before_any_of_it_is_taken(served: Served) -> None:
    with ExitStack() as stack:
        for sent in (head(150_000_000), head(70_000), head(0, chunked=True), head(150_000_000, cookie="made-up")):
            stranger = connection(served, stack)
            stranger.sendall(sent)
            told = answer_to(stranger)
            assert told.startswith("HTTP/1.1 413 ") and "sign in first: until then at most 64 KB are taken" in told


def test_one_who_was_let_in_sends_a_photograph_and_no_more_than_that_at_once(served: Served) -> None:
    """Requests of 12 MB each that don't go on: four are waited for, the fifth of the same person is told to come later."""
    with ExitStack() as stack:
        for _ in range(4):
            connection(served, stack).sendall(head(SENT_BYTES, cookie=KNOWN))
        wait_until_seen(served, 4)
        wait_until(lambda: all(each.request for each in list(served.server.active_channels.values())))
        fifth = connection(served, stack)
        fifth.sendall(head(SENT_BYTES, cookie=KNOWN))
        assert answer_to(fifth).startswith("HTTP/1.1 503 ")
        huge = connection(served, stack)
        huge.sendall(head(LARGEST + 1, cookie=KNOWN))
        told = answer_to(huge)
        assert told.startswith("HTTP/1.1 413 ") and "at most 12 MB are taken" in told


@pytest.mark.parametrize(
    ("sent", "patience_s"),
    [
        (b"", IDLE_SECONDS),
        (b"GET / HTTP/1.1\r\nHost: loc", HEAD_SECONDS),
        (head(50_000) + b"--x\r\n", HEAD_SECONDS),
        (head(SENT_BYTES, cookie=KNOWN) + b"--x\r\n", BODY_SECONDS),
    ],
    ids=["nothing", "half a head", "a small body", "a photograph"],
)
def test_whoever_sends_too_slowly_is_let_go(served: Served, sent: bytes, patience_s: int) -> None:
    with ExitStack() as stack:
        slow = connection(served, stack)
        slow.sendall(sent)
        wait_until_seen(served, 1)
        (kept,) = served.server.active_channels.values()
        wait_until(lambda: not sent or kept.request is not None)
        began = kept.since if sent else kept.last_activity
        assert not kept.overdue(began + patience_s - 1)
        assert kept.overdue(began + patience_s + 1)
        kept.since = kept.last_activity = time.time() - patience_s - 1  # as if the time had gone by
        served.server.next_channel_cleanup = 0
        served.server.pull_trigger()
        assert answer_to(slow) == ""


def test_whoever_takes_an_answer_too_slowly_is_let_go(served: Served) -> None:
    with ExitStack() as stack:
        slow = connection(served, stack)
        wait_until_seen(served, 1)
        (kept,) = served.server.active_channels.values()
        kept.since = 1000.0
        kept.total_outbufs_len = 10
        assert not kept.overdue(1000.0 + BODY_SECONDS - 1) and kept.overdue(1000.0 + BODY_SECONDS + 1)
        kept.total_outbufs_len = 0
        slow.close()


@pytest.mark.parametrize(
    ("headers", "secret"),
    [
        ({}, ""),
        ({"AUTHORIZATION": "Bearer abc"}, "abc"),
        ({"AUTHORIZATION": "Basic abc", "COOKIE": "x=1; remnants=def"}, "def"),
        ({"COOKIE": "__Host-remnants=ghi; remnants=def"}, "ghi"),
        ({"COOKIE": "\x00=;;;"}, ""),
    ],
)
def test_the_secret_is_read_from_a_key_or_a_cookie(headers: dict[str, str], secret: str) -> None:
    assert secret_in(headers) == secret


def test_those_whose_session_just_ended_still_send_their_form(house: House, clock: Clock) -> None:
    """Its fields are kept for them; a made-up secret is nobody's."""
    secret = house.secret_of("Wim")
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        assert doors.was_let_in(catalogue, secret) and not doors.was_let_in(catalogue, "made-up")
    clock.wait(days=15)
    with open_catalogue(house.settings.catalogue, write=True) as catalogue:
        assert doors.session_of(catalogue, secret, kinds=frozenset(), now=clock()) is None
        assert doors.was_let_in(catalogue, secret)
