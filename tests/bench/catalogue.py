"""The catalogue at size: logging in bulk beside bare inserts, and fit and find with a million pieces in the file.

    python -m tests.bench.catalogue [PIECES]

Prints times and ratios. The peer for logging is sqlite3's own `executemany` of the same rows without entries, in one
transaction; for find and fit it is the same question asked of a catalogue with a hundredth of the pieces.
"""

import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.find_pieces import find_pieces
from remnants.actions.fit_job import fit_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import show_piece
from remnants.exchange import Stock
from remnants.geometry import rectangle
from remnants.ledger import Received, Standing, applied
from remnants.ledger.entries import Entry
from remnants.model import Allowance, Finish, Job, Kind, Patch, Piece, Style, Wanted
from remnants.store.rows import STANDING_COLUMNS, standing_row
from tests.stock_values import SIGNED

STYLES, COLOURS, LOTS = 50, 20, 30
KINDS = ("Loop", "Twist", "Velvet", "Berber", "Frieze")


def some_pieces(count: int) -> Iterator[Piece]:
    """Rectangles of 50 styles, 20 colours and 30 lots each, 0.3 to 3.6 m by 0.3 to 6 m."""
    dice = random.Random(3)
    for number in range(count):
        style = number % STYLES
        yield Piece(
            f"R-{number:07d}",
            Kind.REMNANT,
            f"Quorl {KINDS[style % 5]} {style}",
            f"Shade {dice.randrange(COLOURS)}",
            f"{dice.randrange(LOTS)}-B",
            rectangle(dice.randrange(300, 3600), dice.randrange(300, 6000)),
            pile_deg=dice.choice((0.0, 0.0, 90.0)),
            place=f"Bay {dice.randrange(200)}",
        )


def timed(do: Callable[[], object]) -> float:
    """Seconds that it takes."""
    start = time.perf_counter()
    do()
    return time.perf_counter() - start


def bare_insert(path: Path, pieces: list[Piece]) -> float:
    """Seconds of one executemany of the pieces' rows into a table of the same columns with the same primary key."""
    standings: list[Standing] = [applied(None, Entry(n, 1, p.tag, Received(p), SIGNED)) for n, p in enumerate(pieces, 1)]
    rows = [standing_row(standing) for standing in standings]
    marks = ", ".join("?" * len(STANDING_COLUMNS))
    with sqlite3.connect(path, isolation_level=None) as bare:
        bare.execute("PRAGMA journal_mode = WAL")
        bare.execute(f"CREATE TABLE piece (id INTEGER PRIMARY KEY, {', '.join(STANDING_COLUMNS)}, UNIQUE (tag))")

        def insert() -> None:
            bare.execute("BEGIN IMMEDIATE")
            bare.executemany(f"INSERT INTO piece ({', '.join(STANDING_COLUMNS)}) VALUES ({marks})", rows)
            bare.execute("COMMIT")

        return timed(insert)


def a_job(max_parts: int) -> Job:
    ring = rectangle(1200.0, 900.0).ring
    patch = Patch("hall", ring, 0.0, (Finish.SEAM,) * 4, Wanted("quorl loop 0", "shade 3"), max_parts=max_parts)
    return Job("bench", (patch,), Allowance(25.0))


def ask(catalogue: Catalogue) -> dict[str, float]:
    """Seconds of each question, the second time it is asked."""
    questions: dict[str, Callable[[], object]] = {
        "show": lambda: show_piece(catalogue, "R-0000999"),
        "find": lambda: find_pieces(catalogue, "quorl velvt shade 7"),
        "fit, whole": lambda: fit_job(catalogue, a_job(1)),
        "fit, two parts": lambda: fit_job(catalogue, a_job(2)),
    }
    for question in questions.values():
        question()
    return {name: timed(question) for name, question in questions.items()}


def main() -> None:
    """Prints the table."""
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    times: dict[int, dict[str, float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for count in (most // 100, most):
            with open_catalogue(Path(folder) / f"{count}.db", write=True) as catalogue:
                stock = Stock(tuple(Style(f"Quorl {KINDS[n % 5]} {n}") for n in range(STYLES)), tuple(some_pieces(count)))
                logged = timed(lambda: log_pieces(catalogue, stock, signed=SIGNED))  # noqa: B023 - called at once
                times[count] = {"log": logged, **ask(catalogue)}
        pieces = list(some_pieces(100_000))
        with open_catalogue(Path(folder) / "log.db", write=True) as catalogue:
            stock = Stock(tuple(Style(f"Quorl {KINDS[n % 5]} {n}") for n in range(STYLES)), tuple(pieces))
            ours = timed(lambda: log_pieces(catalogue, stock, signed=SIGNED))
        bare = bare_insert(Path(folder) / "bare.db", pieces)
    print(f"log 100,000 pieces with their entries: {ours:.2f} s")
    print(f"bare executemany of their ready rows: {bare:.2f} s; ratio {ours / bare:.1f}")
    few, many = times
    for name in times[many]:
        print(f"{name:16} {few:>9,}: {times[few][name]:8.3f} s   {many:>9,}: {times[many][name]:8.3f} s")


if __name__ == "__main__":
    main()
