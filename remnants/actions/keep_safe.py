"""Copies of the catalogue, bringing one back, and proving that a catalogue is sound."""

import shutil
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from remnants.errors import BadInput, CatalogueUnusable, NotAllowed
from remnants.ledger import Received, replay
from remnants.ledger.balance import balance_faults
from remnants.store import Catalogue, backup, ledger, open_catalogue, pieces
from remnants.store.backup import Tally

__all__ = ["Restored", "Sides", "Tally", "Verified", "back_up", "restore", "verify"]


@dataclass(frozen=True)
class Verified:
    """What a proof looked at, and every fault that it found."""

    pieces: int
    entries: int
    faults: tuple[str, ...]


@dataclass(frozen=True)
class Sides:
    """How much a catalogue holds, None when it is missing or can't be read, and how much the copy that is to take its place."""

    catalogue: Tally | None
    copy: Tally

    @property
    def goes_back(self) -> bool:
        """Whether the copy lacks what the catalogue has: it has fewer entries, or no piece."""
        own = self.catalogue
        return own is not None and (self.copy.entries < own.entries or (own.pieces > 0 and not self.copy.pieces))


@dataclass(frozen=True)
class Restored:
    """How much the catalogue holds now, and where the one that was there before is kept."""

    holds: Tally
    kept: Path | None


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


def restore(
    path: Path, catalogue: Path, *, now: datetime, older: bool = False, agree: Callable[[Sides], bool] = lambda _: True
) -> Restored | None:
    """Puts a copy in place of the catalogue, once the copy is proved and `agree` has seen both sides; None when it said no.

    A copy of an older version is brought up to date on the way. Raises CatalogueUnusable when the copy is none or is not sound,
    NotAllowed when it has fewer entries than the catalogue or no piece, but for `older`. Then the catalogue is as it was.
    """
    if not path.is_file():
        raise CatalogueUnusable(
            f"{path}: there is no such copy; the catalogue is as it was, name a file made by `remnants backup`"
        )
    with TemporaryDirectory(dir=catalogue.parent, prefix=f".{catalogue.name}.") as folder:
        fresh = Path(folder) / "copy.db"
        _fetch(path, fresh)
        sides = Sides(_tally_of(catalogue), backup.tally(fresh))
        if not agree(sides):
            return None
        if sides.goes_back and not older:
            raise NotAllowed(_what_would_go(path, catalogue, sides))
        kept = (
            catalogue.with_name(f"{catalogue.stem}-before-{now:%Y%m%d-%H%M%S}{catalogue.suffix}") if catalogue.exists() else None
        )
        if kept:
            _keep(catalogue, kept)
        _put_in_place(fresh, catalogue)
    return Restored(backup.tally(catalogue), kept)


def _fetch(path: Path, fresh: Path) -> None:
    """The copy at `path` in a file of its own, brought up to date and proved. Raises CatalogueUnusable."""
    backup.copy_in(path, fresh)
    if not backup.holds_catalogue(fresh):
        raise CatalogueUnusable(f"{path}: this file holds no catalogue of remnants; the catalogue is as it was, try another copy")
    try:
        with open_catalogue(fresh, write=True) as copy:
            faults = verify(copy).faults
    except CatalogueUnusable as error:
        raise CatalogueUnusable(str(error).replace(str(fresh), str(path))) from None
    if faults:
        raise CatalogueUnusable(f"{path}: this copy is not sound ({faults[0]}); the catalogue is as it was, try an older copy")


def _tally_of(catalogue: Path) -> Tally | None:
    try:
        return backup.tally(catalogue) if catalogue.exists() else None
    except CatalogueUnusable:
        return None


def _what_would_go(path: Path, catalogue: Path, sides: Sides) -> str:
    own, copy = sides.catalogue, sides.copy
    assert own is not None, "nothing goes where nothing is known"
    lacks = "fewer entries than" if copy.entries < own.entries else "no piece, unlike"
    return (
        f"{path} has {lacks} {catalogue}: what was written down since would be gone from it. The catalogue is as it was;"
        " look for a newer copy, or give --older to go back to this one"
    )


def _put_in_place(fresh: Path, catalogue: Path) -> None:
    try:
        backup.copy_in(fresh, catalogue)
    except CatalogueUnusable:
        with suppress(CatalogueUnusable), open_catalogue(catalogue, write=False):
            raise  # it is a catalogue, only busy or without room: leave it
        for ending in ("", "-wal", "-shm"):  # it is no database any more; its bytes are kept beside it
            catalogue.with_name(catalogue.name + ending).unlink(missing_ok=True)
        backup.copy_in(fresh, catalogue)


def _keep(catalogue: Path, kept: Path) -> None:
    """A copy of the catalogue as it is; of a damaged one, its bytes."""
    try:
        with open_catalogue(catalogue, write=False) as opened:
            backup.copy_out(opened, kept)
    except CatalogueUnusable:
        shutil.copyfile(catalogue, kept)
