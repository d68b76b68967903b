"""`remnants serve`: the pages come up, the first manager's link opens, and what can't be served is refused."""

import gc
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from urllib.parse import urlencode
from urllib.request import Request

import pytest

from tests.commands import Remnants
from tests.ports import free_port
from tests.reading import found
from tests.thorough import some

SERVE = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)  # Ctrl-C is heard even when the tests themselves run in the background
from remnants.cli import main
raise SystemExit(main())
"""


@contextmanager
def served(*options: str, lines: int, end: int = signal.SIGINT, **environment: str) -> Iterator[str]:
    """`remnants serve` on a free port: what it prints first; ended by a signal afterwards."""
    command = [sys.executable, "-c", SERVE, "serve", "--port", str(free_port()), *options]
    given = {**os.environ, "PYTHONUNBUFFERED": "1", **environment}
    with (
        TemporaryFile("w+") as complaints,
        subprocess.Popen(command, stdout=subprocess.PIPE, text=True, stderr=complaints, env=given) as server,
    ):
        try:
            assert server.stdout is not None
            yield "".join(server.stdout.readline() for _ in range(lines))
        finally:
            server.send_signal(end)
            try:
                code = server.wait(60)
            except subprocess.TimeoutExpired:
                server.kill()
                raise
        complaints.seek(0)
        assert (code, complaints.read()) == (0, "")


def test_it_serves_and_prints_the_first_managers_link(tmp_path: Path) -> None:
    with served("--catalogue", str(tmp_path / "stock.db"), lines=3) as told:
        link = found(r"http://\S+/link/\S+", told)
        with urllib.request.urlopen(link, timeout=60) as page:
            assert "The first manager" in page.read().decode()


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM])
def test_several_processes_answer_at_one_door_and_all_of_them_end(tmp_path: Path, end: int) -> None:
    with served("--catalogue", str(tmp_path / "stock.db"), "--processes", "2", lines=3, end=end) as told:
        link = found(r"http://\S+/link/\S+", told)
        for _ in range(20):  # the operating system hands them out; each must know the link
            with urllib.request.urlopen(link, timeout=60) as page:
                assert "The first manager" in page.read().decode()
    with pytest.raises(OSError):
        urllib.request.urlopen(link, timeout=5)


def shown_at_last(opener: urllib.request.OpenerDirector, address: str) -> str:
    """The page of an answer, once it is worked out beside the pages; until then it says that one waits (202)."""
    while True:
        with opener.open(address, timeout=60) as answer:
            page: str = answer.read().decode()
            if answer.status == 200:
                return page
        time.sleep(0.2)


PATCHES = json.dumps([{"width": f"{20 + n % 9} in", "length": f"{14 + n % 5} in", "pile": 0, "max_parts": 3} for n in range(90)])
LARGE_JOB = "{address}patch/answer?" + urlencode({"style": "Velder Loop", "pile": "0", "patches": PATCHES})


@pytest.mark.parametrize("end", some([signal.SIGINT, signal.SIGTERM]))
def test_the_demo_lets_its_people_in_says_that_it_is_invented_and_leaves_nothing(tmp_path: Path, end: int) -> None:
    with served("--demo", lines=5, end=end, TMPDIR=str(tmp_path), REMNANTS_CATALOGUE=str(tmp_path / "own.db")) as told:
        assert list(tmp_path.iterdir())
        people = re.findall(r"^  (\w+) +([a-z-]{27}) +may (\w+)$", told, re.M)
        assert [(name, role) for name, _, role in people] == [("Maud", "manage"), ("Wim", "work"), ("Lou", "look")]
        address = found(r"http://\S+/", told)
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
        form = urlencode({"name": "Maud", "passphrase": people[0][1], "next": "/racks/Bay 4"}).encode()
        with opener.open(Request(f"{address}sign-in", form, {"Sec-Fetch-Site": "same-origin"}), timeout=60) as answer:
            page = answer.read().decode()
        assert "Bay 4" in page and "<svg" in page and "no such styles, lots or customers exist" in page
        asked = f"{address}patch/answer?" + urlencode({"style": "Velder Loop", "width": "20 in", "length": "14 in", "pile": "0"})
        assert '<h1 class="verdict">' in shown_at_last(opener, asked)
        with opener.open(LARGE_JOB.format(address=address), timeout=60) as answer:
            assert answer.status == 202, "it is stopped while this is worked out"
    assert not list(tmp_path.iterdir())


def test_the_demo_takes_no_catalogue_of_yours(remnants: Remnants) -> None:
    told = remnants.refused("serve", "--demo", "--catalogue", str(remnants.catalogue), code=2)
    assert "leave out --catalogue" in told and not remnants.catalogue.exists()


@pytest.mark.filterwarnings("ignore:unclosed", "ignore::pytest.PytestUnraisableExceptionWarning")
def test_a_port_that_is_taken_is_told(remnants: Remnants) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        told = remnants.refused("serve", "--port", str(other.getsockname()[1]), code=2)
    assert "can't listen on 127.0.0.1" in told
    gc.collect()  # the server that could not start leaves its sockets to be collected: now, not in another test


def test_a_cluster_that_is_not_there_is_told_before_anything_is_served(remnants: Remnants) -> None:
    told = remnants.refused("serve", "--demo", "--cluster", "nowhere", code=2)
    assert "--cluster: no scheduler answers at nowhere" in told and "give one such as tcp://127.0.0.1:8786" in told
