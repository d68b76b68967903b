"""Disks that fail: one call to the system or to SQLite after the other is refused, as by a full disk."""

import errno
import io
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest

__all__ = ["Failing", "failing"]

_CALLS = ((os, "open"), (os, "fsync"), (os, "replace"), (os, "mkdir"), (os, "chmod"), (io, "open"), (shutil, "copyfile"))
_SQL = ("execute", "executemany", "backup")


@dataclass
class Failing:
    """Which call is to fail, by its place; once it did, `hit` names it."""

    place: int
    hit: str = ""
    met: int = field(default=0)

    def passes(self, name: str) -> bool:
        """Counts a call; False for the one that is to fail."""
        self.met += 1
        if self.met == self.place:
            self.hit = name
        return self.met != self.place


@contextmanager
def failing(place: int) -> Iterator[Failing]:
    """Within it the call at this place, from 1, fails for want of room; all others do what they do."""
    told = Failing(place)
    unhindered = os.open
    with pytest.MonkeyPatch.context() as patched:
        for module, name in _CALLS:
            patched.setattr(module, name, _refused(told, name, getattr(module, name)))
        patched.setattr(os, "open", _only_to_write(os.open, unhindered))
        connect = sqlite3.connect

        def connecting(*args: Any, **kwargs: Any) -> sqlite3.Connection:
            if not told.passes("sqlite3.connect"):
                raise _full()
            made: sqlite3.Connection = connect(*args, **kwargs, factory=_connection(told))
            return made

        patched.setattr(sqlite3, "connect", connecting)
        yield told


def _refused(told: Failing, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
    def called(*args: Any, **kwargs: Any) -> Any:
        if not told.passes(name):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return call(*args, **kwargs)

    return called


def _only_to_write(refused: Callable[..., int], unhindered: Callable[..., int]) -> Callable[..., int]:
    """What is only read, as a folder that is to be taken away, is no matter of room."""

    def called(path: Any, flags: int, *args: Any, **kwargs: Any) -> int:
        return (refused if flags & (os.O_WRONLY | os.O_RDWR) else unhindered)(path, flags, *args, **kwargs)

    return called


def _connection(told: Failing) -> type[sqlite3.Connection]:
    def method(name: str) -> Callable[..., Any]:
        def called(self: sqlite3.Connection, *args: Any, **kwargs: Any) -> Any:
            if not told.passes(f"{name} {str(args[0])[:60]}"):
                raise _full()
            return getattr(sqlite3.Connection, name)(self, *args, **kwargs)

        return called

    return type("FailingConnection", (sqlite3.Connection,), {name: method(name) for name in _SQL})


def _full() -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorname = "SQLITE_FULL"
    error.sqlite_errorcode = sqlite3.SQLITE_FULL
    return error
