"""Looking at what the stock stands on: the rights of its files, the disk, copies, the clock, versions. Nothing is changed."""

import os
import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from stat import S_IMODE
from typing import TYPE_CHECKING

from remnants.actions.known_copies import copies_of, known_copies
from remnants.actions.libraries import libraries
from remnants.days import moment_words
from remnants.late import Late
from remnants.model.finding import Finding, Health
from remnants.private import JOURNALS
from remnants.store.copy_notes import notes_path, read_notes
from remnants.store.database import server_extra
from remnants.store.door_book import MOST_BYTES, book_files, read_lines
from remnants.store.looked_at import LEAST_SQLITE, LookedAt, look_at, sqlite_version
from remnants.store.server_address import CatalogueAt, ServerAddress

if TYPE_CHECKING:
    from remnants.store.server import looking
else:  # with what speaks to a server
    looking = Late("remnants.store.server.looking")

__all__ = ["check_up"]

_MB = 1_000_000
_LITTLE, _NONE = 200 * _MB, 50 * _MB
"""Bytes free on the disk below which it is looked at, and mended; or so much as the catalogue takes, if that is more."""

_OLD, _TOO_OLD, _TRIED = timedelta(days=7), timedelta(days=30), timedelta(days=90)
"""Ages of the newest copy at which it is looked at, and mended; and of the last drill. Common practice, no source."""

_CLOCKS_DIFFER = timedelta(minutes=2)
"""How far clocks of machines that wrote into one catalogue may be apart."""


_MAKE = "make one now, on another disk: `remnants backup FOLDER --every 1d` started by this machine's own clock"


def check_up(catalogue: CatalogueAt, *, now: datetime) -> tuple[Finding, ...]:
    """Everything that is looked at, in a fixed order."""
    if isinstance(catalogue, ServerAddress):
        return tuple(_of_server(catalogue, now))
    seen = look_at(catalogue, now=now) if catalogue.is_file() else "there is no such file yet"
    looks: tuple[Callable[[], Iterator[Finding]], ...] = (
        lambda: _catalogue(catalogue, seen),
        lambda: _rights(catalogue),
        lambda: _disk(catalogue),
        lambda: _copies(catalogue, now),
        lambda: _clock(catalogue, seen, now),
        lambda: _versions(seen),
        libraries,
        lambda: _door_book(catalogue),
        lambda: _waiting(seen),
    )
    return tuple(finding for look in looks for finding in look())


def _of_server(address: ServerAddress, now: datetime) -> Iterator[Finding]:
    """What can be looked at from here; the server's own files and disk are its keeper's."""
    with server_extra():
        seen = looking.look_at_server(address, now=now)
    if not isinstance(seen, LookedAt):
        yield Finding("catalogue", Health.MEND, f"{address}: {seen}", "see the guide to servers: docs/how-to/use-a-server.md")
        return
    yield _ok("catalogue", f"{address}, {seen.size_bytes / _MB:.1f} MB")
    if seen.open_wire:
        told = "what goes to the server and back can be read on the way"
        yield Finding("wire", Health.LOOK, told, "have the server take TLS alone, and add ?sslmode=verify-full to the address")
    else:
        yield _ok("wire", "what goes to the server and back can't be read on the way")
    known = known_copies(address)
    if known and known.newest:
        yield _newest(known.newest, now)
        yield _drill(known.drilled, now, passed=known.passed)
    else:
        told = "this machine made none; its keeper may make some"
        yield Finding("copies", Health.LOOK, told, "have pg_dump or `remnants backup` run every day, and try a copy out")
    yield from _clock(address, seen, now)
    yield _ok("server", f"PostgreSQL {seen.server}, Python {sys.version.split()[0]}")
    yield from _tables(seen)
    yield from libraries()
    yield from _door_book(address)
    yield from _waiting(seen)


def _ok(what: str, found: str) -> Finding:
    return Finding(what, Health.OK, found)


def _catalogue(catalogue: Path, seen: LookedAt | str) -> Iterator[Finding]:
    if isinstance(seen, LookedAt):
        yield _ok("catalogue", f"{catalogue}, {catalogue.stat().st_size / _MB:.1f} MB")
    elif not catalogue.exists():
        yield Finding("catalogue", Health.MEND, f"{catalogue}: {seen}", "name it with --catalogue, or log a first piece")
    else:
        told = "prove it with `remnants verify`; if it is damaged, bring the newest copy back with `remnants restore FILE`"
        yield Finding("catalogue", Health.MEND, f"{catalogue}: {seen}", told)


