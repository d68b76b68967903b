"""The same large stock in a file and on a server: moved there and back, and what is asked of it most.

    python -m tests.bench.stores [--pieces 100000]

The server is PostgreSQL as Debian has it, with its own settings, on this machine. Milliseconds of processor time of our process,
of the server's process that answers (from /proc, so on Linux alone), and by the clock; each is the middle one of five. The peer
is the file: the last column is the server's clock by the file's. Before that: the move there and back with all proofs.
"""

import argparse
import os
import resource
import statistics
import time
from collections.abc import Callable
from contextlib import ExitStack, nullcontext
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from remnants.actions import Catalogue
from remnants.actions.age_stock import age_stock
from remnants.actions.count_place import book_count, count_place
from remnants.actions.find_pieces import find_pieces
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_job, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.move_catalogue import move_catalogue
from remnants.actions.rack import place_shares
from remnants.actions.show_piece import show_piece
from remnants.actions.stock_over_time import stock_over_time
from remnants.geometry import rectangle
from remnants.model import Allowance, Finish, Job, Patch, Wanted
from remnants.store import pieces
from remnants.store.file_catalogue import FileCatalogue
from tests.bench.at_size import make, processor_s
from tests.bench.writers import store_named
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import Store

ASKED = 5
STYLE = "Quorl Loop 0"


class Questions:
    """What is asked of one catalogue, each time of something else."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue, self.asked = catalogue, 0

    def next(self) -> int:
        self.asked += 1
        return self.asked

    def show(self) -> None:
        show_piece(self.catalogue, f"R-{self.next() * 97:07d}")

    def find(self) -> None:
        find_pieces(self.catalogue, f"quorl velvt shade {self.next() % 20}")

    def fit(self) -> Any:
        ring = rectangle(1200.0 + self.next(), 900.0).ring
        patch = Patch("hall", ring, 0.0, (Finish.SEAM,) * 4, Wanted(STYLE, f"Shade {self.asked % 20}"), max_parts=1)
        return fit_job(self.catalogue, Job(f"House {self.asked}", (patch,), Allowance(25.0)), today=SIGNED.at.date())

    def log(self) -> None:
        piece = replace(a_piece(f"N-{self.next()}", 40, 60), style=STYLE)
        log_pieces(self.catalogue, a_stock(piece, styles=[a_style(STYLE, repeat=None)]), signed=SIGNED)

    def hold(self) -> None:
        hold_job(self.catalogue, self.fit(), until=SIGNED.at.date() + timedelta(days=9), signed=SIGNED)

    def cut(self) -> None:
        cut_job(self.catalogue, f"House {self.next()}", signed=SIGNED)

    def tags(self) -> None:
        start = 1 + 200 * self.next()
        for number in range(start, start + 200):
            pieces.find_standing(self.catalogue, f"r-{number:07d}")

    def over_time(self) -> None:
        self.next()
        stock_over_time(self.catalogue, today=SIGNED.at.date())

    def age(self) -> None:
        self.next()
        age_stock(self.catalogue, now=SIGNED.at, most=200)

    def racks(self) -> None:
        self.next()
        place_shares(self.catalogue)

    def count(self) -> None:
        bay = f"Bay {self.next()}"
        seen = [standing.piece.tag for standing in pieces.at_place(self.catalogue, bay)][1:]
        book_count(self.catalogue, count_place(self.catalogue, bay, seen), signed=SIGNED)


Times = tuple[float, float, float]
"""Seconds of processor time of this process and of the server's that answers, and by the clock."""


def at_server(catalogue: Catalogue) -> float:
    """Processor time of the server's process behind this connection so far (s); 0 of a file."""
    if isinstance(catalogue, FileCatalogue):
        return 0.0
    (pid,) = catalogue.execute("SELECT pg_backend_pid()").fetchone()
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measured(catalogue: Catalogue, do: Callable[[], object]) -> Times:
    """What it takes."""
    there, processor, clock = at_server(catalogue), time.process_time(), time.perf_counter()
    do()
    here, waited = time.process_time() - processor, time.perf_counter() - clock
    return here, at_server(catalogue) - there, waited


def told(catalogue: Catalogue) -> dict[str, Times]:
    """The times of each question, the middle ones; `cut` last, of what `hold` held."""
    times = {}
    for name in ("show", "tags", "find", "fit", "log", "racks", "over_time", "age", "count", "hold", "cut"):
        questions = Questions(catalogue)
        if name != "cut":
            getattr(questions, name)()
        each = [measured(catalogue, getattr(questions, name)) for _ in range(ASKED)]
        here, there, clock = (statistics.median(column) for column in zip(*each, strict=True))
        times[name] = here, there, clock
    return times


def moved(source: tuple[Store, Any], target: tuple[Store, Any]) -> None:
    """Prints what a move takes, with all proofs."""
    with source[0].opened(source[1]) as one, target[0].opened(target[1]) as other:
        quietly = lambda: print(move_catalogue(one, other, watch=lambda *_: nullcontext(lambda _: None)))  # noqa: E731
        processor, _, clock = measured(one, quietly)
    most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    print(
        f"moved in {processor:.1f} s of processor time here, {clock:.1f} s by the clock; at most {most_mb:.0f} MB so far",
        flush=True,
    )


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=100_000)
    given = parser.parse_args()
    with ExitStack() as stack:
        file, server = (store_named(name, stack) for name in ("file", "server"))
        at, there, back = file.new(), server.new(), file.new()
        print(f"made in {processor_s(lambda: make(at, given.pieces)):.1f} s", flush=True)
        moved((file, at), (server, there))
        moved((server, there), (file, back))
        times = {}
        for name, store, where in (("file", file, back), ("server", server, there)):
            with store.opened(where) as catalogue:
                times[name] = told(catalogue)
                times[name]["verify"] = measured(catalogue, lambda: print(verify(catalogue).faults))
        print(
            "| asked | file, ms | by the clock | server, ms | at the server | by the clock | times the file |\n"
            "| --- | --- | --- | --- | --- | --- | --- |"
        )
        for asked, (here, _, clock) in times["file"].items():
            other = times["server"][asked]
            figures = " | ".join(f"{seconds * 1000:.1f}" for seconds in (here, clock, *other))
            print(f"| {asked} | {figures} | {other[2] / clock:.1f} |")


if __name__ == "__main__":
    main()
