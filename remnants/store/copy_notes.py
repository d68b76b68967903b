"""What is known of the copies of a catalogue, in a small file beside it, which stays when the catalogue is replaced by a copy.

It tells when the newest copy was made, which copies a schedule made and may drop, and when copies were last proved by a drill.
"""

import json
import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from remnants.model.copies import Copy
from remnants.private import make_file
from remnants.store.aside import aside
from remnants.store.beside import beside
from remnants.store.rows import time_of, time_text
from remnants.store.server_address import CatalogueAt

__all__ = ["CopyNotes", "Drill", "notes_path", "read_notes", "write_notes"]


@dataclass(frozen=True)
class Drill:
    """When a copy was last brought back aside, and whether all of it was proved."""

    at: datetime
    passed: bool


@dataclass(frozen=True)
class CopyNotes:
    """The newest copy, those that a schedule made, and the last drill; files are told by their whole path."""

    newest: Copy | None = None
    scheduled: tuple[Copy, ...] = ()
    drill: Drill | None = None

    def with_newest(self, copy: Copy) -> "CopyNotes":
        """The notes with a copy that was just made."""
        return replace(self, newest=copy)

    def with_scheduled(self, copies: Iterable[Copy]) -> "CopyNotes":
        """The notes with these copies of schedules, and no others."""
        return replace(self, scheduled=tuple(sorted(copies)))


def notes_path(catalogue: CatalogueAt) -> Path:
    """The file beside the catalogue. Raises OSError where there can be none."""
    real = beside(catalogue)
    return real.parent / f"{real.name}.copies.json"


def read_notes(catalogue: CatalogueAt) -> CopyNotes:
    """What is noted; nothing where there is no such file, or it can't be read."""
    try:
        told = json.loads(notes_path(catalogue).read_text(encoding="utf-8"))
        newest, drill = told["newest"], told["drill"]
        return CopyNotes(
            newest=_copy(newest) if newest else None,
            scheduled=tuple(map(_copy, told["scheduled"])),
            drill=Drill(time_of(drill["at"]), bool(drill["passed"])) if drill else None,
        )
    except (OSError, ValueError, TypeError, KeyError):
        return CopyNotes()


def write_notes(catalogue: CatalogueAt, notes: CopyNotes) -> None:
    """Puts the notes in place of those that are there, whole or not at all. Raises OSError."""
    told = {
        "newest": _row(notes.newest) if notes.newest else None,
        "scheduled": [_row(copy) for copy in notes.scheduled],
        "drill": {"at": time_text(notes.drill.at), "passed": notes.drill.passed} if notes.drill else None,
    }
    with aside(beside(catalogue)) as room:
        fresh = room.folder / "copies.json"
        make_file(fresh)
        with fresh.open("w", encoding="utf-8") as file:
            json.dump(told, file, indent=1)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(notes_path(catalogue))


def _copy(row: dict[str, Any]) -> Copy:
    return Copy(time_of(row["at"]), str(row["file"]), bool(row["sound"]))


def _row(copy: Copy) -> dict[str, Any]:
    return {"at": time_text(copy.at), "file": copy.file, "sound": copy.sound}
