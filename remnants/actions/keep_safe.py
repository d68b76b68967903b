"""Copies of the catalogue, and proving that a catalogue is sound."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from remnants.errors import BadInput, Fault
from remnants.store import Catalogue, backup
from remnants.store.prove_pieces import piece_faults
from remnants.store.soundness import as_it_stands, count_rows, file_faults

__all__ = ["MOST_TOLD", "Verified", "back_up", "verify"]

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
    """Proves a catalogue, whatever became of it: what is wrong is told, never raised.

    The file is sound, each row keeps the rules of its table, each piece stands where its entries lead, every cut's areas add up.
    One piece's entries are looked at at a time. `passed` hears how many rows more were looked at.
    """
    told: list[Fault] = []
    more = 0
    with as_it_stands(catalogue):
        for fault in chain(file_faults(catalogue, passed=passed), piece_faults(catalogue, passed=passed)):
            if len(told) < MOST_TOLD:
                told.append(fault)
            else:
                more += 1
        return Verified(count_rows(catalogue, "piece"), count_rows(catalogue, "entry"), tuple(told), more)


def back_up(catalogue: Catalogue, path: Path) -> int:
    """A whole copy of the catalogue in a new file, while others may write; gives its size in bytes.

    Raises BadInput when the file is there already, CatalogueUnusable when it can't be written.
    """
    if path.exists():
        raise BadInput(f"{path} is there already; name a new file, such as one with the date in it")
    return backup.copy_out(catalogue, path)
