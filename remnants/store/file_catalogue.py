"""The catalogue in a file, open: SQLite's connection under the store contract."""

import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from remnants.errors import CatalogueUnusable
from remnants.store.catalogue import AT_THE_MACHINE, Catalogue

__all__ = ["FileCatalogue", "of_file"]


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

    def execute(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> sqlite3.Cursor:
        """Runs a statement at once. Raises what sqlite3 does."""
        return self.conn.execute(sql, parameters)

    def many(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Runs a statement once for each row."""
        self.conn.executemany(sql, rows)

    def monday_of(self, day: str) -> str:
        """By SQLite's own reckoning: the next Monday from six days before on."""
        return f"date({day}, '-6 days', 'weekday 1')"

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

    def _begin(self) -> None:
        self.conn.execute("BEGIN IMMEDIATE")


def of_file(catalogue: Catalogue, *, instead: str) -> FileCatalogue:
    """The same catalogue, for what only a file can be asked. Raises CatalogueUnusable with what to do `instead` on a server."""
    if isinstance(catalogue, FileCatalogue):
        return catalogue
    raise CatalogueUnusable(f"this is done with a catalogue in a file, and yours is on a server; {instead}")
