"""The catalogue in a file, open: SQLite's connection under the store contract."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from remnants.errors import CatalogueUnusable
from remnants.store.catalogue import AT_THE_MACHINE, Catalogue

__all__ = ["FileCatalogue", "of_file"]

_PAUSE_S, _PATIENCE_S = 0.01, 1.0
"""Between two looks at whether the writer's place is free: at first, and after how long it is half of that."""


class FileCatalogue(Catalogue):
    """A catalogue in a file of SQLite's. One writer holds the file from the start of `atomic`; others wait."""

    refusals = (sqlite3.Error, UnicodeDecodeError)

    def __init__(
        self, connection: sqlite3.Connection, now: Callable[[], datetime] | None = None, asked_from: str = AT_THE_MACHINE
    ) -> None:
        """`connection` begins no transaction by itself (its isolation_level is None)."""
        super().__init__(now, asked_from)
        self.conn = connection

    @property
    def path(self) -> Path:
        """Where the file lies, links followed."""
        (_, _, file) = self.conn.execute("PRAGMA database_list").fetchone()
        return Path(file)

    @property
    def in_transaction(self) -> bool:
        """Whether a transaction is open."""
        return self.conn.in_transaction

    def only_now(self, error: Exception) -> bool:
        """By SQLite's own codes, without what they tell beside."""
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        return code in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_NOMEM, sqlite3.SQLITE_FULL}

    def execute(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> sqlite3.Cursor:
        """Runs a statement at once. Raises what sqlite3 does."""
        return self.conn.execute(sql, parameters)

    def by_the_end(self, do: Callable[[Catalogue], None]) -> None:
        """At once: rows that are taken away leave their room to the next. On a server they stay in the way until the end."""
        do(self)

    def many(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Runs a statement once for each row."""
        self.conn.executemany(sql, rows)

    def monday_of(self, day: str) -> str:
        """By SQLite's own reckoning: the next Monday from six days before on."""
        return f"date({day}, '-6 days', 'weekday 1')"

    def by_index(self, table: str, index: str) -> str:
        """It is named: SQLite guesses that any index of the table would do, and then reads each piece."""
        return f"{table} INDEXED BY {index}"

    def tables(self) -> tuple[str, ...]:
        """As the file has them, ours or not."""
        sql = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite~_%' ESCAPE '~' ORDER BY name"
        return tuple(str(name) for (name,) in self.conn.execute(sql))

    def sweep(self) -> bool:
        """Writes the file anew and empties the journal into it.

        `secure_delete` alone is not enough: where SQLite moves rows from page to page, words of a row stay in the gap between
        others. False where another program has the catalogue open, or the disk has no room for the new file.
        """
        try:
            self.conn.execute("VACUUM")
            (busy, _, _) = self.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        except sqlite3.OperationalError:
            return False
        return not busy

    @contextmanager
    def one_moment(self) -> Iterator[None]:
        """A reader's transaction, which holds what it saw first."""
        if self.conn.in_transaction:
            yield
            return
        self.conn.execute("BEGIN")
        try:
            self.conn.execute("SELECT count(*) FROM sqlite_master").fetchone()
            yield
        finally:
            self.conn.execute("ROLLBACK")

    @contextmanager
    def at_rest(self) -> Iterator[None]:
        """Takes the triggers away and makes the same ones again: SQLite has no other way to let them rest."""
        made = self.conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name").fetchall()
        for name, _ in made:
            self.conn.execute(f"DROP TRIGGER {name}")
        yield
        for _, sql in made:
            self.conn.execute(sql)

    def _begin(self) -> None:
        """Waits for the writer before as long as `busy_timeout` tells. SQLite's own waiting looks the less often the longer it
        lasts, so that whoever came last got in first, and some never; here it is the other way round."""
        (wait_ms,) = self.conn.execute("PRAGMA busy_timeout").fetchone()
        self.conn.execute("PRAGMA busy_timeout = 0")
        try:
            began = monotonic()
            while not self._begun(waited_s := monotonic() - began, wait_ms / 1000):
                sleep(_PAUSE_S / (1 + waited_s / _PATIENCE_S))
        finally:
            self.conn.execute(f"PRAGMA busy_timeout = {wait_ms}")

    def _begun(self, waited_s: float, most_s: float) -> bool:
        """Whether the place was free. Raises sqlite3.OperationalError where it wasn't, and was waited for long enough."""
        try:
            self.conn.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or waited_s >= most_s:
                raise
            return False
        return True


def of_file(catalogue: Catalogue, *, instead: str) -> FileCatalogue:
    """The same catalogue, for what only a file can be asked. Raises CatalogueUnusable with what to do `instead` on a server."""
    if isinstance(catalogue, FileCatalogue):
        return catalogue
    raise CatalogueUnusable(f"this is done with a catalogue in a file, and yours is on a server; {instead}")
