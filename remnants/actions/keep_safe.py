"""Copies of the catalogue, and proving that a catalogue is sound."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from remnants.errors import BadInput, Fault
from remnants.late import Late
from remnants.store import Catalogue, backup
from remnants.store.copy_rows import copy_rows_out
from remnants.store.file_catalogue import FileCatalogue
from remnants.store.jobs import JobRow
from remnants.store.moving import Watch, unwatched
from remnants.store.prove_agreements import agreement_faults
from remnants.store.prove_calibrations import calibration_faults
from remnants.store.prove_chain import chain_faults
from remnants.store.prove_job_photos import job_photo_faults
from remnants.store.prove_jobs import job_faults
from remnants.store.prove_orders import order_faults
from remnants.store.prove_photos import photo_faults, store_change_faults
from remnants.store.prove_pieces import piece_faults
from remnants.store.prove_worth import worth_faults
from remnants.store.soundness import as_it_stands, count_rows, store_faults

if TYPE_CHECKING:
    from remnants.exchange import answer, job, order_kept
else:  # large, and needed only where a job or an order is kept
    answer, job = Late("remnants.exchange.answer"), Late("remnants.exchange.job")
    order_kept = Late("remnants.exchange.order_kept")

__all__ = ["MOST_TOLD", "Verified", "back_up", "rows_to_verify", "verify"]

MOST_TOLD = 200
"""Faults that are told one by one."""


@dataclass(frozen=True)
class Verified:
    """What a proof looked at, the first faults that it found, and how many `more` there are."""

    pieces: int
    entries: int
    faults: tuple[Fault, ...]
    more: int = 0


def verify(catalogue: Catalogue, *, passed: Callable[[int], None] = lambda _: None) -> Verified:
    """Proves a catalogue, whatever became of it: what is wrong is told, never raised, but for a store that can't answer just now.

    The file is sound, each row keeps the rules of its table, each piece stands where its entries lead, every cut's areas add up,
    each job is as far as its entries say, each photograph is the one that was put there, each agreement holds the
    text that was read, each saved order can be told and opened, each calibration of a phone is one, what is in store
    over time adds up, and what it cost and is worth too.
    One piece's entries are looked at at a time. `passed` hears how many rows more were looked at.
    """
    told: list[Fault] = []
    more = 0
    with as_it_stands(catalogue):
        for fault in _every_fault(catalogue, passed):
            if len(told) < MOST_TOLD:
                told.append(fault)
            else:
                more += 1
        return Verified(count_rows(catalogue, "piece"), count_rows(catalogue, "entry"), tuple(told), more)


def rows_to_verify(catalogue: Catalogue) -> int:
    """How many rows `verify` will tell that it passed: some are looked at more than once."""
    more = count_rows(catalogue, "photo", "job_photo", "agreement", "kept_order")
    return count_rows(catalogue) + 2 * count_rows(catalogue, "entry") + more


def _every_fault(catalogue: Catalogue, passed: Callable[[int], None]) -> Iterator[Fault]:
    looks = {
        "the file": store_faults(catalogue, passed=passed),
        "pieces": piece_faults(catalogue, passed=passed),
        "the chain of entries": chain_faults(catalogue, passed=passed),
        "jobs": job_faults(catalogue, donors_of=_planned_donors),
        "photographs": photo_faults(catalogue, passed=passed),
        "photographs of jobs": job_photo_faults(catalogue, passed=passed),
        "agreements": agreement_faults(catalogue, passed=passed),
        "saved orders": order_faults(catalogue, reads=_told_order, passed=passed),
        "calibrations of phones": calibration_faults(catalogue),
        "what is in store over time": store_change_faults(catalogue),
        "what stock is worth": worth_faults(catalogue),
    }
    for word, faults in looks.items():
        try:
            yield from faults
        except Exception as error:  # a damage that nobody thought of is a damage too
            if catalogue.only_now(error):
                raise
            yield Fault(word, f"can't be looked at to the end: {error} ({type(error).__name__})")


def _planned_donors(row: JobRow) -> frozenset[str]:
    """The tags of the pieces that a kept job's plan cuts.

    Raises BadInput when its file or plan can't be read, or is that of another job.
    """
    plan = answer.read_answer(row.plan)
    for word, name in (("file", job.read_job(row.file, kept=True).name), ("plan", plan.job)):
        if name != row.called:
            raise BadInput(f"its {word} is that of the job {name!r}")
    return frozenset(part.piece for patch in plan.patches for part in patch.parts)


def _told_order(kept: Mapping[str, Any]) -> None:
    """Reads what is kept of an order. Raises where it can't be."""
    order_kept.kept_of(kept)


def back_up(catalogue: Catalogue, path: Path, *, watch: Watch = unwatched) -> int:
    """A whole copy of the catalogue in a new file, while others may write; gives its size in bytes. `watch` sees how far it is.

    Of one on a server it is the same file as of one in a file, each table compared row by row.
    Raises BadInput when the file is there already, CatalogueUnusable when it can't be written.
    """
    if path.exists():
        raise BadInput(f"{path} is there already; name a new file, such as one with the date in it")
    if isinstance(catalogue, FileCatalogue):
        return backup.copy_out(catalogue, path, watch=watch)
    return copy_rows_out(catalogue, path, watch=watch)
