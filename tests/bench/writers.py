"""Many at work in one catalogue at once, in five branches: no error, nothing lost, the chain proved.

    python -m tests.bench.writers [--writers 20] [--seconds 60] [--stores file,server]

Each writer is a process with the catalogue open by itself. It logs, moves, holds, cuts, takes back, counts and finds without a
pause, in the bays and the carpet of its branch, so that four want the same pieces again and again. To be refused because another
was first is part of the day; anything else that goes wrong is an error. Afterwards each change that a writer was told as done is
looked for, and the catalogue is proved.

The peer is as many processes that put bare rows into the same kind of store, a transaction a row, for a fifth of the time.
"""

import argparse
import multiprocessing
import random
import statistics
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.change_piece import move_piece
from remnants.actions.count_place import book_count, count_place
from remnants.actions.find_pieces import find_pieces
from remnants.actions.keep_job import cut_job, cut_plan, hold_job
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces, next_tag
from remnants.actions.undo import undo_last
from remnants.errors import CatalogueUnusable, RemnantsError
from remnants.ledger import Signed
from remnants.model import Kind
from remnants.store import pieces
from tests.harmed import fitted
from tests.server import programs, running_server
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.store.contract.stores import FileStore, ServerStore, Store

BRANCHES, BAYS, FIRST = 5, 8, 40
UNTIL = SIGNED.at.date() + timedelta(days=30)


@dataclass
class Day:
    """What a writer met: the seconds of each thing it did, entries that it was told are written, refusals, errors."""

    times: dict[str, list[float]] = field(default_factory=dict)
    written: Counter[str] = field(default_factory=Counter)
    tags: list[str] = field(default_factory=list)
    refused: int = 0
    errors: list[str] = field(default_factory=list)


class Writer:
    """One person of a branch."""

    def __init__(self, catalogue: Catalogue, number: int, day: Day) -> None:
        self.catalogue, self.day, self.dice = catalogue, day, random.Random(number)
        self.branch = number % BRANCHES
        self.signed: Signed = replace(SIGNED, who=f"writer {number}")
        self.style, self.number, self.jobs = f"Heath {self.branch}", number, 0

    def bay(self) -> str:
        return f"Branch {self.branch}, bay {self.dice.randrange(BAYS)}"

    def a_tag(self) -> str:
        found = pieces.at_place(self.catalogue, self.bay())
        return self.dice.choice(found).piece.tag if found else "none"

    def plan(self) -> Any:
        self.jobs += 1
        size = self.dice.uniform(4, 12), self.dice.uniform(4, 12)
        return fitted(self.catalogue, f"House {self.number}-{self.jobs}", *size, self.style)

    def log(self) -> None:
        with self.catalogue.atomic():
            tag = next_tag(self.catalogue, Kind.REMNANT)
            piece = replace(
                a_piece(tag, self.dice.uniform(20, 90), self.dice.uniform(20, 90)), style=self.style, place=self.bay()
            )
            log_pieces(self.catalogue, a_stock(piece, styles=[a_style(self.style, repeat=None, row_mm=None)]), signed=self.signed)
        self.day.tags.append(tag)
        self.day.written["received"] += 1

    def move(self) -> None:
        move_piece(self.catalogue, self.a_tag(), self.bay(), signed=self.signed)
        self.day.written["moved"] += 1

    def hold_and_cut(self) -> None:
        held = hold_job(self.catalogue, self.plan(), until=UNTIL, signed=self.signed)
        self.day.written["held"] += len(held.tags)
        self._cut(cut_job(self.catalogue, held.number, signed=self.signed))

    def cut_at_once(self) -> None:
        self._cut(cut_plan(self.catalogue, self.plan(), signed=self.signed))

    def _cut(self, booked: Any) -> None:
        self.day.written["cut"] += len(booked.donors)
        self.day.written["received"] += len(booked.offcuts)
        self.day.tags += booked.offcuts

    def count(self) -> None:
        bay = self.bay()
        seen = [standing.piece.tag for standing in pieces.at_place(self.catalogue, bay)]
        book_count(self.catalogue, count_place(self.catalogue, bay, seen), signed=self.signed)

    def take_back(self) -> None:
        undo_last(self.catalogue, self.a_tag(), signed=self.signed)

    def find(self) -> None:
        find_pieces(self.catalogue, f"heth {self.branch} oatmel")

    def work(self, ends: float) -> None:
        """Until the time is over; what is done last is done."""
        does = (
            *[self.log] * 4,
            *[self.move] * 3,
            self.hold_and_cut,
            self.cut_at_once,
            self.count,
            self.take_back,
            *[self.find] * 2,
        )
        while time.monotonic() < ends:
            do = self.dice.choice(does)
            start = time.monotonic()
            try:
                do()
            except CatalogueUnusable as error:
                self.day.errors.append(f"{do.__name__}: {error}")
            except RemnantsError:
                self.day.refused += 1
            except Exception as error:  # whatever else goes wrong is what this looks for
                self.day.errors.append(f"{do.__name__}: {type(error).__name__} {error}")
            self.day.times.setdefault(do.__name__, []).append(time.monotonic() - start)


