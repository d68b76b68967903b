"""The door book: noting who came in, who was refused, what was done about people and with the whole stock; and reading it.

An action notes what it did once it is done, so that nothing stands there that was taken back. Where the book can't be written,
what was done stays done, and the program's own log says so.
"""

import logging
from dataclasses import dataclass

from remnants.model.door_line import DoorKind, DoorLine
from remnants.store import Catalogue
from remnants.store.catalogue import AT_THE_MACHINE
from remnants.store.door_book import read_lines, write_line
from remnants.store.server_address import CatalogueAt

__all__ = ["AT_THE_MACHINE", "DoorPage", "note", "note_beside", "page_of"]

_log = logging.getLogger("remnants.doors")


@dataclass(frozen=True, slots=True)
class DoorPage:
    """Some lines, newest first; whether older ones follow, and how many lines passed on the way could not be read."""

    lines: tuple[DoorLine, ...]
    more: bool
    unread: int = 0


def note(catalogue: Catalogue, kind: DoorKind, who: str, *, whom: str = "", what: str = "", address: str = "") -> None:
    """Notes what was just done through this connection. `what` holds no text that somebody typed: see DoorLine."""
    line = DoorLine(catalogue.moment(), kind, who, address or catalogue.asked_from, whom, what)
    try:
        note_beside(catalogue.path, line)
    except OSError as error:  # of a server: this machine has no place for it
        _unwritten(error, line)


def note_beside(catalogue: CatalogueAt, line: DoorLine) -> None:
    """Notes a line in the book beside the catalogue's file, whatever has become of that."""
    try:
        write_line(catalogue, line)
    except OSError as error:
        _unwritten(error, line)


def _unwritten(error: OSError, line: DoorLine) -> None:
    _log.error("the door book can't be written (%s): %s", error.strerror, line)


def page_of(
    catalogue: CatalogueAt, *, number: int = 1, size: int = 50, person: str = "", kind: DoorKind | None = None
) -> DoorPage:
    """The page of that number from 1 up, of lines by or about a `person` and of a `kind` alone where they are told.

    Raises OSError.
    """
    wanted, unread, found = person.casefold(), 0, list[DoorLine]()
    for line in read_lines(catalogue):
        if line is None:
            unread += 1
        elif kind in (None, line.kind) and (not wanted or wanted in (line.who.casefold(), line.whom.casefold())):
            found.append(line)
            if len(found) > number * size:
                break
    return DoorPage(tuple(found[(number - 1) * size : number * size]), len(found) > number * size, unread)
