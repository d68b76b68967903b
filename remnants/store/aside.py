"""Where copies lie while they are made: in one hidden folder beside the catalogue, each in a room of its own that is locked.

A program that is killed leaves its room, and the lock goes with it: whoever opens the catalogue next clears the room. What
must be written elsewhere (a copy on another disk) is noted in the room before it is there, and is cleared with it.
"""

import json
import os
import re
import secrets
import shutil
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from remnants.private import JOURNALS, make_file, make_folder
from remnants.store.catalogue import address

if sys.platform != "win32":
    import fcntl

__all__ = ["Room", "aside", "clear", "drop", "place_of", "version_of"]

_LOCK, _NOTES = "lock", "notes"
_PART = re.compile(r"\.remnants-[0-9a-f]{16}\.part")
_TRIES = 20


@dataclass(frozen=True)
class Room:
    """A folder for one copy that is being made; it goes, with all that is in it, when the copy is done."""

    folder: Path

    def part(self, goal: Path) -> Path:
        """A name beside `goal` for what is to become it; it is cleared with the room. Raises OSError."""
        part = goal.absolute().with_name(f".remnants-{secrets.token_hex(8)}.part")
        self._note({"part": str(part)})
        return part

    def kept(self, goal: Path, version: int) -> None:
        """Notes a file that is to keep a sound catalogue of this `version_of` until another is in its place. Raises OSError.

        Where the work fails or is killed, and the catalogue is still the one that it keeps, it is cleared with the room.
        """
        self._note({"kept": str(goal.absolute()), "version": version})

    def _note(self, told: dict[str, Any]) -> None:
        with (self.folder / _NOTES).open("a", encoding="utf-8") as file:
            file.write(json.dumps(told) + "\n")
            file.flush()
            os.fsync(file.fileno())


def place_of(catalogue: Path) -> Path:
    """The hidden folder beside the catalogue; it is there only while a copy is being made."""
    real = catalogue.resolve()
    return real.with_name(f".{real.name}.aside")


@contextmanager
def aside(catalogue: Path, otherwise: Path | None = None) -> Iterator[Room]:
    """A room for one copy; where none can be made beside the catalogue, beside the file `otherwise`. Raises OSError."""
    try:
        place = place_of(catalogue)
        folder, lock = _locked_room(place)
    except OSError:
        if otherwise is None:
            raise
        place = place_of(otherwise)
        folder, lock = _locked_room(place)
    stopped = True
    try:
        yield Room(folder)
        stopped = False
    finally:
        _empty(folder, catalogue, stopped=stopped)
        os.close(lock)
        with suppress(OSError):
            place.rmdir()


def clear(catalogue: Path) -> None:
    """Clears the rooms of programs that were killed. One in which somebody is at work is left, as is what can't be reached."""
    place = place_of(catalogue)
    if not place.is_dir():
        return
    with suppress(OSError):
        for folder in sorted(place.iterdir()):
            with suppress(OSError):
                lock = _lock(folder / _LOCK)
                if lock is not None:
                    try:
                        _empty(folder, catalogue, stopped=True)
                    finally:
                        os.close(lock)
        place.rmdir()


def drop(file: Path) -> bool:
    """Takes away a file and its journals; gives whether none of them is there any more, as far as that can be told."""
    try:
        for each in (file, *(file.with_name(file.name + ending) for ending in JOURNALS)):
            each.unlink(missing_ok=True)
    except OSError:
        return False
    return file.parent.is_dir()


def version_of(catalogue: Path) -> int | None:
    """A number that each restore changes, so that one sees whether it came to its end; None when the file can't be read."""
    try:
        with closing(sqlite3.connect(address(catalogue, "ro"), uri=True)) as opened:
            (version,) = opened.execute("PRAGMA user_version").fetchone()
            return int(version) if opened.execute("PRAGMA quick_check(1)").fetchone() == ("ok",) else None
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def _locked_room(place: Path) -> tuple[Path, int]:
    for _ in range(_TRIES):
        folder = place / secrets.token_hex(8)
        try:
            make_folder(folder)
            lock = _lock(folder / _LOCK)
        except FileNotFoundError:  # somebody cleared what they took for left behind
            continue
        except OSError:
            _take_down(folder)
            raise
        if lock is not None:
            break
    else:
        raise OSError(0, "somebody keeps clearing it")
    try:
        make_file(folder / _NOTES)
        Room(folder)._note({"for": place.name})  # where the disk is full this is when it shows
    except OSError:
        _take_down(folder)
        os.close(lock)
        raise
    return folder, lock


def _take_down(folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    with suppress(OSError):
        folder.parent.rmdir()


def _lock(file: Path) -> int | None:
    """The file, opened and locked until it is closed or the program ends; None when another has it. Raises OSError."""
    if sys.platform == "win32":  # an open file can't be taken away there
        with suppress(PermissionError):
            file.unlink(missing_ok=True)
            return os.open(file, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
        return None
    opened = os.open(file, os.O_CREAT | os.O_RDWR, 0o600)
    try:
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.path.samestat(os.fstat(opened), file.stat()):
            return opened
    except OSError:
        pass
    os.close(opened)
    return None


def _empty(folder: Path, catalogue: Path, *, stopped: bool) -> None:
    """Clears what is noted, and then the room; where a note can't be done with yet, the room stays for the next time."""
    done = [_done_with(note, catalogue, stopped=stopped) for note in _notes(folder)]
    if all(done):
        shutil.rmtree(folder, ignore_errors=True)


def _notes(folder: Path) -> list[dict[str, Any]]:
    try:
        lines = (folder / _NOTES).read_text(encoding="utf-8").splitlines()
    except OSError:
        return []
    return [note for line in lines if isinstance(note := _note_in(line), dict)]


def _note_in(line: str) -> Any:
    with suppress(ValueError):
        return json.loads(line)
    return None  # written in part: what it is about was not there yet


def _done_with(note: dict[str, Any], catalogue: Path, *, stopped: bool) -> bool:
    part, kept = Path(str(note.get("part", ""))), Path(str(note.get("kept", "")))
    if _PART.fullmatch(part.name):
        return drop(part)
    if stopped and kept.name.startswith(f"{catalogue.stem}-before-") and version_of(catalogue) == note.get("version"):
        return drop(catalogue.with_name(kept.name))
    return True