def a_writer(at: Any, number: int, begins: float, ends: float) -> Day:
    day = Day()
    with open_catalogue(at, write=True, now=lambda: SIGNED.at) as catalogue:
        time.sleep(max(0.0, begins - time.monotonic()))
        Writer(catalogue, number, day).work(ends)
    return day


def a_bare_writer(at: Any, number: int, begins: float, ends: float) -> int:
    done = 0
    with open_catalogue(at, write=True, now=lambda: SIGNED.at) as catalogue:
        time.sleep(max(0.0, begins - time.monotonic()))
        while time.monotonic() < ends:
            with catalogue.atomic():
                catalogue.execute("INSERT INTO bare (who, at) VALUES (?, ?)", [number, done])
            done += 1
    return done


def at_work(what: Callable[..., Any], at: Any, writers: int, seconds: float) -> list[Any]:
    """What each of so many processes met, all at the same time."""
    begins = time.monotonic() + 1 + writers / 10
    with ProcessPoolExecutor(writers, multiprocessing.get_context("fork")) as pool:
        asked = [pool.submit(what, at, number, begins, begins + seconds) for number in range(writers)]
        return [each.result() for each in asked]


def lost(store: Store, at: Any, days: list[Day]) -> Iterator[str]:
    """What a writer was told and is not there, and what the proof finds."""
    with store.opened(at) as catalogue:
        sql = "SELECT who, act, count(*) AS entries FROM entry GROUP BY who, act ORDER BY who, act"
        there = {(row["who"], row["act"]): row["entries"] for row in catalogue.query(sql)}
        known = set(pieces.all_tags(catalogue))
        for number, day in enumerate(days):
            for act, told in sorted(day.written.items()):
                if there.get((f"writer {number}", act), 0) != told:
                    yield f"writer {number} was told of {told} {act}, there are {there.get((f'writer {number}', act), 0)}"
            yield from (f"{tag} of writer {number} is not there" for tag in day.tags if tag not in known)
        yield from map(str, verify(catalogue).faults)
        (entries, highest) = catalogue.execute("SELECT count(*), max(number) FROM entry").fetchone()
        if entries != highest:
            yield f"{entries} entries, the last numbered {highest}"


def told(name: str, store: Store, writers: int, seconds: float) -> None:
    """Prints what became of one store."""
    at = store.new()
    styles = [a_style(f"Heath {n}", repeat=None, row_mm=None) for n in range(BRANCHES)]
    first = [
        replace(a_piece(f"A-{n}", 90, 90), style=f"Heath {n % BRANCHES}", place=f"Branch {n % BRANCHES}, bay 0")
        for n in range(FIRST)
    ]
    with store.opened(at) as catalogue:
        log_pieces(catalogue, a_stock(*first, styles=styles), signed=SIGNED)
    days: list[Day] = at_work(a_writer, at, writers, seconds)
    gone = list(lost(store, at, days))
    with store.opened(at) as catalogue:
        catalogue.execute("CREATE TABLE bare (who INTEGER NOT NULL, at INTEGER NOT NULL)")
    bare = sum(at_work(a_bare_writer, at, writers, seconds / 5)) / (seconds / 5)
    errors = [error for day in days for error in day.errors]
    times: dict[str, list[float]] = {}
    for day in days:
        for kind, took in day.times.items():
            times.setdefault(kind, []).extend(took)
    changes = sum(len(took) for kind, took in times.items() if kind != "find") / seconds
    for kind, took in sorted(times.items()):
        slowest = statistics.quantiles(took, n=20)[-1] if len(took) > 1 else took[0]
        shown = " | ".join(f"{each * 1000:.0f}" for each in (statistics.median(took), slowest, max(took)))
        print(f"| {name} | {kind.replace('_', ' ')} | {len(took)} | {shown} |")
    print(
        f"\n{name}: {changes:.0f} changes asked a second, bare rows {bare:.0f} a second (ratio {bare / changes:.1f}); "
        f"{sum(day.refused for day in days)} refused, {len(errors)} errors, {len(gone)} lost or wrong"
    )
    for line in [*dict.fromkeys(errors), *gone][:20]:
        print(f"    {line}")
    print(flush=True)


def store_named(name: str, stack: ExitStack) -> Store:
    """A file in a folder, or a server that writes to the disk what it says is written; each is gone with the stack."""
    if name == "server":
        found = programs()
        assert found, "PostgreSQL isn't on this machine: `apt-get install postgresql`"
        return ServerStore(stack.enter_context(running_server(found, lasting=True)))
    return FileStore(Path(stack.enter_context(tempfile.TemporaryDirectory())))


def main() -> None:
    """Prints the table of each store."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--writers", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--stores", default="file,server")
    given = parser.parse_args()
    print("| store | done | times | p50 ms | p95 ms | longest ms |\n| --- | --- | --- | --- | --- | --- |")
    with ExitStack() as stack:
        for name in given.stores.split(","):
            told(name, store_named(name, stack), given.writers, given.seconds)


if __name__ == "__main__":
    main()
