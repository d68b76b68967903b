"""`remnants serve`: the pages come up, the first manager's link opens, and what can't be served is refused."""

import gc
import os
import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from tests.commands import Remnants


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


SERVE = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)  # Ctrl-C is heard even when the tests themselves run in the background
from remnants.cli import main
raise SystemExit(main())
"""


def test_it_serves_and_prints_the_first_managers_link(tmp_path: Path) -> None:
    port = free_port()
    command = [sys.executable, "-c", SERVE, "serve", "--port", str(port), "--catalogue", str(tmp_path / "stock.db")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}) as server:
        try:
            assert server.stdout is not None
            told = "".join(server.stdout.readline() for _ in range(3))
            link = re.search(r"http://\S+/link/\S+", told)
            assert link, told
            with urllib.request.urlopen(link[0], timeout=20) as page:
                assert "The first manager" in page.read().decode()
        finally:
            server.send_signal(signal.SIGINT)
            try:
                code = server.wait(20)
            except subprocess.TimeoutExpired:
                server.kill()
                raise
        assert code in (0, 130)


@pytest.mark.filterwarnings("ignore:unclosed", "ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_port_that_is_taken_is_told(remnants: Remnants) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        told = remnants.refused("serve", "--port", str(other.getsockname()[1]), code=2)
    assert "can't listen on 127.0.0.1" in told
    gc.collect()  # the server that could not start leaves its sockets to be collected: now, not in another test
