"""Files that commands write: whole or not at all, so that a stop half way leaves what was there."""

import os
import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path

from remnants.errors import BadFile, Fault

__all__ = ["write_bit_by_bit", "write_bytes", "write_folder", "write_texts"]


def write_texts(folder: Path, texts: Mapping[str, str]) -> tuple[Path, ...]:
    """Writes each text into the folder under its name; the folder is made when missing. Raises BadFile."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile([Fault(str(folder), f"can't be made ({error.strerror}); name another folder")]) from None
    return tuple(write_bytes(folder / name, text.encode()) for name, text in texts.items())


def write_bytes(path: Path, content: bytes) -> Path:
    """Puts the content in place of the file, or leaves it as it was. Raises BadFile."""
    return write_bit_by_bit(path, (content,))


def write_bit_by_bit(path: Path, contents: Iterable[bytes]) -> Path:
    """Puts the contents, one after the other as they come, in place of the file, or leaves it as it was.

    That holds too where the contents end in an error or are given up meanwhile. Raises BadFile.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with beside.open("wb") as file:
            file.writelines(contents)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise BadFile([Fault(str(path), f"can't be written ({error.strerror}); it is as it was")]) from None
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return path


def write_folder(folder: Path, contents: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Puts files into a folder, made when missing: all are written beside it first, so that a failure leaves it as it was.

    Other files in the folder stay. Raises BadFile.
    """
    beside = folder.with_name(f".{folder.name}.{os.getpid()}")
    try:
        beside.mkdir(parents=True)
        for name, content in contents.items():
            (beside / name).write_bytes(content)
        if folder.exists():
            for name in contents:
                (beside / name).replace(folder / name)
            beside.rmdir()
        else:
            beside.replace(folder)
    except OSError as error:
        shutil.rmtree(beside, ignore_errors=True)
        raise BadFile([Fault(str(folder), f"can't be written ({error.strerror}); name another folder")]) from None
    return tuple(folder / name for name in contents)
