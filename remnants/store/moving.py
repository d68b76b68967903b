"""Every row of one catalogue put into another, whatever keeps each, and proved the same by digests.

Rows go as they stand: entries with their salts and digests, marks, sessions. What the tables do by themselves when a row comes in
rests meanwhile. The steps that a catalogue is at are its own: both are up to date, as they were opened.
"""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

from remnants.errors import CatalogueUnusable
from remnants.store.catalogue import Catalogue

__all__ = [
    "Watch",
    "copy_all",
    "copy_table",
    "count_all",
    "digest_of_table",
    "holds_rows",
    "renew_names_mark",
    "tables_in_order",
    "unwatched",
]

_REFERRED_TO = ("style", "piece", "person", "branch")
"""Tables whose rows others refer to, each after those that it refers to itself; they go first."""

_ITS_OWN = frozenset({"migration", "names_mark"})
"""What each catalogue has by itself from its start, and is not moved: its steps, and the mark of its names."""

_ROWS_AT_ONCE, _BYTES_AT_ONCE = 500, 8_000_000
_DIGEST_SPACE = 1 << 256

Row = tuple[Any, ...]

Watch = Callable[[str, int], AbstractContextManager[Callable[[int], None]]]
"""Hears what is done with how many rows, and gives what hears how many more are done."""


@contextmanager
def unwatched(words: str, rows: int) -> Iterator[Callable[[int], None]]:
    """Nobody looks on."""
    del words, rows
    yield lambda _: None


def tables_in_order(catalogue: Catalogue) -> tuple[str, ...]:
    """The tables that are moved, those first that others refer to."""
    names = [name for name in catalogue.tables() if name not in _ITS_OWN]
    return tuple(sorted(names, key=lambda name: (_REFERRED_TO.index(name) if name in _REFERRED_TO else len(_REFERRED_TO), name)))


def count_all(catalogue: Catalogue) -> dict[str, int]:
    """How many rows each of these tables has."""
    return {name: int(catalogue.execute(f"SELECT count(*) FROM {name}").fetchone()[0]) for name in tables_in_order(catalogue)}


def holds_rows(catalogue: Catalogue) -> str:
    """The name of a table with rows that a new catalogue wouldn't have; empty of one that holds nothing yet."""
    for name in tables_in_order(catalogue):
        if catalogue.execute(f"SELECT 1 FROM {name} LIMIT 1").fetchone():
            return name
    return ""


def copy_all(source: Catalogue, target: Catalogue, *, done: str, watch: Watch) -> dict[str, int]:
    """Puts all rows of one into the other, which has none, and compares them; gives how many each table has.

    The caller holds a transaction of the target, and the source as it is at one moment. `watch` hears of rows `done` (a word such
    as "moved"), then compared.

    Raises CatalogueUnusable where what came in a table isn't what was sent; the caller's transaction then keeps nothing.
    """
    rows = count_all(source)
    digests: dict[str, str] = {}
    with target.at_rest(), watch(f"rows {done}", sum(rows.values())) as passed:
        for table in rows:
            digests[table] = copy_table(source, target, table, passed=passed)
    renew_names_mark(target)
    with watch("rows compared", sum(rows.values())) as passed:
        for table, count in rows.items():
            if digest_of_table(target, table) != digests[table]:
                told = f"what came in the table {table} is not what was sent; nothing was kept"
                raise CatalogueUnusable(f"{target.named}: {told}")
            passed(count)
    return rows


def copy_table(source: Catalogue, target: Catalogue, table: str, *, passed: Callable[[int], None] = lambda _: None) -> str:
    """Puts all rows of a table of one into the other's, which has none; gives the digest of what was read.

    The caller holds a transaction of both, and the target is `at_rest`. `passed` hears how many rows more are in.
    """
    columns = _columns(source, table)
    put = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"
    digest = 0
    for some in _shares(_rows(source, table, columns)):
        target.many(put, some)
        digest += sum(map(_digest, some))
        passed(len(some))
    return _written(digest)


def digest_of_table(catalogue: Catalogue, table: str) -> str:
    """A digest over all rows of a table, each with all that it holds, in whatever order they come: 64 hexadecimal letters."""
    return _written(sum(map(_digest, _rows(catalogue, table, _columns(catalogue, table)))))


def renew_names_mark(catalogue: Catalogue) -> None:
    """Gives the names another mark, once all is in: what was kept under the one before was made of nothing."""
    catalogue.execute("UPDATE style SET name = name")


def _columns(catalogue: Catalogue, table: str) -> tuple[str, ...]:
    """By name, so that both sides tell a row alike."""
    return tuple(sorted(str(name) for name, *_ in catalogue.execute(f"SELECT * FROM {table} LIMIT 0").description))


def _rows(catalogue: Catalogue, table: str, columns: tuple[str, ...]) -> Iterator[Row]:
    return (tuple(map(row.__getitem__, columns)) for row in catalogue.each(f"SELECT {', '.join(columns)} FROM {table}"))


def _shares(rows: Iterable[Row]) -> Iterator[list[Row]]:
    """So many at a time that photographs don't fill the memory."""
    some: list[Row] = []
    held = 0
    for row in rows:
        some.append(row)
        held += sum(len(value) for value in row if isinstance(value, str | bytes))
        if len(some) >= _ROWS_AT_ONCE or held >= _BYTES_AT_ONCE:
            yield some
            some, held = [], 0
    if some:
        yield some


def _digest(row: Row) -> int:
    """Of a row as a number; a nought has no sign in a file."""
    told = repr(tuple(value + 0.0 if isinstance(value, float) else value for value in row))
    return int.from_bytes(hashlib.sha256(told.encode()).digest())


def _written(digest: int) -> str:
    return f"{digest % _DIGEST_SPACE:064x}"
