"""The door book: lines in three files beside the catalogue, which stay when the catalogue is replaced by a copy. Of a
catalogue on a server they lie on the machine that is asked, and tell what was done there.

`CATALOGUE.doors.log` has what was done, `CATALOGUE.refused.log` what was refused, `CATALOGUE.handed-out.log` what was printed or
exported: whoever is refused or prints a million times pushes nothing out that was done. Each is begun anew before it grows over
DOOR_BOOK_BYTES; the older ones are kept under a number (`.1` the newest of them), DOOR_BOOK_FILES in all. A line is an object of
JSON. Their owner alone may read the files.
"""

import errno
import heapq
import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from operator import attrgetter
from pathlib import Path

from remnants.limits import DOOR_BOOK_BYTES, DOOR_BOOK_FILES
from remnants.model.door_line import DoorKind, DoorLine
from remnants.private import make_file, tighten
from remnants.store.beside import beside
from remnants.store.server_address import CatalogueAt

if sys.platform != "win32":
    import fcntl

__all__ = ["MOST_BYTES", "book_files", "read_lines", "write_line"]

_DONE = "doors.log"
_APART = {DoorKind.REFUSED: "refused.log", DoorKind.EXPORT: "handed-out.log"}
_ENDINGS = (_DONE, *_APART.values())

MOST_BYTES = len(_ENDINGS) * DOOR_BOOK_FILES * DOOR_BOOK_BYTES
"""What all its files take together at most, but for the end of a line."""


def book_files(catalogue: CatalogueAt) -> tuple[Path, ...]:
    """The files that there are, those of what was done first, each kind's newest first."""
    return tuple(file for ending in _ENDINGS for file in _files(catalogue, ending) if file.exists())


def write_line(catalogue: CatalogueAt, line: DoorLine) -> None:
    """Writes a line at the end of its file, whole, whoever else writes at the same time. Raises OSError."""
    file = _files(catalogue, _APART.get(line.kind, _DONE))
    told = json.dumps(_told(line), ensure_ascii=False).encode("utf-8", "replace") + b"\n"
    while True:
        with _alone(file[0]) as opened:
            if opened is None:
                continue
            size = os.fstat(opened).st_size
            if size == 0 or size + len(told) < DOOR_BOOK_BYTES:
                whole = b"\n" * _is_torn(opened, size) + told
                if os.write(opened, whole) < len(whole):
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                return
            for older, newer in zip(reversed(file[1:]), reversed(file[:-1]), strict=True):
                if newer.exists():
                    newer.replace(older)


def read_lines(catalogue: CatalogueAt) -> Iterator[DoorLine | None]:
    """Every line, newest first; None for one that can't be read. Raises OSError."""
    each = (_newest_first(_files(catalogue, ending)) for ending in (*_APART.values(), _DONE))
    for _, line in heapq.merge(*each, key=lambda timed: timed[0], reverse=True):
        yield line


def _is_torn(opened: int, size: int) -> bool:
    """Whether the last line is one that a program which was killed left without its end."""
    if not size:
        return False
    os.lseek(opened, size - 1, os.SEEK_SET)
    return os.read(opened, 1) != b"\n"


def _newest_first(files: tuple[Path, ...]) -> Iterator[tuple[datetime, DoorLine | None]]:
    last = datetime.max.replace(tzinfo=UTC)
    for file in files:
        if not file.exists():
            return
        for text in reversed(file.read_text(encoding="utf-8", errors="replace").split("\n")):
            line = _line(text)
            last = line.at if line else last
            if text:
                yield last, line


def _files(catalogue: CatalogueAt, ending: str) -> tuple[Path, ...]:
    real = beside(catalogue)
    names = [f"{real.name}.{ending}", *(f"{real.name}.{ending}.{number}" for number in range(1, DOOR_BOOK_FILES))]
    return tuple(map(real.with_name, names))


def _told(line: DoorLine) -> dict[str, str]:
    told = {name: attrgetter(name)(line) for name in ("kind", "who", "address", "whom", "what")}
    return {"at": line.at.astimezone(UTC).isoformat(timespec="milliseconds")} | {k: v for k, v in told.items() if v}


def _line(text: str) -> DoorLine | None:
    try:
        told = json.loads(text)
        more = {name: str(told.get(name, "")) for name in ("who", "address", "whom", "what")}
        return DoorLine(datetime.fromisoformat(told["at"]).astimezone(UTC), DoorKind(told["kind"]), **more)
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


@contextmanager
def _alone(file: Path) -> Iterator[int | None]:
    """The file, opened and held against other writers; None where another began a new one meanwhile."""
    make_file(file)
    tighten(file)
    opened = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600)  # another may just have put it under its number
    try:
        if sys.platform != "win32":
            fcntl.flock(opened, fcntl.LOCK_EX)
        same = file.exists() and os.path.samestat(os.fstat(opened), file.stat())
        yield opened if same else None
    finally:
        os.close(opened)
