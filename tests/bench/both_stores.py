"""The same asked of a catalogue in a file and of one on a server: processor time, the server's own beside it.

    python -m tests.bench.both_stores [PIECES]

The server is a PostgreSQL of the tests' own in a temporary folder, on the same machine. Its share is that of the one process
which answers this connection (from /proc, so on Linux alone).
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.find_pieces import find_pieces
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import Stock
from remnants.ledger.over_time import Step
from remnants.model import Style
from remnants.store import over_time, pieces, shelf, sizes
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.server_address import CatalogueAt, ServerAddress
from tests.bench.catalogue import KINDS, STYLES, some_pieces
from tests.server import programs, running_server
from tests.stock_values import SIGNED

Question = Callable[[Catalogue], Any]


def questions(stock: Stock) -> dict[str, Question]:
    """What is asked, in order; the first puts the stock in."""
    return {
        "log all": lambda catalogue: log_pieces(catalogue, stock, signed=SIGNED),
        "find": lambda catalogue: find_pieces(catalogue, "quorl twst 11"),
        "find 200 tags": lambda catalogue: [pieces.find_standing(catalogue, f"r-{number:07d}") for number in range(200)],
        "racks": pieces.place_counts,
        "pieces of a style": lambda catalogue: shelf.on_shelf(catalogue, [stock.pieces[0].style]),
        "sizes of all": lambda catalogue: sum(1 for _ in sizes.sizes_in_store(catalogue)),
        "every piece": lambda catalogue: sum(1 for _ in pieces.every_standing(catalogue)),
        "stock over time": lambda catalogue: [over_time.store_sums(catalogue, step) for step in Step],
        "verify": verify,
    }


def server_time(catalogue: Catalogue) -> float:
    """Processor time of the server's process behind this connection so far (s); 0 of a file."""
    if isinstance(catalogue, FileCatalogue):
        return 0.0
    (pid,) = catalogue.execute("SELECT pg_backend_pid()").fetchone()
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measured(at: CatalogueAt, asked: dict[str, Question]) -> dict[str, tuple[float, float]]:
    """Processor time of each question here and at the server (s)."""
    found = {}
    shelf._KEPT.clear()  # what was read of the other
    with open_catalogue(at, write=True) as catalogue:
        for name, ask in asked.items():
            there, here = server_time(catalogue), time.process_time()
            ask(catalogue)
            found[name] = (time.process_time() - here, server_time(catalogue) - there)
    return found


def main(count: int) -> None:
    """Prints the table."""
    found = programs()
    assert found, "PostgreSQL isn't on this machine"
    styles = tuple(Style(f"Quorl {KINDS[number % 5]} {number}") for number in range(STYLES))
    stock = Stock(styles, tuple(some_pieces(count)))
    with tempfile.TemporaryDirectory() as folder, running_server(found, lasting=True) as server:
        asked = questions(stock)
        in_file = measured(Path(folder) / "stock.db", asked)
        on_server = measured(ServerAddress(server.address(server.make())), asked)
    print(f"| {count:,} pieces | file | server: here | server: there |\n| --- | --- | --- | --- |")
    for name in asked:
        print(f"| {name} | {in_file[name][0]:.3f} s | {on_server[name][0]:.3f} s | {on_server[name][1]:.3f} s |")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
