"""The PostgreSQL of the tests: databases apart, killed and started again, gone with the process that asked for it."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cluster import ROOT, soon
from tests.server import PASSWORD, Server

ASKS = """
import time
from pathlib import Path
from tests.server import running_server
with running_server(Path({folder!r})) as server:
    print(server.folder, flush=True)
    time.sleep(600)
"""


def test_each_test_has_a_database_of_its_own(server: Server) -> None:
    one = server.make()
    server.sql("CREATE TABLE rack (bay text); INSERT INTO rack VALUES ('Bay 3')", one)
    other = server.make(like=one)
    server.sql("UPDATE rack SET bay = 'Bay 4'", other)
    assert [server.sql("SELECT bay FROM rack", name) for name in (one, other)] == ["Bay 3", "Bay 4"]
    server.drop(one)
    server.drop(other)
    assert server.sql(f"SELECT count(*) FROM pg_database WHERE datname IN ('{one}', '{other}')") == "0"


def test_it_sorts_and_writes_days_as_others_may_have_set_it_up(server: Server) -> None:
    """So that what holds on it owes nothing to the habits of one server."""
    assert server.sql("SELECT string_agg(tag, ' ' ORDER BY tag) FROM (VALUES ('R-B'), ('R-a')) AS rack (tag)") == "R-a R-B"
    assert server.sql("SELECT DATE '2031-05-03'") == "03.05.2031"


def test_what_was_committed_is_there_after_a_kill(server_address: str, server: Server) -> None:
    name = server_address.rpartition("/")[2].partition("?")[0]
    server.sql("CREATE TABLE rack (bay text); INSERT INTO rack VALUES ('Bay 3')", name)
    server.kill()
    with pytest.raises(AssertionError, match=r"No such file or directory|refused"):
        server.sql("SELECT 1")
    server.start()
    assert server.sql("SELECT bay FROM rack", name) == "Bay 3"


def test_the_network_asks_for_the_password(server: Server) -> None:
    address = server.address("postgres", network=True)
    told = {"PATH": os.environ["PATH"], "PGPASSFILE": os.devnull}
    asked: list[str | Path] = [server.programs / "psql", "-XtAc", "SELECT 1", "-w", address]
    done = subprocess.run(asked, env=told, capture_output=True, text=True, check=False)
    assert done.returncode != 0 and "password" in done.stderr
    done = subprocess.run(asked, env={**told, "PGPASSWORD": PASSWORD}, capture_output=True, text=True, check=False)
    assert done.stdout.strip() == "1", done.stderr


def test_a_server_is_gone_with_the_process_that_asked_for_it_however_that_ends(server: Server) -> None:
    code = ASKS.format(folder=str(server.programs))
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen([sys.executable, "-c", code], env=env, stdout=subprocess.PIPE, text=True) as asker:
        assert asker.stdout
        folder = Path(asker.stdout.readline().strip())
        pid = int((folder / "data/postmaster.pid").read_text().split("\n")[0])
        asker.send_signal(signal.SIGKILL)
    assert soon(lambda: not folder.exists())
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)
