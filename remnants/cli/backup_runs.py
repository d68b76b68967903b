"""Runs of `remnants backup` that do more than make one file: schedules, and drills."""

import sys
import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from remnants.actions.backup_schedule import Schedule, Step, make_due_copy
from remnants.actions.bring_back import Tally
from remnants.cli.noting import note_here
from remnants.cli.options import now
from remnants.cli.printing import remarks, show_text
from remnants.cli.progress import counting
from remnants.errors import CatalogueUnusable
from remnants.late import Late
from remnants.model.copies import read_every, read_keep
from remnants.model.door_line import DoorKind
from remnants.report.copies import drill_lines, due_line, step_lines
from remnants.report.counts import held_words
from remnants.store.server_address import CatalogueAt

if TYPE_CHECKING:
    from remnants.actions import backup_drill
else:  # it proves plans, which takes what is slow to load
    backup_drill = Late("remnants.actions.backup_drill")

__all__ = ["keep_schedule", "try_out"]

_AGAIN = timedelta(minutes=10)
"""After which a copy that could not be made is tried again, while waiting."""
_LOOK_S = 20.0
"""How often the clock is looked at while waiting: a machine that slept notices within this that a copy is due."""


def keep_schedule(catalogue: CatalogueAt, folder: Path, *, every: str, keep: str, wait: bool) -> None:
    """Makes the copy that is due, if one is; with `wait` each one when it is due, until stopped by hand.

    Raises BadInput; CatalogueUnusable when the copy can't be made, but while waiting that is told, and tried again.
    """
    schedule = Schedule(folder, read_every(every), read_keep(keep))
    due = _show(catalogue, make_due_copy(catalogue, schedule, now=now(), watch=counting))
    while wait:
        sys.stdout.flush()
        while (left := due - now()) > timedelta():
            time.sleep(min(_LOOK_S, left.total_seconds()))
        try:
            due = _show(catalogue, make_due_copy(catalogue, schedule, now=now(), watch=counting))
        except CatalogueUnusable as error:
            remarks([f"{error}; it is tried again in {_AGAIN // timedelta(minutes=1)} minutes"])
            due = now() + _AGAIN


def _show(catalogue: CatalogueAt, step: Step) -> datetime:
    """Tells what was done, and gives when the next copy is due."""
    if step.made:
        note_here(catalogue, DoorKind.COPY, f"{step.made.size / 1e6:.1f} MB, by schedule")
        told = step_lines(
            str(step.made.file), step.made.size, _held(step.made.holds), dropped=[path.name for path in step.dropped]
        )
        show_text("\n".join(told))
    show_text(due_line(step.there, step.next, made=step.made is not None))
    return step.next


def try_out(catalogue: CatalogueAt, file: Path | None) -> int:
    """Tries a copy out, and gives the exit code: 1 when it would not bring the stock back. Raises NotFound."""
    at = now()
    tried = backup_drill.drill(catalogue, file, now=at, watch=lambda rows: counting("rows of the copy proved", rows))
    lines = drill_lines(
        str(tried.file),
        tried.made,
        at,
        holds=_held(tried.holds) if tried.holds else "",
        plans=tried.plans,
        kept=tried.kept,
        outgrown=tried.outgrown,
        faults=tried.faults,
    )
    show_text("\n".join(lines))
    if not tried.noted:
        remarks(["when the drill was done can't be noted beside the catalogue; check the disk's room and rights"])
    return 1 if tried.faults else 0


def _held(tally: Tally) -> str:
    return held_words(tally.pieces, tally.entries, tally.last_change)
