"""Whole copies of a catalogue, taken while others write, and brought back."""

import errno
import os
import secrets
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from time import monotonic

from remnants.errors import CatalogueUnusable
from remnants.private import JOURNALS, make_file
from remnants.store.aside import Room, aside, drop
from remnants.store.catalogue import Catalogue, address
from remnants.store.database import BUSY_S, busy, in_plain_words
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.migrations import APPLICATION_ID, steps_done
from remnants.store.moving import Watch, unwatched
from remnants.store.rows import time_of

__all__ = [
    "Tally",
    "begin_version",
    "copy_in",
    "copy_out",
    "holds_catalogue",
    "is_foreign",
    "keep",
    "made_whole",
    "put_in_place",
    "tally",
    "unkeep",
    "unwritten",
]

_PAGES_AT_ONCE = 2_000
_PAUSE_S = 0.002
"""Between two bites of a copy, so that whoever writes meanwhile gets a turn."""


@dataclass(frozen=True)
class Tally:
    """How much a catalogue holds: pieces that are or were there, entries of the ledger, and when the last was written (UTC)."""

    pieces: int
    entries: int
    last_change: datetime | None


def copy_out(catalogue: FileCatalogue, path: Path, *, watch: Watch = unwatched) -> int:
    """A copy of the catalogue as it is at one moment, in one file; gives its size in bytes.

    Others may write meanwhile. The file appears once it is whole. `watch` sees how many of its pages are copied.

    Raises CatalogueUnusable: no room, no such folder.
    """
    with (
        made_whole(path, beside=catalogue.path) as part,
        in_plain_words(path),
        closing(sqlite3.connect(part, isolation_level=None)) as copy,
    ):
        with catalogue.one_moment(), watch("of the file copied", _pages(catalogue)) as passed:
            patience = _patience(path, passed)
            catalogue.conn.backup(copy, pages=_PAGES_AT_ONCE, progress=patience, sleep=_PAUSE_S)
        copy.execute("PRAGMA journal_mode = DELETE")
    return path.stat().st_size


@contextmanager
def made_whole(path: Path, *, beside: Path) -> Iterator[Path]:
    """A file to be written, of its owner alone; it stands at `path` once it is whole and on the disk, and not before.

    What others may look for lies `beside` the catalogue meanwhile. Raises CatalogueUnusable: no room, no such folder.
    """
    if not path.parent.is_dir():
        raise CatalogueUnusable(f"{path}: the folder {path.parent} does not exist; make it first")
    try:
        with aside(beside, path) as room:
            part = room.part(path)
            make_file(part)
            yield part
            _on_disk(part)
            part.replace(path)
    except CatalogueUnusable:
        raise
    except OSError as error:
        raise unwritten(path, error) from None


def copy_in(source: Path, catalogue: Path) -> None:
    """Puts the content of a copy in place of the catalogue's, in one step that other users of it see whole or not at all.

    Raises CatalogueUnusable; then the catalogue is as it was.
    """
    try:
        make_file(catalogue)
    except OSError as error:
        raise unwritten(catalogue, error) from None
    with (
        in_plain_words(catalogue),
        closing(sqlite3.connect(address(source, "ro"), uri=True)) as copy,
        closing(sqlite3.connect(catalogue, timeout=0, isolation_level=None)) as own,
    ):
        copy.backup(own, progress=_patience(catalogue), sleep=_PAUSE_S)
        with suppress(sqlite3.Error):  # all of it is there by now, and can be used without
            own.execute(f"PRAGMA busy_timeout = {BUSY_S * 1000:.0f}")
            own.execute("PRAGMA journal_mode = WAL")


def _pages(catalogue: FileCatalogue) -> int:
    (pages,) = catalogue.conn.execute("PRAGMA page_count").fetchone()
    return int(pages)


def _patience(path: Path, passed: Callable[[int], None] = lambda _: None) -> Callable[[int, int, int], None]:
    """What a copy calls after each step: by itself it would wait without end for others who write to the file at `path`.

    `passed` hears how many pages more are copied.
    """
    ends = monotonic() + BUSY_S
    done = 0

    def after_step(status: int, remaining: int, total: int) -> None:
        nonlocal done
        passed(total - remaining - done)
        done = total - remaining
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and monotonic() > ends:
            raise busy(path)

    return after_step


def holds_catalogue(path: Path) -> bool:
    """Whether the database at `path` is marked as ours and has a step of ours. Raises CatalogueUnusable when it can't be read."""
    with in_plain_words(path), closing(sqlite3.connect(address(path, "ro"), uri=True)) as opened:
        (marked,) = opened.execute("PRAGMA application_id").fetchone()
        return bool(marked == APPLICATION_ID and steps_done(FileCatalogue(opened)))


