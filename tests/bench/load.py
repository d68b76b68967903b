"""Fifty people at the pages, searching and fitting in a large catalogue, beside a bare Flask page on the same machine meanwhile.

    python -m tests.bench.load [--pieces 100000] [--people 50] [--seconds 14]

First what each answer costs the processor, asked by one person in one process; it holds on a busy machine too. Then the crowds.

Everything stays on the loopback: servers in processes of their own, people as threads here, each with one kept connection. The
crowd comes at a person's pace (a few seconds between requests), again while two of them ask the largest jobs over and over, and
as fast as it can. A page that waits is looked at again until the answer is there. Prints p50, p95 and errors.

One more asks a bare page of a server of its own all the while, several times a second: what that takes is what the machine had
to give in that very moment, so *times bare* (p95 by p95) can be compared where the milliseconds can't. Below stands whether the
crowds at a person's pace got what is wanted: a fit within 1.5 s, any other page within 150 ms, in 19 of 20 cases, on two cores.
"""

import argparse
import http.client
import json
import random
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import waitress
from flask import Flask

from remnants.actions import doors, open_catalogue, people
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import Stock
from remnants.limits import SENT_PATCHES
from remnants.model import Role, Style
from remnants_web import Settings, create_app
from remnants_web.serving import THREADS, Door, serve
from remnants_web.settings import utc_now
from tests.bench.catalogue import COLOURS, KINDS, STYLES, some_pieces
from tests.stock_values import SIGNED

PACE_S = (2.0, 4.0)
BARE = "bare page"
MIX = (("find", 4), ("piece", 2), ("patch form", 1), ("fit", 3))
"""What a person asks, and how often of ten times."""

CROWDS = (("at a person's pace", True, 0), ("and two with the largest jobs", True, 2), ("without a pause", False, 0))
AGAIN_S = 0.5
LARGEST = "largest job"
BESIDE_S = (0.1, 0.3)
WANTED_MS = {"fit": 1500.0}
PAGE_MS = 150.0
"""What is wanted of 19 in 20 answers, while people come at their pace."""


@dataclass(frozen=True)
class Crowd:
    """Who comes where: the port, the people's sessions, what they ask, of how many pieces, for how long, and how fast.

    The first few (`heavy`) ask the largest jobs, without a pause.
    """

    port: int
    bare_port: int
    secrets: list[str]
    kinds: list[str]
    pieces: int
    seconds: float
    paced: bool
    heavy: int = 0


@dataclass
class Met:
    """Seconds of each answer by kind, and what went wrong."""

    times: dict[str, list[float]] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)

    def note(self, kind: str, seconds: float) -> None:
        self.times.setdefault(kind, []).append(seconds)


def address_of(kind: str, dice: random.Random, pieces: int) -> str:
    """An address of that kind, another one nearly each time."""
    style = dice.randrange(STYLES)
    if kind == "find":
        words = f"{dice.choice(('quorl', 'qourl', 'quorll'))} {KINDS[style % 5].lower()} {style} shade {dice.randrange(COLOURS)}"
        return "/find?" + urlencode({"words": words})
    if kind == "piece":
        return f"/pieces/R-{dice.randrange(pieces):07d}"
    if kind == "fit":
        sizes = {"width": f"{dice.randrange(20, 60)} in", "length": f"{dice.randrange(10, 50)} in"}
        wanted = {"style": f"quorl {KINDS[style % 5].lower()} {style}", "colour": f"shade {dice.randrange(COLOURS)}", "pile": 0}
        return "/patch/answer?" + urlencode(wanted | sizes)
    if kind == LARGEST:
        wanted = {"style": f"quorl {KINDS[style % 5].lower()} {style}", "pile": 0}
        patches = [
            {"width": f"{dice.randrange(20, 60)} in", "length": f"{dice.randrange(10, 50)} in", "pile": 0}
            for _ in range(SENT_PATCHES)
        ]
        return "/patch/answer?" + urlencode({**wanted, "patches": json.dumps(patches)})
    return "/patch" if kind == "patch form" else "/"


