"""Opening the catalogue file: settings, migrations, and what SQLite's refusals mean to a person."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.errors import CatalogueUnusable
from remnants.late import Late
from remnants.private import make_file, tighten
from remnants.store.aside import clear
from remnants.store.catalogue import AT_THE_MACHINE, Catalogue, address
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.migrations import APPLICATION_ID, MIGRATIONS, migrate, steps_done
from remnants.store.server_address import CatalogueAt, ServerAddress
from remnants.store.shelf import fill

if TYPE_CHECKING:
    from remnants.store.server import opening, pool
else:  # with what speaks to a server, only where a server is named
    opening, pool = Late("remnants.store.server.opening"), Late("remnants.store.server.pool")

__all__ = ["BUSY_S", "busy", "connections_kept", "in_plain_words", "is_damaged", "open_catalogue", "server_extra"]

BUSY_S = 10.0
"""How long a write waits for another one to end."""

_CACHE_KIB = 48 * 1024

TO_THE_DISK = {True: "FULL", False: "NORMAL"}
"""Where it writes, each change waits until it is on the disk, so that it stays when the power goes (SQLite, `synchronous`)."""


@contextmanager
def open_catalogue(
    path: CatalogueAt,
    *,
    write: bool,
    busy_s: float | None = None,
    now: Callable[[], datetime] | None = None,
    asked_from: str = AT_THE_MACHINE,
) -> Iterator[Catalogue]:
    """The catalogue at `path`; with `write` it is made when missing. One of an older version is brought up to date.
    `now` is the clock by which holds are looked at, else the machine's; `asked_from` the address of who asks.

    Raises CatalogueUnusable, also for what goes wrong while it is in use: no such file or folder, not a catalogue, made by a
    newer version, locked by another writer for `busy_s` seconds, read-only, full disk, damaged. Nothing half done stays.
    Its owner alone may read the file: one that others may read is tightened when its owner opens it. What programs that were
    killed left of copies is cleared first. On a server the same holds of its database: see `server.opening`.
    """
    if isinstance(path, ServerAddress):
        with server_extra():
            opened = opening.open_server
        with opened(path, write=write, busy_s=BUSY_S if busy_s is None else busy_s, now=now, asked_from=asked_from) as shared:
            yield shared
        return
    clear(path)
    with in_plain_words(path), closing(_connection(path, write=write, busy_s=BUSY_S if busy_s is None else busy_s)) as connection:
        catalogue = FileCatalogue(connection, now, asked_from)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")  # what is erased about a person is overwritten, not only unlinked
        connection.execute(f"PRAGMA cache_size = -{_CACHE_KIB}")
        connection.execute(f"PRAGMA synchronous = {TO_THE_DISK[write]}")
        behind = _is_behind(catalogue, path)
        tighten(path)  # not before it is known to be ours
        if behind and write:
            _bring_up_to_date(catalogue, path)
        elif behind:
            with open_catalogue(path, write=True, busy_s=busy_s):
                pass
        yield catalogue


@contextmanager
def server_extra() -> Iterator[None]:
    """Around what loads the package that speaks to a server. Raises CatalogueUnusable, with what brings it, where it lacks."""
    try:
        yield
    except ImportError as error:
        if (error.name or "").startswith("remnants"):
            raise
        what = f"{error.name or 'psycopg'} is not installed; `pip install 'remnants[server]'` brings it"
        raise CatalogueUnusable(f"a catalogue on a server needs more than is here: {what}") from None


@contextmanager
def connections_kept(at: CatalogueAt, *, most: int) -> Iterator[None]:
    """Within it this process keeps up to `most` connections to a server open for whoever opens the catalogue; a file needs none.

    Raises CatalogueUnusable where what speaks to a server is not installed.
    """
    if isinstance(at, Path):
        yield
        return
    with server_extra():
        kept = pool.pooled
    with kept(at, most):
        yield


def _connection(path: Path, *, write: bool, busy_s: float) -> sqlite3.Connection:
    if not path.parent.is_dir():
        raise CatalogueUnusable(f"{path}: the folder {path.parent} does not exist; make it, or name another with --catalogue")
    if path.is_dir():
        raise CatalogueUnusable(f"{path}: this is a folder; name a file in it with --catalogue")
    if not write and not path.exists():
        raise CatalogueUnusable(f"{path}: there is no catalogue here yet; log a piece first, or name another with --catalogue")
    if write and not path.exists():
        with suppress(OSError):  # SQLite tells it in words
            make_file(path)
    mode = "rwc" if write else "ro"
    if not write and not os.access(path.parent, os.W_OK) and not path.with_name(path.name + "-wal").exists():
        mode = "ro&immutable=1"  # no writer can be at work in a folder that takes no journal
    return sqlite3.connect(address(path, mode), uri=True, timeout=busy_s, isolation_level=None)


def _is_behind(catalogue: FileCatalogue, path: Path) -> bool:
    """Whether steps are missing. Refuses other programs' files and newer catalogues."""
    (tables,) = catalogue.conn.execute("SELECT count(*) FROM sqlite_master").fetchone()
    (marked,) = catalogue.conn.execute("PRAGMA application_id").fetchone()
    if tables and marked != APPLICATION_ID:
        raise CatalogueUnusable(f"{path}: this database is not a catalogue of remnants; name another file with --catalogue")
    done = steps_done(catalogue)
    if done > len(MIGRATIONS):
        raise CatalogueUnusable(f"{path}: made by a newer version (step {done}); update this program first")
    return done < len(MIGRATIONS)