def _rights(catalogue: Path) -> Iterator[Finding]:
    """Who may read the files, and who may put others in their place."""
    if not hasattr(os, "geteuid"):
        yield Finding("files", Health.LOOK, "this system tells no rights", "see to it that one account alone may read them")
        return
    real = catalogue.resolve()
    beside = [real.with_name(real.name + ending) for ending in JOURNALS]
    files = [file for file in (real, *beside, notes_path(catalogue), *book_files(catalogue)) if file.is_file()]
    open_files = [file for file in files if S_IMODE(file.stat().st_mode) & 0o077]
    others = [file for file in files if file.stat().st_uid != os.geteuid()]
    if open_files:
        names = ", ".join(file.name for file in open_files)
        told = f"chmod 600 {' '.join(map(str, open_files))}"
        yield Finding("files", Health.MEND, f"others on this machine may read {names}", told)
    elif others:
        told = "run `remnants` and its server under the account that they belong to"
        yield Finding("files", Health.LOOK, f"{others[0].name} belongs to another account", told)
    else:
        yield _ok("files", f"{len(files)} beside each other, for their owner alone")
    folder = real.parent
    if folder.is_dir() and S_IMODE(folder.stat().st_mode) & 0o022:
        yield Finding("folder", Health.MEND, f"others may put files into {folder}", f"chmod go-w {folder}")
    elif folder.is_dir():
        yield _ok("folder", "its owner alone may put files into it")
    told = (
        "sessions, links and keys are kept as digests; what second factors are reckoned from lies in the catalogue and its copies"
    )
    yield _ok("secrets", told)


def _disk(catalogue: Path) -> Iterator[Finding]:
    folder = catalogue.resolve().parent
    if not folder.is_dir():
        return
    free, size = shutil.disk_usage(folder).free, catalogue.stat().st_size if catalogue.is_file() else 0
    told = f"{free / _MB:,.0f} MB free where the catalogue lies"
    if free < max(_NONE, size):
        yield Finding("disk", Health.MEND, told, "make room now: a copy takes as much again as the catalogue")
    elif free < max(_LITTLE, 3 * size):
        yield Finding("disk", Health.LOOK, told, "make room soon, or move the catalogue to a larger disk")
    else:
        yield _ok("disk", told)


def _copies(catalogue: Path, now: datetime) -> Iterator[Finding]:
    known = known_copies(catalogue)
    if known is None or known.newest is None:
        yield Finding("copies", Health.MEND, "no copy of the stock is known: if this disk fails, all of it is gone", _MAKE)
        return
    yield _newest(known.newest, now)
    beside = [Path(copy.file) for copy in copies_of(read_notes(catalogue))]
    here = [file for file in beside if file.exists() and catalogue.exists() and file.stat().st_dev == catalogue.stat().st_dev]
    if beside and len(here) == len(beside):
        yield Finding("other disk", Health.LOOK, "every copy lies on the catalogue's own disk", "keep one on another disk")
    yield from _open_copies(beside)
    yield _drill(known.drilled, now, passed=known.passed)


def _newest(made: datetime, now: datetime) -> Finding:
    """How old the newest copy is."""
    days = (now - made).days
    told = f"the newest was made {days} day{'s' * (days != 1)} ago"
    if now - made > _TOO_OLD:
        return Finding("copies", Health.MEND, told, _MAKE)
    return Finding("copies", Health.LOOK, told, _MAKE) if now - made > _OLD else _ok("copies", told)


def _open_copies(copies: Sequence[Path]) -> Iterator[Finding]:
    """Those that others may read: a copy tells all that the catalogue does, and a stick often knows no rights."""
    found = [file for file in copies if file.is_file() and S_IMODE(file.stat().st_mode) & 0o077] if hasattr(os, "geteuid") else []
    if found:
        names = " ".join(map(str, found))
        told = f"others on this machine may read {', '.join(file.name for file in found)}"
        yield Finding("open copies", Health.LOOK, told, f"chmod 600 {names}; where a disk knows no rights, encrypt it")