def person(number: int, crowd: Crowd, until: float, met: Met) -> None:
    """Asks one thing after another until the time is up."""
    dice = random.Random(f"{number} {crowd.paced} {crowd.heavy} {crowd.seconds}")  # no question comes twice
    asked = http.client.HTTPConnection("127.0.0.1", crowd.port, timeout=60)
    headers = {"Cookie": f"remnants={crowd.secrets[number]}", "Accept": "text/html"}
    heavy = number < crowd.heavy
    paced = crowd.paced and not heavy
    if paced:
        time.sleep(dice.uniform(0, PACE_S[1]))
    while time.perf_counter() < until:
        kind = LARGEST if heavy else dice.choice(crowd.kinds)
        start, address = time.perf_counter(), address_of(kind, dice, crowd.pieces)
        try:
            while (status := status_of(asked, address, headers)) == 202 and time.perf_counter() < until:
                time.sleep(AGAIN_S)
            if status not in (200, 202):
                met.errors.append(f"{kind} {status}")
        except (OSError, http.client.HTTPException) as error:
            met.errors.append(f"{kind} {error!r}")
            asked.close()
        met.note(kind, time.perf_counter() - start)
        if paced:
            time.sleep(dice.uniform(*PACE_S))
    asked.close()


def bystander(crowd: Crowd, until: float, met: Met) -> None:
    """Asks the bare page all the while."""
    dice = random.Random(crowd.seconds)
    asked = http.client.HTTPConnection("127.0.0.1", crowd.bare_port, timeout=60)
    while time.perf_counter() < until:
        start = time.perf_counter()
        try:
            status_of(asked, "/", {})
            met.note(BARE, time.perf_counter() - start)
        except (OSError, http.client.HTTPException) as error:
            met.errors.append(f"{BARE} {error!r}")
            asked.close()
        time.sleep(dice.uniform(*BESIDE_S))
    asked.close()


def status_of(asked: http.client.HTTPConnection, address: str, headers: dict[str, str]) -> int:
    """The status of an answer that is read whole."""
    asked.request("GET", address, headers=headers)
    answer = asked.getresponse()
    answer.read()
    return answer.status


def met_by(crowd: Crowd) -> Met:
    """All of them at once, for so long."""
    met, until = Met(), time.perf_counter() + crowd.seconds
    numbers = range(len(crowd.secrets))
    threads = [threading.Thread(target=person, args=(number, crowd, until, met)) for number in numbers]
    threads.append(threading.Thread(target=bystander, args=(crowd, until, met)))
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return met


def make_shop(path: Path, pieces: int, count: int) -> list[str]:
    """A catalogue with that many pieces, and that many people signed in: their sessions' secrets."""
    stock = Stock(tuple(Style(f"Quorl {KINDS[n % 5]} {n}") for n in range(STYLES)), tuple(some_pieces(pieces)))
    secrets = []
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, stock, signed=SIGNED)
        link = people.first_manager_link(catalogue, now=utc_now())
        assert link
        doors.set_passphrase_by_link(catalogue, link, "ochre badger lantern five", name="Maud", label="", now=utc_now())
        maud = people.everybody(catalogue)[0]
        for number in range(count):
            people.invite(catalogue, f"Person {number}", Role.WORK, by=maud, now=utc_now())
        for one in people.everybody(catalogue):
            if one.name != "Maud":
                secrets.append(
                    doors.link_device(catalogue, doors.device_link(catalogue, one, now=utc_now()), label="", now=utc_now())
                )
    return secrets


def serve_here(path: str, processes: int) -> None:
    """A server: the pages of the catalogue at `path`, or the bare page; says where."""
    if path != BARE:
        serve(Path(path), Door(port=0, processes=processes), say=lambda told: print(told, flush=True))
        return
    server = waitress.create_server(bare_app(), host="127.0.0.1", port=0, threads=THREADS, ident=None)
    print(f"at http://127.0.0.1:{server.effective_port}/", flush=True)
    server.run()


def bare_app() -> Flask:
    """One page that says one word."""
    app = Flask("bare")
    app.add_url_rule("/", view_func=lambda: "<!doctype html><title>bare</title><p>page")
    return app


