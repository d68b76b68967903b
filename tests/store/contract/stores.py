"""The stores that the laws are held against, each by the few things that differ between them."""

import os
import random
import secrets
import shutil
import signal
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path
from threading import Barrier
from typing import Any

from remnants.actions import Catalogue, open_catalogue
from remnants.errors import RemnantsError
from remnants.store.server_address import ServerAddress
from tests.server import Server
from tests.stock_values import SIGNED

__all__ = ["DRAWN", "FileStore", "ServerStore", "Store", "at_once", "contents", "rows_of"]

Row = dict[str, Any]

DRAWN = {"touched", "mark", "salts", "digest", "done_at"}
"""Columns that are drawn or timed anew each time, and so differ where the same was done twice."""


class Store(ABC):
    """A kind of store; `new` and `copy` give catalogues in it, by whatever `opened` opens them with."""

    @abstractmethod
    def new(self) -> Any:
        """Where an empty catalogue is."""

    @abstractmethod
    def copy(self, at: Any) -> Any:
        """Where another catalogue is that holds the same; nobody uses the first just now."""

    @abstractmethod
    def raw(self, at: Any) -> Iterator[bytes]:
        """All that the store keeps of a catalogue on its disk, as it lies there."""

    def strike(self, writer: int, dice: random.Random) -> None:
        """Kills the process of a writer; a store that has a server of its own may lose that instead, and has it again after."""
        del dice
        os.kill(writer, signal.SIGKILL)

    def opened(
        self, at: Any, *, write: bool = True, now: Callable[[], datetime] = lambda: SIGNED.at
    ) -> AbstractContextManager[Catalogue]:
        """The catalogue, open."""
        return open_catalogue(at, write=write, now=now)


class FileStore(Store):
    """A file of SQLite's, in a folder of the test."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def new(self) -> Path:
        """A file that isn't there yet, in a folder of its own."""
        folder = self.folder / secrets.token_hex(4)
        folder.mkdir()
        return folder / "stock.db"

    def copy(self, at: Path) -> Path:
        """The file copied."""
        return Path(shutil.copyfile(at, self.new()))

    def raw(self, at: Path) -> Iterator[bytes]:
        """The file and its journals."""
        return (path.read_bytes() for path in at.parent.iterdir() if path.is_file())


class ServerStore(Store):
    """Databases of a server of the tests."""

    def __init__(self, server: Server) -> None:
        self.server = server

    def new(self) -> ServerAddress:
        """A database with nothing in it."""
        return ServerAddress(self.server.address(self.server.make()))

    def copy(self, at: ServerAddress) -> ServerAddress:
        """The database copied by the server."""
        return ServerAddress(self.server.address(self.server.make(like=at.database)))

    def raw(self, at: ServerAddress) -> Iterator[bytes]:
        """The files of the database's tables; the server's journal is its keeper's."""
        self.server.sql("CHECKPOINT")
        number = self.server.sql(f"SELECT oid FROM pg_database WHERE datname = '{at.database}'")
        return (path.read_bytes() for path in (self.server.folder / "data/base" / number).iterdir())

    def strike(self, writer: int, dice: random.Random) -> None:
        """One time in three it is the server that is killed; the writer then ends by itself."""
        if dice.random() < 2 / 3:
            super().strike(writer, dice)
        else:
            self.server.kill()
            self.server.start()


def contents(catalogue: Catalogue, *, drawn: bool = True) -> dict[str, list[Row]]:
    """Every row of every table; with `drawn` off, without the columns that are DRAWN."""
    rows = {name: catalogue.query(f"SELECT * FROM {name}") for name in catalogue.tables()}
    return {name: sorted((_plain(row, drawn) for row in found), key=repr) for name, found in rows.items()}


def _plain(row: Row, drawn: bool) -> Row:
    return {column: value for column, value in sorted(row.items()) if drawn or column not in DRAWN}


def rows_of(store: Store, at: Any) -> dict[str, Any]:
    """All but when the tables were made, and the mark of the names, which each has by itself."""
    with store.opened(at, write=False) as catalogue:
        return {name: rows for name, rows in contents(catalogue).items() if name not in ("migration", "names_mark")}


def at_once(store: Store, at: Any, *does: Callable[[Catalogue], Any]) -> list[Any]:
    """What each gives, or how it is refused; each has the catalogue open by itself, and all begin at the same moment."""
    gate = Barrier(len(does))

    def one(do: Callable[[Catalogue], Any]) -> Any:
        with store.opened(at) as own:
            gate.wait()
            try:
                return do(own)
            except RemnantsError as refused:
                return refused

    with ThreadPoolExecutor(len(does)) as pool:
        return list(pool.map(one, does))
