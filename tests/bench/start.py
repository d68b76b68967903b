"""How long a command takes from its start to its answer, beside a bare start of the libraries of geometry.

    python -m tests.bench.start [--runs 7]

Every run is a process of its own, on a catalogue of the demo's stock, with bytecode kept as an installation keeps it. The runs
of all commands take turns, and the median of each is told. `serve` is asked for a page as soon as it listens, and then ended. The
last column names what the command loads of the libraries that load slowly.
"""

import argparse
import os
import resource
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from http.client import HTTPConnection
from pathlib import Path
from statistics import median

DEMO = Path(__file__).resolve().parents[2] / "demo"
LARGE = ("numpy", "shapely", "pydantic", "rich", "highspy", "ortools", "pandas", "PIL", "ezdxf", "reportlab", "distributed")

PEER = "import numpy, shapely"
COMMANDS: dict[str, tuple[str, ...]] = {
    "find": ("find", "veldr", "slate"),
    "show": ("show", "R-0103"),
    "log": ("log", "--style", "Velder Loop", "--colour", "Slate", "--width", "40", "--length", "60"),
    "fit": ("fit", str(DEMO / "whole.json"), "--stock", str(DEMO / "stock.json")),
}
RUN = "import sys; from remnants.cli import main; code = main(sys.argv[2:]); "
TELL = "sys.stderr.write(chr(10) + ' '.join(name for name in sys.argv[1].split() if name in sys.modules)); "
END = "sys.exit(code)"


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--runs", type=int, default=7)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["REMNANTS_CATALOGUE"] = str(Path(folder) / "stock.db")
        os.environ["PYTHONPYCACHEPREFIX"] = str(Path(folder) / "bytecode")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        _asked("-c", RUN, "", "log", str(DEMO / "stock.json"))
        ways: dict[str, Callable[[], object]] = {"python": partial(_asked, "-c", "pass"), PEER: partial(_asked, "-c", PEER)}
        ways |= {f"remnants {name}": partial(_asked, "-c", RUN + END, "", *words) for name, words in COMMANDS.items()}
        ways["remnants serve"] = _served
        for way in ways.values():
            way()  # writes the bytecode
        taken = [{name: _timed(way) for name, way in ways.items()} for _ in range(given.runs)]
        print("| started | processor, s | of the peer's | clock, s | large libraries loaded |\n| --- | --- | --- | --- | --- |")
        peers = median(run[PEER][0] for run in taken)
        for name in ways:
            worked, waited = (median(run[name][which] for run in taken) for which in (0, 1))
            words = COMMANDS.get(name.removeprefix("remnants "))
            large = _asked("-c", RUN + TELL + END, " ".join(LARGE), *words) if words else ""
            print(f"| `{name}` | {worked:.2f} | {worked / peers:.1f} | {waited:.2f} | {large} |")


def _timed(way: Callable[[], object]) -> tuple[float, float]:
    """Seconds of processor time and by the clock of what a way runs in processes of its own."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    way()
    after, ended = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, ended - began


def _asked(*words: str) -> str:
    """The last line on standard error of Python run with these words. Raises where it fails."""
    done = subprocess.run([sys.executable, *words], capture_output=True, text=True, check=True)
    return (done.stderr.splitlines() or [""])[-1].replace(" ", ", ")


def _served() -> None:
    """Starts the pages, asks for the first one until it is answered, and ends them."""
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    given = [sys.executable, "-c", RUN, "", "serve", "--port", str(port)]
    with subprocess.Popen(given, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as serving:
        while serving.poll() is None:
            page = HTTPConnection("127.0.0.1", port, timeout=60)
            try:
                page.request("GET", "/sign-in")
                page.getresponse().read()
                break
            except ConnectionRefusedError:
                time.sleep(0.01)
            finally:
                page.close()
        serving.terminate()


if __name__ == "__main__":
    main()
