"""Carpet that a job counts on and that goes to somebody else: told before it goes, and before the job is cut from it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from remnants.belonging import needed_for
from remnants.errors import NotAllowed, StockChanged
from remnants.late import Late
from remnants.ledger import Moved, Signed, Standing
from remnants.model import Job, MayUse, Piece
from remnants.store import Catalogue, jobs

if TYPE_CHECKING:
    from remnants.exchange import job as job_file
else:  # large, and needed only where the piece is held
    job_file = Late("remnants.exchange.job")

__all__ = ["refuse_to_another", "refuse_with_another"]

_BY_NOW = {
    MayUse.OTHER_CUSTOMERS: "kept with another customer by now, who must be asked first",
    MayUse.OTHER_HOUSES: "laid in another house by now",
    MayUse.IN_VIEW: "laid in this house where it is seen by now",
}

_FORGOTTEN = re.compile(r"erased-\d+")
"""Of whom nothing is known any more: neither whose job it was, nor where in their home the carpet lies."""


def refuse_to_another(catalogue: Catalogue, before: Standing, moved: Moved, signed: Signed) -> None:
    """Refuses to move a piece away from the customer or house that it is held for on that day.

    The caller holds the transaction. Raises NotAllowed, telling for which job it is held.
    """
    hold = before.on(signed.at.date()).hold
    row = jobs.find(catalogue, hold.job) if hold else None
    if row is None:
        return
    job = job_file.read_job(row.file, kept=True)
    there = replace(before.piece, place=moved.place, room=moved.room, customer=moved.customer)
    if _must_be_told(there, job) and not _must_be_told(before.piece, job):
        held = f"{before.piece.tag} is {before.words} ({before.signed.words})"
        raise NotAllowed(f"{held}: it can't go to another customer; let the hold go first")


def refuse_with_another(job: Job, pieces: Mapping[str, Piece], tags: Iterable[str]) -> None:
    """Refuses to cut a kept plan where a donor is by now what the job may not use. Raises StockChanged, naming nobody."""
    known = [tag for tag in sorted(tags) if not _FORGOTTEN.fullmatch(pieces[tag].customer)]
    told = [f"{tag} is {_BY_NOW[needed]}" for tag in known if (needed := _must_be_told(pieces[tag], job))]
    if told:
        raise StockChanged(f"the stock is not as the plan for {job.name!r} found it: {'; '.join(told)}. Fit the job anew")


def _must_be_told(piece: Piece, job: Job) -> MayUse | None:
    """What the job would have to say before it may use the piece, and doesn't."""
    needed = needed_for(piece, job)
    return None if needed in job.may_use else needed
