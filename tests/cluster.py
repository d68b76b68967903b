"""A Dask cluster in processes of this machine: a scheduler, and as many workers as a test wants."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from distributed import Client

__all__ = ["ROOT", "Cluster", "running_cluster", "soon"]

ROOT = Path(__file__).parent.parent
HERE = ("--host", "127.0.0.1", "--no-dashboard")


@dataclass
class Cluster:
    """A scheduler's address, and its workers' processes by the addresses they listen at, where they have no nanny."""

    address: str
    workers: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)


def soon(what: Callable[[], Any], seconds: float = 60) -> Any:
    """What `what` gives, once that is something."""
    end = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.05)
    return found


@contextmanager
def running_cluster(folder: Path, *, names: Sequence[str], options: Sequence[str] = ("--nthreads", "1")) -> Iterator[Cluster]:
    """A scheduler and a worker of each name, each started with the options; all are ended afterwards."""
    file = folder / "scheduler.json"
    with ExitStack() as stack:
        _started(stack, "distributed.cli.dask_scheduler", *HERE, "--port", "0", "--scheduler-file", str(file))
        own = ("--local-directory", str(folder), "--scheduler-file", str(file))
        processes = {
            name: _started(stack, "distributed.cli.dask_worker", *HERE, *options, "--name", name, *own) for name in names
        }
        address = soon(lambda: file.is_file() and file.read_text() and json.loads(file.read_text())["address"])
        with Client(address, set_as_default=False) as client:
            client.wait_for_workers(len(names), timeout=60)
            where = {told["name"]: at for at, told in client.scheduler_info()["workers"].items()}
        yield Cluster(address, {where[name]: processes[name] for name in names})


def _started(stack: ExitStack, module: str, *words: str) -> subprocess.Popen[bytes]:
    env = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{ROOT / 'web'}"}
    command = [sys.executable, "-m", module, *words]
    process = subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    stack.callback(_end, process)
    return process


def _end(process: subprocess.Popen[bytes]) -> None:
    """Ends a process, and lets a nanny end its worker first."""
    process.terminate()
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
