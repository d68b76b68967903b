"""Copies made by a schedule: one when it is due, proved before older ones are dropped."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from remnants.actions.keep_safe import back_up, rows_to_verify, verify
from remnants.errors import CatalogueUnusable
from remnants.model.copies import Copy, Keep, kept, next_due
from remnants.private import make_folder
from remnants.store import backup, open_catalogue
from remnants.store.aside import drop
from remnants.store.backup import Tally
from remnants.store.copy_notes import CopyNotes, read_notes, write_notes
from remnants.store.moving import Watch, unwatched
from remnants.store.server_address import CatalogueAt

__all__ = ["Made", "Schedule", "Step", "make_due_copy"]


@dataclass(frozen=True)
class Schedule:
    """Where copies go, how long from one to the next, and which are kept."""

    folder: Path
    every: timedelta
    keep: Keep


@dataclass(frozen=True)
class Made:
    """A copy that was made and proved sound, its size in bytes, and how much it holds."""

    file: Path
    size: int
    holds: Tally


@dataclass(frozen=True)
class Step:
    """What one run did: the copy, None when none was due; the older ones it dropped; how many there are; when the next is due."""

    made: Made | None
    dropped: tuple[Path, ...]
    there: int
    next: datetime


def make_due_copy(catalogue: CatalogueAt, schedule: Schedule, *, now: datetime, watch: Watch = unwatched) -> Step:
    """Makes a copy when one is due, proves it, and then drops the older ones that are not to be kept.

    Only copies that a schedule of this catalogue made in this folder are ever dropped. `watch` sees how far the copy and its
    proof are. Raises CatalogueUnusable when the copy can't be made or is not sound; then none is dropped.
    """
    now = now.replace(microsecond=0)
    notes = read_notes(catalogue)
    folder = _folder(schedule.folder, notes)
    there = [copy for copy in notes.scheduled if Path(copy.file).parent == folder and Path(copy.file).is_file()]
    elsewhere = [copy for copy in notes.scheduled if Path(copy.file).parent != folder]
    due = next_due(max((copy.at for copy in there if copy.sound), default=None), schedule.every, now)
    if due > now:
        return Step(None, (), len(there), due)
    copy = Copy(now, str(folder / f"{catalogue.stem}-{now:%Y%m%d-%H%M%S}.db"), sound=False)
    _note(catalogue, notes.with_scheduled([*elsewhere, *there, copy]))  # so that one that is killed here is dropped later
    made = _made(catalogue, Path(copy.file), watch)
    copy = Copy(copy.at, copy.file, sound=True)
    staying = set(kept([*there, copy], schedule.keep))
    _note(catalogue, read_notes(catalogue).with_newest(copy).with_scheduled([*elsewhere, *there, copy]))
    gone = [each for each in there if each not in staying and drop(Path(each.file))]
    left = [each for each in (*there, copy) if each not in gone]
    _note(catalogue, read_notes(catalogue).with_scheduled([*elsewhere, *left]))
    return Step(made, tuple(Path(each.file) for each in gone), len(left), now + schedule.every)


def _folder(named: Path, notes: CopyNotes) -> Path:
    """The folder, made when it is missing and none of our copies ever lay in it. Raises CatalogueUnusable."""
    folder = named.absolute()
    if folder.is_dir():
        return folder
    if folder.exists():
        raise CatalogueUnusable(f"{named}: this is a file; name a folder for the copies")
    if any(Path(copy.file).parent == folder for copy in notes.scheduled):
        raise CatalogueUnusable(f"{named}: the folder with the copies is not there; connect its disk, or name another folder")
    if not folder.parent.is_dir():
        raise CatalogueUnusable(f"{named}: the folder {folder.parent} does not exist; connect its disk, or make it first")
    try:
        make_folder(folder)
    except OSError as error:
        raise backup.unwritten(named, error) from None
    return folder


def _made(catalogue: CatalogueAt, goal: Path, watch: Watch) -> Made:
    with open_catalogue(catalogue, write=False) as opened:
        size = back_up(opened, goal, watch=watch)
    holds, fault = backup.tally(goal), ""
    try:
        with open_catalogue(goal, write=False) as copy, watch("rows of the copy proved", rows_to_verify(copy)) as passed:
            fault = "; ".join(map(str, verify(copy, passed=passed).faults[:1]))
    except CatalogueUnusable as error:
        fault = str(error)
    if holds is None:
        fault = fault or "it can't be read back"
    if fault or holds is None:
        drop(goal)
        raise CatalogueUnusable(
            f"{goal}: the copy that was just made is not sound ({fault}), so it was taken away again and no older copy was"
            " dropped. Prove the catalogue with `remnants verify`"
        )
    return Made(goal, size, holds)


def _note(catalogue: CatalogueAt, notes: CopyNotes) -> None:
    try:
        write_notes(catalogue, notes)
    except OSError as error:
        raise CatalogueUnusable(
            f"{catalogue}: which copies there are can't be noted beside it ({error.strerror}); make room and try again"
        ) from None
