"""Copies of the catalogue, and proving that a catalogue is sound."""

from dataclasses import dataclass
from pathlib import Path

from remnants.errors import BadInput, NotAllowed
from remnants.ledger import Received, replay
from remnants.ledger.balance import balance_faults
from remnants.store import Catalogue, backup, ledger, pieces

__all__ = ["Verified", "back_up", "verify"]


@dataclass(frozen=True)
class Verified:
    """What a proof looked at, and every fault that it found."""

    pieces: int
    entries: int
    faults: tuple[str, ...]


def verify(catalogue: Catalogue) -> Verified:
    """Proves a catalogue: the file is sound, each piece stands where its entries lead, every cut's areas add up.

    One piece's entries are looked at at a time. Offcuts are looked up by the cut that made them.
    """
    faults = list(backup.file_faults(catalogue))
    count = entries = 0
    standings = pieces.every_standing(catalogue)
    received = _offcuts(catalogue)
    for tag, own in ledger.every_history(catalogue):
        count, entries = count + 1, entries + len(own)
        standing = next(standings, None)
        while standing is not None and standing.piece.tag < tag:
            faults.append(f"{standing.piece.tag} has no entries")
            standing = next(standings, None)
        try:
            history = replay(own)
        except NotAllowed as error:
            faults.append(f"{tag}: its entries don't follow from one another: {error}")
            continue
        if history.standing != standing:
            faults.append(f"{tag} does not stand where its entries lead")
        faults += [f"{tag}, {fault}" for fault in balance_faults(history, received)]
    faults += [f"{standing.piece.tag} has no entries" for standing in standings]
    return Verified(count, entries, tuple(faults))


def _offcuts(catalogue: Catalogue) -> dict[str, Received]:
    return {entry.tag: entry.change for entry in ledger.offcut_entries(catalogue) if isinstance(entry.change, Received)}


def back_up(catalogue: Catalogue, path: Path) -> int:
    """A whole copy of the catalogue in a new file, while others may write; gives its size in bytes.

    Raises BadInput when the file is there already, CatalogueUnusable when it can't be written.
    """
    if path.exists():
        raise BadInput(f"{path} is there already; name a new file, such as one with the date in it")
    return backup.copy_out(catalogue, path)
