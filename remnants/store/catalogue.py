"""The store contract: what an open catalogue can be asked, in a file or on a server, and what every store promises.

Modules of the store write one SQL for all: `?` or `:name` for values, no words of one database alone. Where they can't, the
contract has a word of its own (`added`, `monday_of`, `by_index`). `json_extract`, `json_valid`, `hex`, `lower`
of A to Z alone, `substr`, `trim`, `ltrim` and ON CONFLICT mean the same in each; truth is kept as 0 and 1, and text sorts by
its code points.

Every store promises: what stands in `atomic` happens wholly or not at all, and one writer at a time is in it, who sees all that
was written before; so numbers made from the highest there is have no gaps and no two writers get the same. A statement outside
sees what was whole at its start.
"""

import secrets
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import quote

__all__ = ["AT_THE_MACHINE", "Catalogue", "Rows", "address"]

AT_THE_MACHINE = "this machine"
"""What stands in place of an address for who works at the machine itself."""


def address(path: Path, mode: str) -> str:
    """SQLite's address of the file at `path`, whatever signs its name holds; with `mode` "ro" or "rw" it is never made."""
    return f"file:{quote(path.absolute().as_posix())}?mode={mode}"


class Rows(Protocol):
    """What a statement gives: its rows, one by one or all that are left, and how many it touched."""

    @property
    def rowcount(self) -> int:
        """How many rows were put in, changed or taken away."""

    @property
    def description(self) -> Any:
        """A sequence for each column, its name first; None of a statement that gives no rows."""

    def fetchone(self) -> Any:
        """The next row as a tuple, None after the last."""

    def fetchall(self) -> list[Any]:
        """All rows that are left."""

    def __iter__(self) -> Iterator[Any]:
        """The rows that are left, one by one."""


class Catalogue(ABC):
    """An open catalogue. Every change stands in `with catalogue.atomic():`, which holds the one writer's place from its start."""

    refusals: tuple[type[Exception], ...] = ()
    """What is raised where the store itself can't do what it is asked: damage, no room, no rights."""

    def __init__(self, now: Callable[[], datetime] | None = None, asked_from: str = AT_THE_MACHINE) -> None:
        """`now` is the clock, else the machine's; `asked_from` the address from which whoever uses it asks."""
        self.asked_from = asked_from
        self._now = now
        self._owed: dict[Callable[[Catalogue], None], None] = {}

    def moment(self) -> datetime:
        """The time."""
        return self._now() if self._now else datetime.now(UTC)

    def today(self) -> date:
        """The day (UTC) by which holds are looked at."""
        return self.moment().date()

    @property
    @abstractmethod
    def path(self) -> Path:
        """The file, links followed; of a server the name beside which this machine keeps what doesn't lie in the catalogue."""

    @property
    def named(self) -> str:
        """Where it is, as messages tell it."""
        return str(self.path)

    @property
    @abstractmethod
    def in_transaction(self) -> bool:
        """Whether something stands in `atomic` right now."""

    @abstractmethod
    def execute(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Rows:
        """Runs a statement at once; `parameters` stand for its `?` or `:name`. Raises what the store's own driver does."""

    @abstractmethod
    def many(self, sql: str, rows: Iterable[Sequence[Any]]) -> None:
        """Runs a statement once for each row of values."""

    @abstractmethod
    def monday_of(self, day: str) -> str:
        """SQL for the Monday on or before a day; `day` is SQL for a text such as `2031-05-03`."""

    @abstractmethod
    def by_index(self, table: str, index: str) -> str:
        """SQL for a table that is to be read by an index of it, which holds all that the statement asks of the table."""

    @abstractmethod
    def tables(self) -> tuple[str, ...]:
        """The names of its tables, in order, those of the store itself left out."""

    @abstractmethod
    def sweep(self) -> bool:
        """Writes anew where words were erased, so that they lie nowhere in the store's files. Not within a transaction.

        False where that can't be done now: others are at work, or there is no room.
        """

    @abstractmethod
    def one_moment(self) -> AbstractContextManager[None]:
        """Within it what is read stays what it is at its start, whoever writes meanwhile; nothing is written."""

    @abstractmethod
    def at_rest(self) -> AbstractContextManager[None]:
        """Within it rows come in as they are told: what tables do by themselves when a row is put in or changed rests.

        The caller holds a transaction. Numbers that are given afterwards go on from the highest that is there.
        """

    def by_the_end(self, do: Callable[["Catalogue"], None]) -> None:
        """Has this done before the transaction that the caller holds ends well, once however often it is told, or at once."""
        if self.in_transaction:
            self._owed[do] = None
        else:
            do(self)

    @abstractmethod
    def _begin(self) -> None:
        """Begins a transaction that holds the one writer's place."""

    def only_now(self, error: Exception) -> bool:
        """Whether the store only can't answer now, with nothing wrong in what it holds: it is away, full, held by another."""
        del error
        return False

    def query(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[dict[str, Any]]:
        """The rows of a statement, each value by its column's name. It runs at once; rows are fetched as they are asked for."""
        return _named(self.execute(sql, parameters))

    def each(self, sql: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[dict[str, Any]]:
        """As `query`, for rows that may be too many to be held at once; other statements may run between two of them."""
        return self.query(sql, parameters)

    def added(self, sql: str, parameters: Sequence[Any] = (), *, number: str = "number") -> int:
        """Runs an INSERT of one row and gives the number that the row got in its column of that name."""
        (row,) = self.execute(f"{sql} RETURNING {number}", parameters).fetchall()
        return int(row[0])

    @contextmanager
    def atomic(self) -> Iterator["Catalogue"]:
        """One transaction: all of it or nothing. Blocks may nest; an inner one that fails is undone alone."""
        inner = self.in_transaction
        name = f"inner_{secrets.token_hex(8)}"
        if inner:
            self.execute(f"SAVEPOINT {name}")
        else:
            self._owed.clear()
            self._begin()
        try:
            yield self
            while self._owed and not inner:
                do, _ = self._owed.popitem()
                do(self)
            self.execute(f"RELEASE {name}" if inner else "COMMIT")
        except BaseException:
            if self.in_transaction:
                self.execute(f"ROLLBACK TO {name}" if inner else "ROLLBACK")
                if inner:
                    self.execute(f"RELEASE {name}")
            raise


def _named(rows: Rows) -> Iterator[dict[str, Any]]:
    names = [name for name, *_ in rows.description or ()]
    return (dict(zip(names, row, strict=True)) for row in rows)
