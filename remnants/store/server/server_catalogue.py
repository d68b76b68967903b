"""The catalogue on a server, open: a connection of psycopg's under the store contract."""

import itertools
import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
from psycopg.adapt import Buffer, Dumper, Loader
from psycopg.pq import TransactionStatus

from remnants.store.beside import beside
from remnants.store.catalogue import AT_THE_MACHINE, Catalogue, Rows
from remnants.store.server.dialect import as_asked, as_copied
from remnants.store.server_address import ServerAddress

__all__ = ["LOOKS_FIRST", "SCHEMA", "ServerCatalogue", "suited"]

SCHEMA = "remnants"
"""The schema of the database in which all of ours lies; what else is in the database is left alone."""

_WRITER = 0x52454D4E
"""The number of the lock that the one writer holds (the letters REMN)."""

_AT_ONCE = 1_000
"""Rows that come over at once where there may be too many to be held."""

_CURSORS = itertools.count()
"""Names of what is handed over bit by bit, each another one."""

_NO_SIGN = "\U0010fffe"
"""A code point that is no sign of any text (Unicode, noncharacters), in place of NUL."""

LOOKS_FIRST, LOOKS_TIMES = 1_000, 4
"""After so many rows that came in at once the server has a look at how many there are, and again after so many times as many,
where that is more than it knows of. It does so by itself within a minute or so; until then it takes its tables for small, and
lists of a new stock took minutes."""

_TABLES = (
    "SELECT relname FROM pg_class JOIN pg_namespace AS home ON home.oid = relnamespace"
    f" WHERE nspname = '{SCHEMA}' AND relkind IN ('r', 'v') AND relname <> 'names_kept' ORDER BY relname"
)
_KNOWN = f"""
SELECT CAST(coalesce(sum(reltuples), 0) AS bigint) FROM pg_class JOIN pg_namespace AS home ON home.oid = relnamespace
WHERE nspname = '{SCHEMA}' AND relname IN ('piece', 'entry')
"""
"""How many pieces and entries the server knows of by its last count; of a table that it never counted it tells -1 or 0."""


class _Truth(Dumper):
    """Yes and no are kept as 1 and 0."""

    oid = psycopg.adapters.types["int2"].oid

    def dump(self, obj: Any) -> Buffer:
        """As a figure."""
        return b"1" if obj else b"0"


class _Sum(Loader):
    """Sums of whole numbers come as `numeric`; they are whole numbers here, as in a file."""

    def load(self, data: Buffer) -> int | float:
        """The figure."""
        text = bytes(data).decode("ascii")
        return int(text) if text.lstrip("-").isdigit() else float(text)


def _says_more(record: logging.LogRecord) -> bool:
    """Of rows sent without waiting, psycopg notes beside what it raises that the rest of them was given up."""
    return "error ignored terminating" not in str(record.msg)


logging.getLogger("psycopg").addFilter(_says_more)


def suited(connection: "psycopg.Connection[Any]") -> None:
    """Has values go to the server and come back as they do with a file."""
    connection.adapters.register_dumper(bool, _Truth)
    connection.adapters.register_loader("numeric", _Sum)


