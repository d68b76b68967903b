"""A server's searches on a cluster: the same answers, within bounds, ended when nobody waits; workers that end cost time alone.

The worker here stands under a nanny, as `dask worker` starts it: one that is killed is started again.
"""

import os
import signal
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import Request

import pytest
from distributed import Client

from remnants.actions import cluster_desk, open_catalogue, search_on_cluster
from remnants.actions.fit_in_time import fit_in_time
from remnants.actions.log_pieces import log_pieces
from remnants.actions.search_on_cluster import ClusterLookedAt
from remnants.desk import Budget, Worker, parcel_of, value_of
from remnants.errors import BadInput, Fault, GaveUp
from remnants.exchange import read_stock
from remnants.model import Job, Patch, Wanted
from remnants.model.patch import Finish
from remnants.question import Stop
from tests.cluster import Cluster, running_cluster, soon
from tests.reading import found
from tests.stock_values import SIGNED
from tests.test_cli_serve import LARGE_JOB, served, shown_at_last
from tests.web.stock import STOCK

pytestmark = pytest.mark.filterwarnings("ignore")  # the client's own, of its event loop

RING = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
JOB = Job("x", tuple(Patch(f"{n}", RING, 0.0, (Finish.WALL,) * 4, Wanted(style="Harrow Twist")) for n in range(3)))
NEVER = partial(bool, 0)


@dataclass(frozen=True)
class Endless:
    """A search that tells who works on it, and heeds nothing. Where `once` names a file that is there, it gives up at once."""

    tells: Path
    once: bool = False

    def answer(self, _stop: Stop) -> str:
        """The second time of one that is to be begun `once`."""
        again = self.tells.exists()
        self.tells.write_text(f"{os.getpid()} {os.getppid()}")
        while not (again and self.once):
            time.sleep(0.05)
        return "worked out by another"

    def process(self) -> int:
        """Who works on it, once somebody does."""
        return int(soon(lambda: self.tells.exists() and self.tells.read_text()).split()[0])


@dataclass(frozen=True)
class Greedy:
    """A search that takes memory."""

    size: int

    def answer(self, _stop: Stop) -> int:
        """How much it took."""
        return len(bytearray(self.size))


@dataclass(frozen=True)
class Refused:
    """A search that is refused."""

    def answer(self, _stop: Stop) -> None:
        """Never. Raises BadInput."""
        raise BadInput([Fault("patches[0]", "not this one")])


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    with running_cluster(tmp_path_factory.mktemp("cluster"), names=("shops",), options=("--nthreads", "2")) as started:
        yield started
        for client in cluster_desk._clients.values():
            client.close()
        cluster_desk._clients.clear()


