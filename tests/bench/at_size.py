"""What pages and commands cost in a large stock: seconds of processor time, and how much a page sends.

    python -m tests.bench.at_size [--pieces 100000] [--file STOCK.db] [--only WORDS] [--without WORDS] [--server]

One process, one person; each question is asked once of a fresh look at the file, as after a change. With `--file` the stock is
made once and kept there. 50 styles, 200 bays, each hundredth piece laid in a customer's house, all over three years.

With `--server` the rows of that file are put on a PostgreSQL of the tests' own, with its own settings, and the same is asked
there; beside our processor time stands that of all processes of the server (from /proc, so on Linux alone).
"""

import argparse
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack, redirect_stderr, redirect_stdout, suppress
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from pathlib import Path

from remnants.actions import doors, open_catalogue, people
from remnants.cli import main as command
from remnants.ledger import Received
from remnants.model import Kind, Piece
from remnants.store import ledger, styles
from remnants.store.moving import renew_names_mark, tables_in_order
from remnants.store.server.server_catalogue import ServerCatalogue
from remnants.store.server_address import CatalogueAt, ServerAddress
from remnants_web import Settings, create_app
from remnants_web.settings import utc_now
from tests.bench.catalogue import some_pieces
from tests.server import Server, programs, running_server
from tests.stock_values import SIGNED, a_style

BATCHES = 36
LAID_EACH = 100

PAGES = (
    "/",
    "/racks",
    "/racks/Bay 7",
    "/count",
    "/count/Bay 7",
    "/tags.pdf?place=Bay 7&leaf=1",
    "/stock",
    "/worth",
    "/clear-out",
    "/dock",
    "/find?words=quorl velvt shade 7",
    "/pieces/R-0000999",
    "/pieces/R-000099",
    "/jobs",
    "/patch",
    "/suggest?words=quorl",
)
COMMANDS = (
    ("show", "R-0000999"),
    ("show", "R-000099"),
    ("history", "R-0000999"),
    ("find", "quorl velvt shade 7"),
    ("age",),
    ("worth",),
    ("racks",),
    ("count", "Bay 7", "R-0000007", "--yes"),
    ("count", "Bay7", "R-X", "--yes"),
    ("tags", "--place", "Bay 7", "-o", "{folder}/tags.pdf"),
    ("export", "{folder}/stock.csv"),
    ("export", "{folder}/stock.json"),
    ("verify",),
    ("backup", "{folder}/copy.db"),
    ("restore", "{folder}/copy.db", "--yes"),
)


def server_s(server: Server | None) -> float:
    """Seconds of processor time that the server's processes had so far; 0 without one."""
    return server.processor_s() if server else 0.0


def put_on_server(path: Path, there: ServerAddress) -> None:
    """The rows of a file put on a server, a whole table at a time: what a move does, without its proofs."""
    with open_catalogue(path, write=False) as source, open_catalogue(there, write=True) as target:
        assert isinstance(target, ServerCatalogue)
        with source.one_moment(), target.atomic(), target.at_rest():
            for table in tables_in_order(source):
                rows = source.execute(f"SELECT * FROM {table}")
                named = ", ".join(column for column, *_ in rows.description)
                with target.conn.cursor() as cursor, cursor.copy(f"COPY {table} ({named}) FROM STDIN") as copy:
                    for row in rows:
                        copy.write_row(row)
        renew_names_mark(target)
        target.execute("VACUUM (ANALYZE)")  # as a server does by itself within minutes