def _drill(drilled: datetime | None, now: datetime, *, passed: bool) -> Finding:
    again = "try the newest one out: `remnants backup --drill`"
    if drilled is None:
        return Finding("drill", Health.LOOK, "no copy was ever tried out", again)
    told = f"a copy was tried out {(now - drilled).days} days ago"
    if not passed:
        return Finding(
            "drill", Health.MEND, f"{told}, and would not have brought the stock back", "make a new copy, and try it out"
        )
    return Finding("drill", Health.LOOK, told, again) if now - drilled > _TRIED else _ok("drill", f"{told}, and passed")


def _clock(catalogue: CatalogueAt, seen: LookedAt | str, now: datetime) -> Iterator[Finding]:
    """The clock never stands before what was written down already."""
    try:
        booked = next((line.at for line in read_lines(catalogue) if line), None)
    except OSError:
        booked = None
    newest = max((at for at in (seen.newest if isinstance(seen, LookedAt) else None, booked) if at), default=None)
    stands = moment_words(now)
    if newest and newest > now + _CLOCKS_DIFFER:
        told = f"it stands at {stands}, before what was last written down ({moment_words(newest)})"
        what = "set it, and let the machine keep it by the network (NTP): holds, sessions and copies go by it"
        yield Finding("clock", Health.MEND, told, what)
    else:
        yield _ok("clock", f"{stands}, after all that was written down")


def _versions(seen: LookedAt | str) -> Iterator[Finding]:
    has = ".".join(map(str, sqlite_version()))
    if sqlite_version() < LEAST_SQLITE:
        least = ".".join(map(str, LEAST_SQLITE))
        yield Finding("SQLite", Health.MEND, f"{has}; it takes {least}", "bring this machine's Python up to date")
    else:
        yield _ok("SQLite", f"{has}, Python {sys.version.split()[0]}")
    if isinstance(seen, LookedAt):
        yield from _tables(seen)


def _tables(seen: LookedAt) -> Iterator[Finding]:
    if seen.step > seen.newest_step:
        told = f"the catalogue is at step {seen.step}, and this program knows {seen.newest_step}"
        yield Finding("tables", Health.MEND, told, "update this program: a newer one made the catalogue")
    elif seen.step < seen.newest_step:
        told = f"the catalogue is at step {seen.step} of {seen.newest_step}"
        yield Finding("tables", Health.LOOK, told, "make a copy of it; the next command that opens it brings it up to date")
    else:
        yield _ok("tables", f"at step {seen.step}, the newest")


def _door_book(catalogue: CatalogueAt) -> Iterator[Finding]:
    try:
        files = book_files(catalogue)
        size = sum(file.stat().st_size for file in files)
        unread = sum(line is None for line in read_lines(catalogue))
    except OSError as error:
        yield Finding("door book", Health.MEND, f"it can't be read ({error.strerror})", "move what lies in its place away")
        return
    blocked = [file for file in files if not os.access(file, os.W_OK)]
    told = f"{size / _MB:.1f} MB in {len(files)} file{'s' * (len(files) != 1)}"
    if blocked:
        yield Finding("door book", Health.MEND, f"{blocked[0].name} can't be written", f"chmod 600 {blocked[0]}, as its owner")
    elif size > MOST_BYTES * 1.1:
        yield Finding("door book", Health.LOOK, f"{told}: more than it ever takes", "see who else writes there")
    elif unread:
        lines = f"{unread} line{'s' * (unread != 1)}"
        yield Finding("door book", Health.LOOK, f"{told}; {lines} can't be read", "see whether somebody changed it by hand")
    else:
        yield _ok("door book", told)


def _waiting(seen: LookedAt | str) -> Iterator[Finding]:
    """Forms that came when their maker's session was over."""
    if not isinstance(seen, LookedAt):
        return
    if seen.waiting:
        told = f"{seen.waiting} form{'s' * (seen.waiting != 1)} that came when their maker was signed out, kept for a day"
        yield Finding(
            "waiting", Health.LOOK, told, "have who made them sign in where they sent it: the page shows them their form"
        )
    else:
        yield _ok("waiting", "no form waits for its maker to sign in again")
