"""Whole copies of a catalogue, taken while others write, and brought back; and whether the file itself is sound."""

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from remnants.errors import CatalogueUnusable
from remnants.store.catalogue import Catalogue
from remnants.store.database import address, in_plain_words
from remnants.store.migrations import APPLICATION_ID, steps_done
from remnants.store.rows import time_of

__all__ = ["Tally", "copy_in", "copy_out", "file_faults", "holds_catalogue", "tally"]

_PAGES_AT_ONCE = 2_000
_PAUSE_S = 0.002


@dataclass(frozen=True)
class Tally:
    """How much a catalogue holds: pieces that are or were there, entries of the ledger, and when the last was written (UTC)."""

    pieces: int
    entries: int
    last_change: datetime | None


def copy_out(catalogue: Catalogue, path: Path) -> int:
    """A copy of the catalogue as it is at one moment, in one file; gives its size in bytes.

    Others may write meanwhile. The file appears once it is whole. Raises CatalogueUnusable: no room, no such folder.
    """
    if not path.parent.is_dir():
        raise CatalogueUnusable(f"{path}: the folder {path.parent} does not exist; make it first")
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    beside.unlink(missing_ok=True)
    try:
        with in_plain_words(path), closing(sqlite3.connect(beside, isolation_level=None)) as copy:
            catalogue.conn.backup(copy, pages=_PAGES_AT_ONCE, sleep=_PAUSE_S)
            copy.execute("PRAGMA journal_mode = DELETE")
        with beside.open("rb") as written:
            os.fsync(written.fileno())
        beside.replace(path)
    except OSError as error:
        if isinstance(error, CatalogueUnusable):
            raise
        raise CatalogueUnusable(f"{path}: can't be written ({error.strerror})") from None
    finally:
        beside.unlink(missing_ok=True)
    return path.stat().st_size


def copy_in(source: Path, catalogue: Path) -> None:
    """Puts the content of a copy in place of the catalogue's, in one step that other users of it see whole or not at all.

    Raises CatalogueUnusable; then the catalogue is as it was.
    """
    with (
        in_plain_words(catalogue),
        closing(sqlite3.connect(address(source, "ro"), uri=True)) as copy,
        closing(sqlite3.connect(catalogue, timeout=10, isolation_level=None)) as own,
    ):
        copy.backup(own)
        own.execute("PRAGMA journal_mode = WAL")


def holds_catalogue(path: Path) -> bool:
    """Whether the database at `path` is marked as ours and has a step of ours. Raises CatalogueUnusable when it can't be read."""
    with in_plain_words(path), closing(sqlite3.connect(address(path, "ro"), uri=True)) as opened:
        (marked,) = opened.execute("PRAGMA application_id").fetchone()
        return bool(marked == APPLICATION_ID and steps_done(Catalogue(opened)))


def tally(path: Path) -> Tally:
    """How much the catalogue at `path` holds, which is left as it is, also when it is of an older version.

    From before there was a ledger each piece counts as an entry. Raises CatalogueUnusable when it can't be read.
    """
    with in_plain_words(path), closing(sqlite3.connect(address(path, "ro"), uri=True)) as opened:
        tables = {str(name) for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        (pieces,) = opened.execute("SELECT count(*) FROM piece").fetchone() if "piece" in tables else (0,)
        if "entry" not in tables:
            return Tally(pieces, pieces, None)
        entries, last = opened.execute("SELECT count(*), max(at) FROM entry").fetchone()
        return Tally(pieces, entries, time_of(last) if last else None)


def file_faults(catalogue: Catalogue) -> tuple[str, ...]:
    """What SQLite itself finds wrong: damaged pages, rows that refer to nothing."""
    told = [str(row[0]) for row in catalogue.conn.execute("PRAGMA integrity_check")]
    dangling = [
        f"{row[0]} row {row[1]} refers to a {row[2]} that is not there"
        for row in catalogue.conn.execute("PRAGMA foreign_key_check")
    ]
    return (*(text for text in told if text != "ok"), *dangling)