def make(path: Path, count: int) -> None:
    """A stock of so many pieces in a new file."""
    made = [_at_home(number, piece) for number, piece in enumerate(some_pieces(count))]
    now = utc_now()
    with open_catalogue(path, write=True) as catalogue, catalogue.atomic():
        styles.put_styles(catalogue, [a_style(name, repeat=None) for name in sorted({piece.style for piece in made})])
        for batch in range(BATCHES):
            some = made[batch * count // BATCHES : (batch + 1) * count // BATCHES]
            ledger.receive(catalogue, map(Received, some), replace(SIGNED, at=now - timedelta(days=30 * (BATCHES - batch))))


def _at_home(number: int, piece: Piece) -> Piece:
    if number % LAID_EACH:
        return piece
    return replace(piece, kind=Kind.LAID, place=f"Elm End {number // LAID_EACH}", room="Hall")


def secret_of_a_manager(path: CatalogueAt) -> str:
    """A session of somebody who may all."""
    with open_catalogue(path, write=True) as catalogue:
        link = people.first_manager_link(catalogue, now=utc_now())
        if link:
            doors.set_passphrase_by_link(catalogue, link, "ochre badger lantern five", name="Maud", label="", now=utc_now())
        maud = people.everybody(catalogue)[0]
        return doors.link_device(catalogue, doors.device_link(catalogue, maud, now=utc_now()), label="", now=utc_now())


def processor_s(do: Callable[[], object]) -> float:
    """Seconds of processor time that it takes."""
    start = time.process_time()
    do()
    return time.process_time() - start


def costs(do: Callable[[], object], server: Server | None) -> tuple[float, float]:
    """Seconds of processor time that it takes here, and at the server."""
    before = server_s(server)
    return processor_s(do), server_s(server) - before


def pages(path: CatalogueAt, asks: Callable[[str], bool], server: Server | None) -> None:
    """A row for each page."""
    secret = secret_of_a_manager(path)
    for address in (address for address in PAGES if asks(f"page {address}")):
        client = create_app(Settings(path)).test_client()
        client.set_cookie("remnants", secret)
        client.get("/me")
        sizes: list[int] = []

        def ask(address: str = address) -> None:
            sizes.append(len(client.get(address, headers={"Accept": "text/html"}).data))  # noqa: B023 - called at once

        cost, there = costs(ask, server)
        print(f"| page `{address}` | {cost:.2f} | {there:.2f} | {sizes[0] / 1000:.0f} KB |", flush=True)


def commands(path: CatalogueAt, folder: Path, asks: Callable[[str], bool], server: Server | None) -> None:
    """A row for each command."""
    for told in (told for told in COMMANDS if asks(f"command {' '.join(told)}")):
        said = StringIO()

        def run(told: tuple[str, ...] = told) -> None:
            with redirect_stdout(said), redirect_stderr(said), suppress(SystemExit):  # noqa: B023 - called at once
                command([*(word.format(folder=folder) for word in told), "--catalogue", str(path)])

        cost, there = costs(run, server)
        answer = said.getvalue().strip().splitlines() or [""]
        print(f"| `{' '.join(told)}` | {cost:.2f} | {there:.2f} | {len(answer):,} lines: {answer[-1][:60]} |", flush=True)


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=100_000)
    parser.add_argument("--file", type=Path)
    parser.add_argument("--only", default="", help="those whose row has these words")
    parser.add_argument("--without", default="", help="words of those that are left out, with commas between: verify,restore")
    parser.add_argument("--server", action="store_true", help="ask a server that holds the same")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        path = given.file or Path(name) / "stock.db"
        if not path.exists():
            print(f"made in {processor_s(lambda: make(path, given.pieces)):.1f} s", flush=True)
        at, server = path, None
        if given.server:
            found = programs()
            assert found, "PostgreSQL isn't on this machine"
            server = stack.enter_context(running_server(found, lasting=True))
            at = ServerAddress(server.address(server.make()))
            told = costs(lambda: put_on_server(path, at), server)
            print(f"put on the server in {told[0]:.1f} s here, {told[1]:.1f} s there", flush=True)
        print("| asked | processor s | at the server | answer |\n| --- | --- | --- | --- |", flush=True)
        left_out = [word for word in given.without.split(",") if word]

        def asks(row: str) -> bool:
            return given.only in row and not any(word in row for word in left_out)

        pages(at, asks, server)
        commands(at, Path(name), asks, server)


if __name__ == "__main__":
    main()
