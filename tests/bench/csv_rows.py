"""A spreadsheet of very many rows logged by the command, beside a bare insert of the same rows into the same tables.

    python -m tests.bench.csv_rows [--rows 1000000] [--file STOCK.db] [--quantity] [--server]

The file is as a shop might have it: sizes in feet and inches, 50 styles, three rows in ten told by the corners of an L; with
`--quantity` it has a column for how many there are, always one. Bare: the rows of `piece`, `entry` and `store_change` as they
came to be, read from the finished file and put by one `executemany` a table into tables with the same columns, indexes,
guards and checks, a few hundred at a time. Seconds are of the processor, each in a process of its own; memory is the most
that the process ever had.

With `--server` the same is logged on a PostgreSQL of the tests' own too, its disk waited for, and the rows of the finished file
are put there: by `executemany`, which psycopg sends without waiting for each answer, and by COPY, the fastest way in that it
has. Beside our seconds stand those of all processes of the server; times is both together over both together.
"""

import argparse
import multiprocessing
import random
import resource
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from functools import partial
from itertools import islice
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.cli import main as command
from remnants.store.server.server_catalogue import ServerCatalogue
from remnants.store.server_address import CatalogueAt, ServerAddress
from tests.bench.catalogue import KINDS, STYLES
from tests.server import programs, running_server

TABLES = ("style", "piece", "entry", "store_change")
AT_ONCE = 500


def write_csv(path: Path, rows: int, *, quantity: bool) -> None:
    """The file."""
    dice = random.Random(5)
    with path.open("w", encoding="utf-8") as file:
        file.write("Tag,Style,Colour,Lot,Width,Length,Outline (in),Pile,Place" + (",Quantity" if quantity else "") + "\n")
        for number in range(rows):
            style, w, h = number % STYLES, dice.randrange(12, 144), dice.randrange(12, 240)
            odd = f"0,0 {w},0 {w},{h // 2} {w // 2},{h // 2} {w // 2},{h} 0,{h}"
            sides = f',,"{odd}"' if number % 10 < 3 else f"{w // 12} ft {w % 12} in,{h // 12} ft {h % 12} in,"
            named = f"R-{number:07d},Quorl {KINDS[style % 5]} {style},Shade {dice.randrange(20)},{dice.randrange(30)}-B"
            file.write(f"{named},{sides},{dice.choice((0, 90))},Bay {dice.randrange(200)}{',1' if quantity else ''}\n")


def alone(do: Callable[..., None], *given: object) -> tuple[float, float]:
    """Seconds of processor time and the most memory (MB) that it takes in a process of its own."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(_measured, (do, given))


def _measured(do: Callable[..., None], given: tuple[object, ...]) -> tuple[float, float]:
    start = time.process_time()
    do(*given)
    return time.process_time() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def log(csv: Path, into: CatalogueAt) -> None:
    """By the command."""
    assert command(["log", str(csv), "--yes", "--catalogue", str(into)]) == 0


def bare(made: Path, into: Path) -> None:
    """The rows that came to be, put into the same tables, in one transaction that is waited for."""
    with open_catalogue(into, write=True):
        pass
    with closing(sqlite3.connect(made)) as source, closing(sqlite3.connect(into, isolation_level=None)) as target:
        for pragma in ("synchronous = FULL", "foreign_keys = ON", "secure_delete = ON", "cache_size = -65536"):
            target.execute(f"PRAGMA {pragma}")
        target.execute("BEGIN IMMEDIATE")
        for table in TABLES[:3]:  # the last is written by the guards of the pieces
            columns = [name for _, name, *_ in source.execute(f"PRAGMA table_info({table})")]
            rows = source.execute(f"SELECT {', '.join(columns)} FROM {table} ORDER BY rowid")
            put = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"
            for some in _some(rows):
                target.executemany(put, some)
        target.execute("COMMIT")


def bare_on_server(made: Path, into: ServerAddress, *, by_copy: bool) -> None:
    """The same on a server."""
    with open_catalogue(into, write=True) as target, closing(sqlite3.connect(made)) as source, target.atomic():
        assert isinstance(target, ServerCatalogue)
        for table in TABLES[:3]:
            columns = [name for _, name, *_ in source.execute(f"PRAGMA table_info({table})")]
            rows = source.execute(f"SELECT {', '.join(columns)} FROM {table} ORDER BY rowid")
            put = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"
            with target.conn.cursor() as cursor:
                if by_copy:
                    with cursor.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy:
                        for row in rows:
                            copy.write_row(row)
                    continue
                for some in _some(rows):
                    cursor.executemany(put, some)


def _some(rows: Iterator[tuple[object, ...]]) -> Iterator[list[tuple[object, ...]]]:
    while some := list(islice(rows, AT_ONCE)):
        yield some


def rows_of(path: CatalogueAt) -> dict[str, int]:
    """How many rows there are in each table."""
    with open_catalogue(path, write=False) as opened:
        return {table: int(opened.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) for table in TABLES}


def on_server(csv: Path, made: Path) -> Iterator[str]:
    """The cells of the same rows on a server."""
    found = programs()
    assert found, "PostgreSQL isn't on this machine"
    with running_server(found, lasting=True) as server:

        def costs(do: Callable[..., None], *given: object) -> tuple[float, float, float]:
            before = server.processor_s()
            ours_s, mb = alone(do, *given)
            return ours_s, server.processor_s() - before, mb

        places = [ServerAddress(server.address(server.make())) for _ in range(3)]
        ours = costs(log, csv, places[0])
        for place, by_copy in zip(places[1:], (False, True), strict=True):
            bare_ = costs(partial(bare_on_server, by_copy=by_copy), made, place)
            assert rows_of(place) == rows_of(places[0])
            told = [f"server, {'COPY' if by_copy else 'executemany'}"]
            for here_s, there_s, mb in (ours, bare_):
                told += [f"{here_s:.1f} + {there_s:.1f}", f"{mb:.0f}"]
            yield " | ".join([*told, f"{sum(ours[:2]) / sum(bare_[:2]):.1f}"])


def main() -> None:
    """Prints the row of the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--file", type=Path, help="where the finished catalogue is kept; it must not be there yet")
    parser.add_argument("--quantity", action="store_true")
    parser.add_argument("--server", action="store_true", help="log it on a server too")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        made = given.file or folder / "stock.db"
        write_csv(folder / "rows.csv", given.rows, quantity=given.quantity)
        ours_s, ours_mb = alone(log, folder / "rows.csv", made)
        bare_s, bare_mb = alone(bare, made, folder / "bare.db")
        assert rows_of(made) == rows_of(folder / "bare.db")
        print("| rows | where | log, s | memory, MB | bare insert, s | memory, MB | times |\n" + "| --- " * 7 + "|")
        costs = f"{ours_s:.1f} | {ours_mb:.0f} | {bare_s:.1f} | {bare_mb:.0f} | {ours_s / bare_s:.1f}"
        print(f"| {given.rows:,} | file | {costs} |", flush=True)
        for cells in on_server(folder / "rows.csv", made) if given.server else ():
            print(f"| {given.rows:,} | {cells} |", flush=True)


if __name__ == "__main__":
    main()
