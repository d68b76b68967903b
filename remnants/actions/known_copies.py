"""What is known of the copies of a catalogue: noting one that was made, and how old the newest is."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from remnants.model.copies import Copy
from remnants.store.copy_notes import CopyNotes, read_notes, write_notes
from remnants.store.server_address import CatalogueAt

__all__ = ["Known", "copies_of", "known_copies", "note_copy"]


@dataclass(frozen=True)
class Known:
    """When the newest copy was made and when one was last tried out (UTC; None: never), and whether that one passed."""

    newest: datetime | None
    drilled: datetime | None
    passed: bool


def note_copy(catalogue: CatalogueAt, file: Path, at: datetime) -> tuple[str, ...]:
    """Notes a copy that was made; gives a remark where it can't be noted."""
    try:
        write_notes(catalogue, read_notes(catalogue).with_newest(Copy(at.replace(microsecond=0), str(file.absolute()))))
    except OSError as error:
        return (f"when it was made can't be noted beside the catalogue ({error.strerror}); the copy itself is whole",)
    return ()


def copies_of(notes: CopyNotes) -> list[Copy]:
    """The sound copies that are known and not known to be gone, oldest first: on a disk that is away there may be some."""
    every = {*notes.scheduled, *([notes.newest] if notes.newest else [])}
    return sorted(copy for copy in every if copy.sound and not _gone(Path(copy.file)))


def known_copies(catalogue: CatalogueAt) -> Known | None:
    """How old the newest copy is, and the last drill; None of a server of which this machine made none: its
    keeper may make them."""
    notes = read_notes(catalogue)
    if not isinstance(catalogue, Path) and notes == CopyNotes():
        return None
    copies, drill = copies_of(notes), notes.drill
    return Known(copies[-1].at if copies else None, drill.at if drill else None, passed=bool(drill and drill.passed))


def _gone(file: Path) -> bool:
    return file.parent.is_dir() and not file.exists()
