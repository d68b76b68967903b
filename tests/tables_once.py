"""The tables of a new catalogue, made once by the program's own steps and copied from then on: a run makes some thousand."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

import pytest

from remnants.store import database, migrations, rescue, soundness
from remnants.store.file_catalogue import FileCatalogue

__all__ = ["tables_once"]

_STEPS = migrations.MIGRATIONS
_AT_A_TIME = threading.Lock()


@contextmanager
def tables_once() -> Iterator[None]:
    """Within it a new file gets its tables as a copy. Migrated is what is behind, stops at a step, has steps of a test's own, or
    is on a disk and reached by a connection of a test's own, which may want to count or to refuse each statement. Threads wait
    for each other here: a test of how they meet asks for `own_steps`."""
    made = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    migrations.migrate(FileCatalogue(made))

    def migrate(catalogue: FileCatalogue, *, upto: int | None = None) -> None:
        with _AT_A_TIME:
            if upto not in (None, len(_STEPS)) or _STEPS is not migrations.MIGRATIONS or not _is_new(catalogue.conn):
                migrations.migrate(catalogue, upto=upto)
                return
            made.backup(catalogue.conn)
        sqlite3.Connection.execute(catalogue.conn, "UPDATE names_mark SET mark = randomblob(16)")  # each has one of its own

    with pytest.MonkeyPatch.context() as here:
        for module in (database, rescue, soundness):
            here.setattr(module, "migrate", migrate)
        yield


def _is_new(connection: sqlite3.Connection) -> bool:
    ask = partial(sqlite3.Connection.execute, connection)  # past a test that counts
    if type(connection) is not sqlite3.Connection and ask("PRAGMA database_list").fetchone()[2]:
        return False
    (tables,) = ask("SELECT count(*) FROM sqlite_master").fetchone()
    return not tables