def begin_version(catalogue: Catalogue) -> None:
    """Gives a catalogue that is to be put in place another number (`aside.version_of`) than any before."""
    catalogue.execute(f"PRAGMA user_version = {secrets.randbelow(2**31 - 1) + 1}")


def is_foreign(path: Path) -> bool:
    """Whether the sound database at `path` is another program's: it has tables, neither our mark nor any table of ours."""
    with in_plain_words(path), closing(sqlite3.connect(address(path, "ro"), uri=True)) as opened:
        (marked,) = opened.execute("PRAGMA application_id").fetchone()
        tables = _tables(opened)
        return bool(marked != APPLICATION_ID and tables and not tables & {"migration", "piece", "style"})


def tally(path: Path) -> Tally | None:
    """How much the catalogue at `path` holds as far as it can be read, None when it can't. It is left as it is.

    From before there was a ledger each piece counts as an entry.
    """
    try:
        with closing(sqlite3.connect(address(path, "ro"), uri=True)) as opened:
            tables = _tables(opened)
            (pieces,) = opened.execute("SELECT count(*) FROM piece").fetchone() if "piece" in tables else (0,)
            if "entry" not in tables:
                return Tally(pieces, pieces, None)
            entries, last = opened.execute("SELECT count(*), max(at) FROM entry").fetchone()
            return Tally(pieces, entries, time_of(last) if last else None)
    except (sqlite3.Error, ValueError, TypeError):
        return None


def _tables(opened: sqlite3.Connection) -> set[str]:
    return {str(name) for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}


def keep(catalogue: Path, kept: Path, room: Room, *, damaged: bool) -> Path | None:
    """Keeps the catalogue as it is at `kept`; of a damaged one its bytes, and its journal's, under the same name with `-wal`.

    Gives the first file that there is then; None when there was nothing. Where the catalogue is sound and the program is killed
    or fails before another is in its place, it is cleared with the room. Raises CatalogueUnusable: no room, unreadable.
    """
    if catalogue.exists() and not damaged:
        with in_plain_words(catalogue), closing(sqlite3.connect(address(catalogue, "ro"), uri=True)) as opened:
            (version,) = opened.execute("PRAGMA user_version").fetchone()
            try:
                room.kept(kept, version)
            except OSError as error:
                raise unwritten(kept, error) from None
            copy_out(FileCatalogue(opened), kept)
        return kept
    made = []
    try:
        for source, copy in zip(_with_journal(catalogue), _with_journal(kept), strict=True):
            if source.exists():
                part = room.part(copy)
                make_file(part)
                shutil.copyfile(source, part)
                _on_disk(part)
                made.append((part, copy))
        for part, copy in made:
            part.replace(copy)
    except OSError as error:
        drop(kept)
        raise unwritten(kept, error) from None
    return made[0][1] if made else None


def unkeep(catalogue: Path, kept: Path) -> None:
    """Takes away what was kept of a damaged catalogue, unless it is no longer where it was."""
    if all(
        source.exists() or not copy.exists() for source, copy in zip(_with_journal(catalogue), _with_journal(kept), strict=True)
    ):
        drop(kept)


def put_in_place(fresh: Path, catalogue: Path, *, damaged: bool) -> None:
    """Puts a sound copy that nobody uses in place of the catalogue. One that is sound itself may be in use meanwhile.

    Raises CatalogueUnusable; then the catalogue is as it was.
    """
    if catalogue.exists() and not damaged:
        copy_in(fresh, catalogue)
        return
    real = catalogue.resolve()
    journals = [
        (own, fresh.with_name(f"replaced{ending}")) for ending in JOURNALS if (own := real.with_name(real.name + ending)).exists()
    ]
    try:
        _on_disk(fresh)
        for own, away in journals:
            own.replace(away)
        fresh.replace(real)
    except OSError as error:
        for own, away in journals:
            with suppress(OSError):
                away.replace(own)
        raise unwritten(catalogue, error) from None


def unwritten(path: Path, error: OSError) -> CatalogueUnusable:
    """The refusal of a file that the system won't write."""
    to_do = "make room" if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG) else "check the disk and the folder's rights"
    return CatalogueUnusable(f"{path}: can't be written ({error.strerror}); nothing was changed: {to_do} and try again")


def _on_disk(file: Path) -> None:
    """Comes back once what was written to the file would outlast a power cut. Raises OSError."""
    with file.open("rb") as written:
        os.fsync(written.fileno())


def _with_journal(path: Path) -> tuple[Path, Path]:
    return path, path.with_name(path.name + "-wal")