def _bring_up_to_date(catalogue: FileCatalogue, path: Path) -> None:
    """Raises CatalogueUnusable, with nothing changed, when the steps that are missing don't go with the tables that are there."""
    done = steps_done(catalogue)
    if not done:
        catalogue.conn.execute("PRAGMA journal_mode = WAL")
    try:
        migrate(catalogue)
        fill(catalogue)
    except sqlite3.Error as error:
        if _family(error) not in _NOT_AS_MADE:
            raise
        told = f"its tables are not those of step {done}, which it says it is at: {_DAMAGED.partition('; ')[2]}"
        raise CatalogueUnusable(f"{path}: {told} ({error})") from error


@contextmanager
def in_plain_words(path: Path) -> Iterator[None]:
    """SQLite's refusals about the file at `path` as CatalogueUnusable, telling what they mean and what to do."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as error:
        told = _PLAIN.get(_family(error)) or (_DAMAGED if _tells_damage(error, path) else "")
        if not told:
            raise
        raise CatalogueUnusable(f"{path}: {told} ({error})") from error


def busy(path: Path) -> CatalogueUnusable:
    """The refusal of a file that another program was writing to for BUSY_S."""
    return CatalogueUnusable(f"{path}: {_PLAIN['BUSY']}")


def is_damaged(path: Path) -> bool:
    """Whether SQLite finds the file at `path` damaged, or no database at all.

    Raises CatalogueUnusable when that can't be told: it may not be opened, the disk fails.
    """
    try:
        with closing(sqlite3.connect(address(path, "ro"), uri=True, timeout=BUSY_S)) as opened:
            opened.text_factory = bytes  # names in what it tells may be damaged too
            if opened.execute("PRAGMA integrity_check(1)").fetchall() != [(b"ok",)]:
                return True
    except UnicodeDecodeError:  # of a message with a damaged name in it
        return True
    except sqlite3.Error as error:
        if _family(error) not in _IN_THE_WAY:
            return True
        raise CatalogueUnusable(f"{path}: {_PLAIN[_family(error)]} ({error})") from error
    try:
        with path.open("rb") as opened_file:
            return any(version > _NEWEST_FORMAT for version in opened_file.read(20)[18:])
    except OSError as error:
        raise CatalogueUnusable(f"{path}: {_PLAIN['IOERR']} ({error.strerror})") from error


def _tells_damage(error: Exception, path: Path) -> bool:
    """Whether a refusal of no family of its own comes of damage: texts that are none, tables that went. Not what we did wrong."""
    try:
        return str(error).startswith("Could not decode") or is_damaged(path)
    except CatalogueUnusable:
        return False


def _family(error: Exception) -> str:
    """`SQLITE_READONLY_DIRECTORY` belongs to `READONLY`."""
    parts = getattr(error, "sqlite_errorname", "").split("_")
    return parts[1] if len(parts) > 1 else ""


_NEWEST_FORMAT = 2
"""Of SQLite's file format, as bytes 18 and 19 of the file give it: writers and readers leave a file of a later one alone."""

_IN_THE_WAY = {"BUSY", "LOCKED", "PERM", "AUTH", "CANTOPEN", "FULL", "IOERR"}
"""Refusals that tell nothing of the file's content."""

_NOT_AS_MADE = {"ERROR", "CONSTRAINT", "MISMATCH", "SCHEMA"}
"""Refusals of statements that the tables they were made for would take."""

_DAMAGED = "the catalogue is damaged; nothing was changed: bring back the last backup with `remnants restore`"
_PLAIN = {
    "BUSY": "another program is writing to the catalogue and did not finish in time; nothing was changed, try again",
    "LOCKED": "another program holds the catalogue; nothing was changed, try again",
    "NOTADB": "this is not a catalogue, nor any database; nothing was changed, name another file with --catalogue",
    "CORRUPT": _DAMAGED,
    "READONLY": "the catalogue may not be written to; nothing was changed: check the file's and the folder's permissions",
    "PERM": "the catalogue may not be opened; check the file's permissions",
    "AUTH": "the catalogue may not be opened; check the file's permissions",
    "CANTOPEN": "the catalogue can't be opened; check the file's and the folder's permissions",
    "FULL": "the disk is full; nothing was changed: make room and try again",
    "IOERR": "the disk failed to read or write; nothing was changed: check the disk and its free space",
}
