"""Answering on a cluster: a real scheduler and two workers on this machine, one of which is killed at work."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from distributed import Client

from tests.commands import Remnants
from tests.fitting.many import a_job, contest, scraps

pytestmark = pytest.mark.filterwarnings("ignore")  # the client's own, of its event loop

ROOT = Path(__file__).parent.parent.parent
LONG = "400"
"""Tries of a search that takes a second or so."""


@dataclass
class Cluster:
    """A scheduler's address and its workers' processes by the addresses they listen at."""

    address: str
    workers: dict[str, subprocess.Popen[bytes]]


def started(module: str, *words: str) -> subprocess.Popen[bytes]:
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen([sys.executable, "-m", module, *words], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def soon(what: Callable[[], Any], seconds: float = 60) -> Any:
    """What `what` gives, once that is something."""
    end = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.05)
    return found


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    file = tmp_path_factory.mktemp("cluster") / "scheduler.json"
    here = ("--host", "127.0.0.1", "--no-dashboard")
    own = [started("distributed.cli.dask_scheduler", *here, "--port", "0", "--scheduler-file", str(file))]
    try:
        for name in ("one", "two"):
            options = ("--nthreads", "1", "--no-nanny", "--name", name, "--local-directory", str(file.parent))
            own.append(started("distributed.cli.dask_worker", *here, *options, "--scheduler-file", str(file)))
        address = soon(lambda: file.is_file() and file.read_text() and json.loads(file.read_text())["address"])
        with Client(address, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
            names = {told["name"]: where for where, told in client.scheduler_info()["workers"].items()}
        yield Cluster(address, {names["one"]: own[1], names["two"]: own[2]})
    finally:
        for process in reversed(own):
            process.kill()
            process.wait()


def fit(remnants: Remnants, *words: str | Path) -> subprocess.Popen[str]:
    """`remnants fit` in a process of its own, on a stock of one piece."""
    command = [sys.executable, "-c", "import sys; from remnants.cli import main; sys.exit(main())", "fit", *map(str, words)]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.Popen(command, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def at_work(client: Client) -> list[str]:
    """Addresses of workers that have something to do."""
    return [address for address, tasks in client.processing().items() if tasks]


def test_ctrl_c_reaches_the_workers(remnants: Remnants, cluster: Cluster) -> None:
    files = [remnants.file(f"{name}.json", contest(name)) for name in ("A", "B")]
    source = remnants.file("stock.json", scraps(1))
    with Client(cluster.address, set_as_default=False) as client:
        running = fit(remnants, *files, "--stock", source, "--tries", "1000000000", "--json", "--cluster", cluster.address)
        soon(lambda: at_work(client))
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=60)
        soon(lambda: not at_work(client))
    assert running.returncode == 130, err
    assert "stopped by hand: the best found so far for A, B;" in err
    assert [answer["verdict"] for answer in json.loads(out)] == ["partly", "partly"]


def test_a_worker_that_is_killed_at_work_costs_nothing_but_time(remnants: Remnants, cluster: Cluster) -> None:
    jobs = [contest(f"Job {index}") for index in range(3)] + [a_job("Job 3", 1)]
    files = [remnants.file(f"{index}.json", job) for index, job in enumerate(jobs)]
    args: tuple[str | Path, ...] = (*files, "--stock", remnants.file("stock.json", scraps(1)), "--tries", LONG, "--json")
    with Client(cluster.address, set_as_default=False) as client:
        running = fit(remnants, *args, "--cluster", cluster.address)
        victim = soon(lambda: at_work(client))[0]
        assert running.poll() is None
        cluster.workers[victim].kill()
        out, err = running.communicate(timeout=120)
        assert list(client.scheduler_info()["workers"]) == [address for address in cluster.workers if address != victim]
    assert running.returncode == 0, err
    assert out == remnants.ok("fit", *args)


def test_no_scheduler_is_told(remnants: Remnants) -> None:
    job, source = remnants.file("a.json", a_job("A", 1)), remnants.file("stock.json", scraps(1))
    told = remnants.refused("fit", job, "--stock", source, "--cluster", "nowhere", code=2)
    assert "--cluster: no scheduler answers at nowhere" in told
