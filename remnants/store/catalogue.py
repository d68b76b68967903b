"""The open catalogue, as the modules of the store and the actions hand it on."""

import secrets
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

__all__ = ["AT_THE_MACHINE", "Catalogue", "address"]

AT_THE_MACHINE = "this machine"
"""What stands in place of an address for who works at the machine itself."""


def address(path: Path, mode: str) -> str:
    """SQLite's address of the file at `path`, whatever signs its name holds; with `mode` "ro" or "rw" it is never made."""
    return f"file:{quote(path.absolute().as_posix())}?mode={mode}"


class Catalogue:
    """An open catalogue. Every change stands in `with catalogue.atomic():`, which holds the one writer's place from its start."""

    def __init__(
        self, connection: sqlite3.Connection, now: Callable[[], datetime] | None = None, asked_from: str = AT_THE_MACHINE
    ) -> None:
        """`connection` begins no transaction by itself (its isolation_level is None). `now` is the clock, else the machine's.

        `asked_from` is the address from which whoever uses it asks.
        """
        self.conn = connection
        self.asked_from = asked_from
        self._now = now

    def moment(self) -> datetime:
        """The time."""
        return self._now() if self._now else datetime.now(UTC)

    def today(self) -> date:
        """The day (UTC) by which holds are looked at."""
        return self.moment().date()

    @property
    def path(self) -> Path:
        """Where the file lies, links followed."""
        (_, _, file) = self.conn.execute("PRAGMA database_list").fetchone()
        return Path(file)

    def execute(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> sqlite3.Cursor:
        """Runs a statement at once; `parameters` stand for its `?` or `:name`. Raises what sqlite3 does."""
        return self.conn.execute(sql, parameters)

    def query(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[dict[str, Any]]:
        """The rows of a statement, each value by its column's name. It runs at once; rows are fetched as they are asked for."""
        rows = self.execute(sql, parameters)
        names = [name for name, *_ in rows.description or ()]
        return (dict(zip(names, row, strict=True)) for row in rows)

    @contextmanager
    def atomic(self) -> Iterator["Catalogue"]:
        """One transaction: all of it or nothing. Blocks may nest; an inner one that fails is undone alone."""
        inner = self.conn.in_transaction
        name = f"inner_{secrets.token_hex(8)}"
        self.conn.execute(f"SAVEPOINT {name}" if inner else "BEGIN IMMEDIATE")
        try:
            yield self
            self.conn.execute(f"RELEASE {name}" if inner else "COMMIT")
        except BaseException:
            if self.conn.in_transaction:
                self.conn.execute(f"ROLLBACK TO {name}" if inner else "ROLLBACK")
                if inner:
                    self.conn.execute(f"RELEASE {name}")
            raise