def is_there(process: int) -> bool:
    """Whether a process of this machine is there, and no mere entry of one that ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def handed_on(search: Endless, stop: Stop, *, address: str) -> object:
    return search_on_cluster.search_on_cluster(search, stop, address=address)


def test_the_answer_is_that_of_this_machine_and_a_refusal_comes_back(cluster: Cluster, tmp_path: Path) -> None:
    how = partial(search_on_cluster.search_on_cluster, address=cluster.address)
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        log_pieces(catalogue, read_stock(STOCK), signed=SIGNED)
        own = {"today": SIGNED.at.date(), "seconds": 3600.0, "ways": True}
        assert fit_in_time(catalogue, JOB, how=how, **own) == fit_in_time(catalogue, JOB, **own)  # type: ignore[arg-type]
    with pytest.raises(BadInput) as refused:
        how(Refused(), NEVER)
    assert refused.value.faults == (Fault("patches[0]", "not this one"),)


def test_it_tells_how_many_are_worked_on_at_once(cluster: Cluster) -> None:
    assert ClusterLookedAt(cluster.address).answer(NEVER) == 2


def test_work_there_is_ended_when_nobody_waits(cluster: Cluster, tmp_path: Path) -> None:
    endless = Endless(tmp_path / "who")
    with pytest.raises(GaveUp, match="nobody waits for it any longer"):
        search_on_cluster.search_on_cluster(endless, endless.tells.exists, address=cluster.address)
    soon(lambda: not is_there(endless.process()))


def test_memory_and_seconds_are_bounded_there_and_the_worker_goes_on(cluster: Cluster, tmp_path: Path) -> None:
    bounds = {"address": cluster.address, "seconds": 60.0, "memory": 1024 * 1024 * 1024}
    with pytest.raises(GaveUp, match="took more memory than is given"):
        value_of(cluster_desk.outcome(parcel_of(Greedy(2 * 1024 * 1024 * 1024)), NEVER, **bounds))  # type: ignore[arg-type]
    cluster_desk._clients[cluster.address].close()  # as when the scheduler was away for a while
    assert value_of(cluster_desk.outcome(parcel_of(Greedy(9)), NEVER, **bounds)) == 9  # type: ignore[arg-type]


def test_a_worker_that_is_killed_costs_time_alone_and_a_server_that_is_killed_takes_its_searches_along(
    cluster: Cluster, tmp_path: Path
) -> None:
    asks = Worker(Budget(), (), partial(handed_on, address=cluster.address))
    twice, endless = Endless(tmp_path / "twice", once=True), Endless(tmp_path / "endless")
    try:
        asks._pipe.send_bytes(parcel_of(twice))
        process = twice.process()
        with Client(cluster.address, set_as_default=False) as client:
            os.kill(next(iter(client.run(os.getpid).values())), signal.SIGKILL)
        soon(lambda: not is_there(process))
        assert value_of(asks._pipe.recv_bytes()) == "worked out by another"
        asks._pipe.send_bytes(parcel_of(endless))
        process = endless.process()
        asks.break_off()
        soon(lambda: not is_there(process))
    finally:
        asks.end()


def test_serve_works_out_there_what_takes_long_and_its_stop_ends_it(cluster: Cluster, tmp_path: Path) -> None:
    with Client(cluster.address, set_as_default=False) as client:
        with served("--demo", "--cluster", cluster.address, lines=5, TMPDIR=str(tmp_path)) as told:
            address, phrase = found(r"http://\S+/", told), found(r"Maud +([a-z-]{27})", told)
            opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
            form = urlencode({"name": "Maud", "passphrase": phrase, "next": "/patch"}).encode()
            opener.open(Request(f"{address}sign-in", form, {"Sec-Fetch-Site": "same-origin"}), timeout=60).close()
            asked = f"{address}patch/answer?" + urlencode(
                {"style": "Velder Loop", "width": "20 in", "length": "14 in", "pile": "0"}
            )
            assert '<h1 class="verdict">' in shown_at_last(opener, asked)

            def at_work() -> bool:
                """Whether the cluster works on it; who waits looks again and again."""
                with opener.open(LARGE_JOB.format(address=address), timeout=60) as answer:
                    assert answer.status == 202
                return any(client.processing().values())

            soon(at_work)
        soon(lambda: not any(client.processing().values()))


def test_a_cluster_whose_workers_are_gone_is_told_and_so_is_none_at_all(
    cluster: Cluster, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    told, endless = "can't be reached, or has no workers, so nothing was worked out: ask again", Endless(tmp_path / "who")
    monkeypatch.setattr(cluster_desk, "_has_workers", lambda _client: False)
    monkeypatch.setattr(cluster_desk, "WORKERS_SECONDS", 0.1)
    monkeypatch.setattr(cluster_desk, "WITHOUT_SECONDS", 0.2)
    with pytest.raises(GaveUp, match=told):
        search_on_cluster.search_on_cluster(endless, NEVER, address=cluster.address)
    with pytest.raises(GaveUp, match=told):
        search_on_cluster.search_on_cluster(Greedy(9), NEVER, address="nowhere")
    with pytest.raises(BadInput, match="--cluster: no scheduler answers at nowhere"):
        ClusterLookedAt("nowhere").answer(NEVER)


def test_workers_of_another_version_are_told(cluster: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster_desk, "__version__", "9.9")
    with pytest.raises(GaveUp, match="another version of this program"):
        search_on_cluster.search_on_cluster(Greedy(9), NEVER, address=cluster.address)
    with pytest.raises(BadInput, match=r"--cluster: its workers need version 9\.9 of this program"):
        ClusterLookedAt(cluster.address).answer(NEVER)


def test_a_missing_package_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    class Missing:
        @property
        def places(self) -> None:
            raise ModuleNotFoundError("no module named 'distributed'", name="distributed")

    monkeypatch.setattr(search_on_cluster, "cluster_desk", Missing())
    with pytest.raises(BadInput, match=r"--cluster: needs distributed; `pip install 'remnants\[cluster\]'` brings it"):
        ClusterLookedAt("tcp://127.0.0.1:1").answer(NEVER)
