"""Running commands as a user does, on a catalogue of the test's own."""

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from remnants.cli import main

__all__ = ["Done", "Remnants"]


@dataclass(frozen=True)
class Done:
    """What a command answered."""

    code: int
    out: str
    err: str


class Remnants:
    """`remnants ...` in a folder of its own; `catalogue` is the file it works on."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self.catalogue = folder / "stock.db"
        self._capsys = capsys

    def __call__(self, *words: str | os.PathLike[str]) -> Done:
        """Runs a command."""
        self._capsys.readouterr()
        code = main([str(word) for word in words])
        return Done(code, *self._capsys.readouterr())

    def ok(self, *words: str | os.PathLike[str]) -> str:
        """Standard output of a command that must answer."""
        done = self(*words)
        assert done.code == 0, done.err
        return done.out

    def refused(self, *words: str | os.PathLike[str], code: int) -> str:
        """Standard error of a command that must be refused with this code, printing nothing else."""
        done = self(*words)
        assert (done.code, done.out) == (code, ""), done
        assert done.err
        return done.err

    def log(self, *options: str) -> None:
        """Logs a piece: 40 x 60 in of Velder Loop, but for the options."""
        defaults = {"--style": "Velder Loop", "--width": "40", "--length": "60"}
        given = [word for name, value in defaults.items() if name not in options for word in (name, value)]
        self.ok("log", *given, *options)

    def file(self, name: str, value: Any) -> Path:
        """A file in the folder, JSON unless the value is a text."""
        path = self.folder / name
        path.write_text(value if isinstance(value, str) else json.dumps(value), encoding="utf-8")
        return path