class ServerCatalogue(Catalogue):
    """A catalogue on a server. One writer holds a lock of the database's from the start of `atomic` to its end; others wait."""

    refusals = (psycopg.Error, UnicodeDecodeError)

    def __init__(
        self,
        connection: "psycopg.Connection[Any]",
        address: ServerAddress,
        now: Callable[[], datetime] | None = None,
        asked_from: str = AT_THE_MACHINE,
    ) -> None:
        """`connection` begins no transaction by itself (autocommit)."""
        super().__init__(now, asked_from)
        self.conn, self.address = connection, address
        self._came, self._looks_at = 0, LOOKS_FIRST

    @property
    def path(self) -> Path:
        """The name beside which this machine keeps what doesn't lie on the server."""
        return beside(self.address)

    @property
    def named(self) -> str:
        """By the address, which never has a password."""
        return str(self.address)

    @property
    def in_transaction(self) -> bool:
        """Whether a transaction is open; none is once the server is gone."""
        return self.conn.info.transaction_status in (TransactionStatus.INTRANS, TransactionStatus.INERROR)

    def only_now(self, error: Exception) -> bool:
        """By the classes of SQLSTATE: connection, resources, intervention, deadlock, lock; it has none where it went away. So it
        is where the user lacks a right.
        """
        if isinstance(error, psycopg.errors.InsufficientPrivilege):
            return True
        state = getattr(error, "sqlstate", None) or ""
        return isinstance(error, psycopg.OperationalError) and (not state or state[:2] in {"08", "40", "53", "55", "57"})

    def execute(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Rows:
        """Runs a statement at once. Raises what psycopg does."""
        if not parameters:
            return self.conn.execute(sql)
        return self.conn.execute(as_asked(sql), _sought(parameters) if sql.startswith("SELECT") else parameters)

    def each(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[dict[str, Any]]:
        """The rows as they are now, handed over a thousand at a time; meanwhile the server keeps them."""
        cursor = psycopg.ServerCursor(self.conn, f"each_{next(_CURSORS)}", withhold=not self.in_transaction)
        cursor.itersize = _AT_ONCE
        if parameters:
            cursor.execute(as_asked(sql), parameters)
        else:
            cursor.execute(sql)
        return _handed_over(cursor)

    def many(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Runs a statement once for each row, without waiting for each answer; rows that are only put in go as one stream."""
        with self.conn.cursor() as cursor:
            copied = as_copied(sql)
            if copied:
                with cursor.copy(copied) as copy:
                    for row in rows:
                        copy.write_row(row)
            else:
                cursor.executemany(as_asked(sql), rows)
            self._came += max(cursor.rowcount, 0)
        if self._came >= self._looks_at:
            self._look()

    def _look(self) -> None:
        """Has the server count, unless it knows of more than came in since: at a million pieces that takes a second."""
        (known,) = self.conn.execute(_KNOWN).fetchone() or (0,)
        if known > self._came:
            self._looks_at = known
            return
        self._looks_at = self._came * LOOKS_TIMES
        self.conn.execute(f"ANALYZE {', '.join(self._own())}")

    def monday_of(self, day: str) -> str:
        """Weeks of the server's begin on Monday, as those of ISO 8601."""
        return f"to_char(date_trunc('week', CAST({day} AS timestamp)), 'YYYY-MM-DD')"

    def by_index(self, table: str, index: str) -> str:
        """The server knows by what it counted which index is best."""
        del index
        return table

    def tables(self) -> tuple[str, ...]:
        """Those in our schema; the mark of the names is a view here."""
        return tuple(str(name) for (name,) in self.conn.execute(_TABLES))

    def sweep(self) -> bool:
        """Writes all our tables anew; the server takes the old files away.

        What its journal, its archive and its copies still hold of what was erased is for its keeper to end. False where others
        use a table for so long that it can't be done now, or there is no room.
        """
        if self.in_transaction:
            return False
        try:
            self.conn.execute(f"VACUUM (FULL) {', '.join(self._own())}")
        except psycopg.OperationalError:
            return False
        return True

    @contextmanager
    def one_moment(self) -> Iterator[None]:
        """A reader's transaction, which keeps to what was whole at its start."""
        if self.in_transaction:
            yield
            return
        self.conn.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY; SELECT 1")
        try:
            yield
        finally:
            if self.in_transaction:
                self.conn.execute("ROLLBACK")

    @contextmanager
    def at_rest(self) -> Iterator[None]:
        """Within it rows come in as they are told: what tables do by themselves rests. The caller holds a transaction."""
        for name in self._own():
            self.conn.execute(f"ALTER TABLE {name} DISABLE TRIGGER USER")
        yield
        for name in self._own():
            self.conn.execute(f"ALTER TABLE {name} ENABLE TRIGGER USER")

    def _own(self) -> list[str]:
        """The tables proper."""
        return [name for name in self.tables() if name != "names_mark"]

    def _begin(self) -> None:
        try:
            self.conn.execute(f"BEGIN; SELECT pg_advisory_xact_lock({_WRITER})")
        except BaseException:
            if self.in_transaction:
                self.conn.execute("ROLLBACK")
            raise


def _sought(parameters: Sequence[Any] | Mapping[str, Any]) -> Sequence[Any] | Mapping[str, Any]:
    """Values that are looked for. A text with the sign NUL in it is nowhere on a server, and no question takes it."""
    if isinstance(parameters, Mapping):
        return {name: _nowhere(value) for name, value in parameters.items()}
    return [_nowhere(value) for value in parameters]


def _nowhere(value: Any) -> Any:
    return value.replace("\0", _NO_SIGN) if isinstance(value, str) and "\0" in value else value


def _handed_over(cursor: "psycopg.ServerCursor[Any]") -> Iterator[dict[str, Any]]:
    with cursor:
        names = [column.name for column in cursor.description or ()]
        for row in cursor:
            yield dict(zip(names, row, strict=True))
