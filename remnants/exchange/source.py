"""From a path or a text to plain JSON values, refusing what JSON allows and a contract can't: NaN, a key given twice."""

import json
from pathlib import Path
from typing import Any

from remnants.errors import BadFile, Fault

__all__ = ["LARGEST_BYTES", "read_bytes", "read_json", "read_text"]

LARGEST_BYTES = 512 * 1024 * 1024
"""Over a million pieces; a larger file is surely not what was meant."""


class _Told(Exception):
    """A refusal on its way out of the JSON decoder."""


def read_bytes(path: Path) -> bytes:
    """The whole file. Raises BadFile: missing, a folder, not readable, over 512 MB."""
    try:
        if path.is_file() and path.stat().st_size > LARGEST_BYTES:
            raise BadFile([Fault(str(path), f"over {LARGEST_BYTES // 2**20} MB; split it into smaller files")])
        return path.read_bytes()
    except FileNotFoundError:
        raise BadFile([Fault(str(path), "there is no such file; check the name and the folder")]) from None
    except IsADirectoryError:
        raise BadFile([Fault(str(path), "this is a folder; name a file in it")]) from None
    except (OSError, ValueError) as error:
        if isinstance(error, BadFile):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise BadFile([Fault(str(path), f"can't be read ({reason})")]) from None


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

    Raises BadFile: as `read_text`, and not JSON (with line and column), a key twice in one object, NaN or Infinity,
    nesting too deep to read.
    """
    name = str(source) if isinstance(source, Path) else ""
    text = read_text(source) if isinstance(source, Path) else source
    try:
        return json.loads(text, object_pairs_hook=_no_key_twice, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        what = f"not JSON: {error.msg} at line {error.lineno}, column {error.colno}"
    except _Told as told:
        what = str(told)
    except RecursionError:
        what = "nested too deep to be a file of this kind"
    except ValueError as error:
        what = f"not JSON that can be read: {error}"
    raise BadFile([Fault(name, what)])


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise _Told(f"the key {twice!r} stands twice in one object; keep one")
    return made


def _no_constant(name: str) -> float:
    raise _Told(f"{name} is no figure; give a number")
