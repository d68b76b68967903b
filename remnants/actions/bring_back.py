"""Bringing a copy of the catalogue back, whatever has become of the catalogue."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, count
from pathlib import Path

from remnants.actions.keep_safe import rows_to_verify, verify
from remnants.actions.rescue import Rescue, rescue
from remnants.errors import CatalogueUnusable, NotAllowed
from remnants.store import backup, open_catalogue, people
from remnants.store.aside import Room, aside, clear, drop
from remnants.store.backup import Tally
from remnants.store.database import in_plain_words, is_damaged

__all__ = ["Restored", "Sides", "Tally", "Watch", "fetch", "restore", "room_beside", "unwatched"]

Watch = Callable[[int], AbstractContextManager[Callable[[int], None]]]
"""Looks on while rows are proved: it is told how many there are, and what it gives hears of each few that are done."""


@contextmanager
def unwatched(_: int) -> Iterator[Callable[[int], None]]:
    """Nobody looks on."""
    yield lambda _: None


@dataclass(frozen=True)
class Sides:
    """How much a catalogue holds, None when nothing of it can be read, and how much the copy that is to take its place.

    `rescue` tells what could be taken out of a copy that is damaged, None for one that is sound.
    """

    catalogue: Tally | None
    damaged: bool
    copy: Tally
    rescue: Rescue | None = None

    @property
    def goes_back(self) -> bool:
        """Whether the copy lacks what a sound catalogue has: it has fewer entries, or no piece."""
        own = self.catalogue
        return (
            own is not None
            and not self.damaged
            and (self.copy.entries < own.entries or (own.pieces > 0 and not self.copy.pieces))
        )


@dataclass(frozen=True)
class Restored:
    """How much the catalogue holds now, where the one that was there before is kept, and what was taken out of a damaged copy."""

    holds: Tally
    kept: Path | None
    rescue: Rescue | None = None


def restore(
    path: Path,
    catalogue: Path,
    *,
    now: datetime,
    older: bool = False,
    damaged_too: bool = False,
    agree: Callable[[Sides], bool] = lambda _: True,
    watch: Watch = unwatched,
) -> Restored | None:
    """Puts a copy in place of the catalogue, once the copy is proved and `agree` has seen both sides; None when it said no.

    A copy of an older version is brought up to date on the way. The catalogue may be damaged or missing. With `damaged_too` the
    copy may be damaged, and the catalogue itself: what can be read is taken out of it, proved, and put in place. Raises
    CatalogueUnusable when the copy is none or is not sound, or the catalogue can't be replaced; NotAllowed when the copy has
    fewer entries than a sound catalogue or no piece, but for `older`. Then the catalogue is as it was. `watch` sees the proof.
    """
    if not path.is_file():
        raise CatalogueUnusable(
            f"{path}: there is no such copy; the catalogue is as it was, name a file made by `remnants backup`"
        )
    clear(catalogue)
    damaged = _is_damaged(catalogue)
    with room_beside(catalogue) as room:
        fresh = room.folder / "copy.db"
        taken = None
        if damaged_too:
            taken = _fetch_or_rescue(path, fresh, now, watch)
        else:
            fetch(path, fresh, watch=watch)
        holds = backup.tally(fresh)
        if holds is None:
            raise CatalogueUnusable(f"{path}: can't be read back; the catalogue is as it was, check the disk and its free space")
        sides = Sides(backup.tally(catalogue), damaged, holds, taken)
        if not agree(sides):
            return None
        if sides.goes_back and not older:
            raise NotAllowed(_what_would_go(path, catalogue, sides))
        kept = backup.keep(catalogue, _new_name(catalogue, now), room, damaged=damaged)
        try:
            backup.put_in_place(fresh, catalogue, damaged=damaged)
        except CatalogueUnusable:
            if kept and damaged:
                backup.unkeep(catalogue, kept)
            raise
    return Restored(holds, kept, taken)


@contextmanager
def room_beside(catalogue: Path) -> Iterator[Room]:
    """A room for the copy beside the catalogue. Raises CatalogueUnusable."""
    with ExitStack() as opened:
        try:
            room = opened.enter_context(aside(catalogue))
        except OSError as error:
            told = f"no copy can be made beside it ({error.strerror}); nothing was changed: make room and try again"
            raise CatalogueUnusable(f"{catalogue}: {told}") from None
        try:
            yield room
        except CatalogueUnusable as error:  # where copies lie while they are made is no place that anybody knows
            told = str(error)
            for inner in sorted(map(str, room.folder.iterdir()), key=len, reverse=True):
                told = told.replace(inner, str(catalogue))
            raise CatalogueUnusable(told.replace(str(room.folder / "copy.db"), str(catalogue))) from None


def _is_damaged(catalogue: Path) -> bool:
    """Whether the catalogue is there and damaged. Raises CatalogueUnusable where a catalogue can't be or another program's is."""
    if not catalogue.parent.is_dir():
        raise CatalogueUnusable(f"{catalogue}: the folder {catalogue.parent} does not exist; make it first")
    if catalogue.is_dir():
        raise CatalogueUnusable(f"{catalogue}: this is a folder; name a file in it with --catalogue")
    if not catalogue.exists():
        return False
    damaged = is_damaged(catalogue)
    if not damaged and backup.is_foreign(catalogue):
        raise CatalogueUnusable(f"{catalogue}: this database is not a catalogue of remnants; name another file with --catalogue")
    return damaged


def _new_name(catalogue: Path, now: datetime) -> Path:
    """A name that no file has, with the time in it."""
    names = (
        f"{catalogue.stem}-before-{now:%Y%m%d-%H%M%S}{more}{catalogue.suffix}"
        for more in chain([""], (f"-{n}" for n in count(2)))
    )
    return next(path for path in map(catalogue.with_name, names) if not path.exists())


def fetch(path: Path, fresh: Path, *, watch: Watch = unwatched) -> None:
    """The copy at `path` in a file of its own, brought up to date and proved, which `watch` sees. Raises CatalogueUnusable.

    It holds nothing that lets anybody in but passphrases, and the phones beside them: what was ended or used up since it was made
    stays so, recovery codes too.
    """
    backup.copy_in(path, fresh)
    if not backup.holds_catalogue(fresh):
        raise CatalogueUnusable(f"{path}: this file holds no catalogue of remnants; the catalogue is as it was, try another copy")
    try:
        with open_catalogue(fresh, write=True) as copy:
            with watch(rows_to_verify(copy)) as passed:
                faults = verify(copy, passed=passed).faults
            backup.begin_version(copy)
            with copy.atomic():
                people.end_all(copy)
    except CatalogueUnusable as error:
        raise CatalogueUnusable(str(error).replace(str(fresh), str(path))) from None
    if faults:
        raise CatalogueUnusable(f"{path}: this copy is not sound ({faults[0]}); the catalogue is as it was, try an older copy")


def _fetch_or_rescue(path: Path, fresh: Path, now: datetime, watch: Watch) -> Rescue | None:
    """The copy, or what can be read of it where it is damaged, and what that is. Raises CatalogueUnusable."""
    try:
        fetch(path, fresh, watch=watch)
    except CatalogueUnusable:
        if not is_damaged(path) and not backup.holds_catalogue(path):
            raise
    else:
        return None
    drop(fresh)
    with in_plain_words(path):
        taken = rescue(path, fresh, now=now)
        with open_catalogue(fresh, write=True) as copy:
            backup.begin_version(copy)
            with copy.atomic():
                people.end_all(copy)
    return taken


def _what_would_go(path: Path, catalogue: Path, sides: Sides) -> str:
    own, copy = sides.catalogue, sides.copy
    assert own is not None, "nothing goes where nothing is known"
    lacks = "fewer entries than" if copy.entries < own.entries else "no piece, unlike"
    return (
        f"{path} has {lacks} {catalogue}: what was written down since would be gone from it. The catalogue is as it was;"
        " look for a newer copy, or give --older to go back to this one"
    )
