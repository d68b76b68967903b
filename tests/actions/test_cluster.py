"""Answering on a cluster: a real scheduler and two workers on this machine, one of which is killed at work."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from distributed import Client

from tests.cluster import ROOT, Cluster, running_cluster, soon
from tests.commands import Remnants
from tests.fitting.many import a_job, contest, scraps

pytestmark = pytest.mark.filterwarnings("ignore")  # the client's own, of its event loop

LONG = "400"
"""Tries of a search that takes a second or so."""


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    options = ("--nthreads", "1", "--no-nanny")
    with running_cluster(tmp_path_factory.mktemp("cluster"), names=("one", "two"), options=options) as started:
        yield started


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