@contextmanager
def served(path: str, processes: int) -> Iterator[tuple[int, int]]:
    """The port of a server in processes of its own, and the number of the first; ended afterwards."""
    command = [sys.executable, "-m", "tests.bench.load", "--serve", path, "--processes", str(processes)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        try:
            assert server.stdout is not None
            found = re.search(r"http://[^ /]+:(\d+)/", server.stdout.readline())
            assert found
            yield int(found[1]), server.pid
        finally:
            server.terminate()
            server.wait(20)


def processor_ms(app: Flask, secret: str, kinds: Iterable[str], pieces: int, times: int = 40) -> Iterator[str]:
    """Rows: what an answer of each kind costs the processor, median."""
    client, dice = app.test_client(), random.Random(1)
    client.set_cookie("remnants", secret)
    for kind in kinds:
        client.get(address_of(kind, dice, pieces))
        costs = []
        for _ in range(times):
            address, start = address_of(kind, dice, pieces), time.process_time()
            assert client.get(address).status_code == 200
            costs.append((time.process_time() - start) * 1000)
        yield f"| {kind} | {statistics.median(costs):.1f} |"


def p95_ms(times: list[float]) -> float:
    """What 19 of 20 took at most, milliseconds."""
    return (statistics.quantiles(times, n=20)[18] if len(times) > 1 else sum(times)) * 1000


def line(crowd_name: str, kind: str, met: Met, seconds: float) -> str:
    """A row of the table, milliseconds, and how many times what the bare page took meanwhile."""
    times = met.times[kind]
    errors = sum(error.startswith(f"{kind} ") for error in met.errors)
    p50, p95, bare = statistics.median(times) * 1000, p95_ms(times), p95_ms(met.times.get(BARE, []))
    ratio = f"{p95 / bare:.1f}" if bare else ""
    return f"| {crowd_name} | {kind} | {len(times)} | {len(times) / seconds:.0f} | {p50:.0f} | {p95:.0f} | {ratio} | {errors} |"


def judged(name: str, met: Met) -> str:
    """Whether a crowd at a person's pace was served as is wanted."""
    over = [
        f"{kind} {p95_ms(times):.0f} ms, over {most:.0f}"
        for kind, times in sorted(met.times.items())
        if kind not in (BARE, LARGEST) and p95_ms(times) > (most := WANTED_MS.get(kind, PAGE_MS))
    ]
    faults = [f"{len(met.errors)} errors"] if met.errors else []
    return f"{name}: {'; '.join(over + faults) or 'all within what is wanted'}"


def table(path: Path, secrets: list[str], pieces: int, seconds: float, *, crowds: int, servers: int) -> list[str]:
    """Each server, each crowd: their rows, and under them whether they were served as is wanted."""
    kinds = [kind for kind, often in MIX for _ in range(often)]
    rows: list[str] = []
    judgements: list[str] = []
    with served(BARE, 1) as (bare_port, _):
        for processes in (1, 2)[:servers]:
            with served(str(path), processes) as (port, _):
                met_by(
                    Crowd(port, bare_port, secrets, kinds, pieces, 6.0, paced=True)
                )  # the first look at the names isn't counted
                for name, paced, heavy in CROWDS[:crowds]:
                    met = met_by(Crowd(port, bare_port, secrets, kinds, pieces, seconds, paced, heavy))
                    rows += [line(f"{processes} | {name}", kind, met, seconds) for kind in sorted(met.times)]
                    judgements += [judged(f"{processes} process(es), {name}", met)] if paced else []
                    for error in sorted(set(met.errors))[:5]:
                        print(f"error: {error}", file=sys.stderr)
    return [*rows, "", *judgements]


def main() -> None:
    """Makes the shop, lets the crowds come, prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=100_000)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--seconds", type=float, default=14.0)
    parser.add_argument("--serve", default="")
    parser.add_argument("--processes", type=int, default=1, help=argparse.SUPPRESS)
    parser.add_argument("--crowds", type=int, default=len(CROWDS), help="how many of the crowds come")
    parser.add_argument("--servers", type=int, default=2, help="how many of: one process, two processes")
    given = parser.parse_args()
    if given.serve:
        serve_here(given.serve, given.processes)
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stock.db"
        secrets = make_shop(path, given.pieces, given.people)
        print("| asks | processor ms an answer |\n| --- | --- |", flush=True)
        pages = create_app(Settings(path))
        print("\n".join(processor_ms(pages, secrets[0], (kind for kind, _ in MIX), given.pieces)), flush=True)
        print("\n".join(processor_ms(bare_app(), "", [BARE], given.pieces)), flush=True)
        rows = (
            table(path, secrets, given.pieces, given.seconds, crowds=given.crowds, servers=given.servers) if given.seconds else []
        )
    print("| processes | crowd | asks | answers | a second | p50 ms | p95 ms | times bare | errors |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    print("\n".join(rows))


if __name__ == "__main__":
    main()
