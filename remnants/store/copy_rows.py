"""A whole copy of a catalogue that lies in no file, taken while others write, in a file of its own: row by row."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from remnants.errors import CatalogueUnusable
from remnants.store.aside import clear
from remnants.store.backup import made_whole
from remnants.store.catalogue import Catalogue
from remnants.store.database import open_catalogue
from remnants.store.file_catalogue import of_file
from remnants.store.moving import Watch, copy_all, unwatched

__all__ = ["copy_rows_out"]


def copy_rows_out(catalogue: Catalogue, path: Path, *, watch: Watch = unwatched) -> int:
    """A copy of the catalogue as it is at one moment, in a file that any command takes; gives its size in bytes.

    Others may write meanwhile. Each table of the file is compared with what was read. The file appears once it is whole; where
    the program is killed, what there is of it is cleared by the next copy. `watch` sees rows copied, then compared.

    Raises CatalogueUnusable: no room, no such folder, rows that keep no rules or came otherwise than they were sent.
    """
    beside = _beside(catalogue, path)
    clear(beside)
    with made_whole(path, beside=beside) as part, _told_as(part, path):
        _fill(catalogue, part, watch)
    return path.stat().st_size


def _beside(catalogue: Catalogue, path: Path) -> Path:
    """Where this machine keeps what belongs to the catalogue; beside the copy where it can keep nothing."""
    try:
        return catalogue.path
    except OSError:
        return path


def _fill(catalogue: Catalogue, part: Path, watch: Watch) -> None:
    with catalogue.one_moment(), open_catalogue(part, write=True) as copy:
        file = of_file(copy, instead="copy into a file").conn
        file.execute("PRAGMA journal_mode = DELETE")  # nothing is kept of it unless all is there, and a new file needs no journal
        file.execute("PRAGMA synchronous = OFF")
        with copy.atomic():
            copy_all(catalogue, copy, done="copied", watch=watch)


@contextmanager
def _told_as(part: Path, path: Path) -> Iterator[None]:
    """Within it refusals name the file that was asked for, and rows that no catalogue takes are refused in plain words."""
    try:
        yield
    except CatalogueUnusable as error:
        raise CatalogueUnusable(str(error).replace(str(part), str(path))) from None
    except sqlite3.IntegrityError as error:
        told = f"a row of the catalogue keeps none of the rules, so no copy was made ({error})"
        raise CatalogueUnusable(f"{path}: {told}; `remnants verify` tells which") from None
