"""A look at a catalogue's file that changes nothing in it: no mode, no table, no journal. Times are UTC."""

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from remnants.store.catalogue import address
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.migrations import APPLICATION_ID, MIGRATIONS, steps_done
from remnants.store.rows import time_of

__all__ = ["LEAST_SQLITE", "LookedAt", "look_at", "sqlite_version"]

LEAST_SQLITE = (3, 37, 0)
"""The first version of SQLite with STRICT tables, which the catalogue is made of (sqlite.org, STRICT Tables)."""


@dataclass(frozen=True)
class LookedAt:
    """How far the tables are and how far this program goes, the newest time in them, and the forms that wait for their makers."""

    step: int
    newest_step: int
    newest: datetime | None
    waiting: int
    size_bytes: int = 0
    server: str = ""
    """The version of the server that it is on, nothing of a file; and whether what goes over the network can be read there."""
    open_wire: bool = False


def look_at(catalogue: Path, *, now: datetime) -> LookedAt | str:
    """What is seen of the catalogue in a file, or why nothing is."""
    try:
        with closing(sqlite3.connect(address(catalogue, _mode(catalogue)), uri=True)) as opened:
            (marked,) = opened.execute("PRAGMA application_id").fetchone()
            if marked != APPLICATION_ID:
                return "it is not a catalogue of remnants"
            step = steps_done(FileCatalogue(opened))
            times = opened.execute("SELECT max(done_at) FROM migration").fetchall()
            times += _if_there(opened, "entry", "SELECT max(at) FROM entry")
            waiting = _if_there(opened, "unsent", "SELECT count(*) FROM unsent WHERE ends_at > ?", now.isoformat())
            newest = max((time_of(at) for (at,) in times if at), default=None)
            return LookedAt(step, len(MIGRATIONS), newest, waiting[0][0] if waiting else 0, catalogue.stat().st_size)
    except (sqlite3.Error, UnicodeDecodeError, ValueError, OSError) as error:
        return f"it can't be read ({error})"


def sqlite_version() -> tuple[int, ...]:
    """The version of SQLite that is at work."""
    return sqlite3.sqlite_version_info


def _mode(catalogue: Path) -> str:
    """Where nobody is at work there is no journal, and none is made by looking."""
    real = catalogue.resolve()
    return "ro" if real.with_name(real.name + "-wal").exists() else "ro&immutable=1"


def _if_there(opened: sqlite3.Connection, table: str, sql: str, *values: str) -> list[tuple[Any]]:
    """The rows, of a table that older catalogues don't have."""
    there = opened.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", [table]).fetchone()
    return opened.execute(sql, values).fetchall() if there else []
