"""From a path or a text to plain JSON values, refusing what JSON allows and a contract can't: NaN, a key given twice."""

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from remnants.errors import BadFile, Fault, join_place
from remnants.limits import FILE_BYTES

__all__ = ["Source", "in_file", "opened", "read_bytes", "read_json", "read_text", "shown"]


Source = str | Path | Mapping[str, Any]
"""Where a reader takes a file from: its text, its path, or what is in it already, as from a form or from options."""


class _Told(Exception):
    """A refusal on its way out of the JSON decoder."""


def read_bytes(path: Path, most: int = FILE_BYTES) -> bytes:
    """The whole file. Raises BadFile: missing, a folder, not readable, over `most` bytes."""
    with opened(path, most) as file:
        return file.read()


@contextmanager
def opened(path: Path, most: int = FILE_BYTES) -> Iterator[BinaryIO]:
    """The file, to be read piece by piece. Raises BadFile as `read_bytes`, while it is read too."""
    try:
        if path.is_file() and path.stat().st_size > most:
            raise BadFile([Fault(str(path), f"over {most // 2**20} MB; give a smaller file, or split it")])
        with _named(path).open("rb") as file:
            yield file
    except FileNotFoundError:
        raise BadFile([Fault(str(path), "there is no such file; check the name and the folder")]) from None
    except IsADirectoryError:
        raise BadFile([Fault(str(path), "this is a folder; name a file in it")]) from None
    except OSError as error:
        raise _unreadable(path, error.strerror or str(error)) from None


def _named(path: Path) -> Path:
    """The path, if it is one that a file may have."""
    if "\0" in str(path):
        raise _unreadable(path, "its name holds a sign that no name may hold")
    return path


def _unreadable(path: Path, reason: str) -> BadFile:
    return BadFile([Fault(str(path), f"can't be read ({reason})")])


def read_text(path: Path) -> str:
    """The whole file as text: UTF-8, with or without a byte order mark.

    Raises BadFile: as `read_bytes`, or not UTF-8 (with the line).
    """
    raw = read_bytes(path)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        what = f"not UTF-8: byte 0x{raw[error.start]:02x} in line {line}; save the file as UTF-8"
        raise BadFile([Fault(str(path), what)]) from None


def read_json(source: str | Path) -> Any:
    """The JSON value in a file (a Path) or a text (a str).

    Raises BadFile: as `read_text`, and not JSON (with line and column), a key twice in one object, nesting too deep to
    read, and each NaN or Infinity with its place.
    """
    constants: list[str] = []

    def constant(name: str) -> float:
        constants.append(name)
        return math.nan

    text = read_text(source) if isinstance(source, Path) else source
    try:
        value = json.loads(text, object_pairs_hook=_no_key_twice, parse_constant=constant)
    except json.JSONDecodeError as error:
        what = f"not JSON: {error.msg} at line {error.lineno}, column {error.colno}"
    except _Told as told:
        what = str(told)
    except RecursionError:
        what = "nested too deep to be a file of this kind"
    except ValueError as error:
        what = f"not JSON that can be read: {error}"
    else:
        if not constants:
            return value
        found = zip(_no_figures(value), constants, strict=True)
        raise BadFile(in_file(source, [Fault(place, f"{name} is no figure; give a number") for place, name in found]))
    raise BadFile(in_file(source, [Fault("", what)]))


def in_file(source: Source, faults: Iterable[Fault]) -> list[Fault]:
    """The faults with the file's name before each place, when the source is a file."""
    if not isinstance(source, Path):
        return list(faults)
    return [Fault(f"{source}: {fault.where}" if fault.where else str(source), fault.what) for fault in faults]


def shown(value: Any) -> str:
    """A value as a message shows it: at most 40 characters."""
    text = repr(value[:50] if isinstance(value, str) else value)
    return text if len(text) <= 40 else text[:37] + "..."


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        twice = next(key for key, times in Counter(key for key, _ in pairs).items() if times > 1)
        raise _Told(f"the key {shown(twice)} stands twice in one object; keep one")
    return made


def _no_figures(value: Any) -> Iterator[str]:
    """Places of the figures that are none, in the order in which they stand in the file."""
    waiting = [("", value)]
    while waiting:
        place, one = waiting.pop()
        if isinstance(one, float) and math.isnan(one):
            yield place
        inner = one.items() if isinstance(one, dict) else enumerate(one) if isinstance(one, list) else ()
        steps = [(join_place(place, f"[{step}]" if isinstance(step, int) else step), below) for step, below in inner]
        waiting += reversed(steps)
