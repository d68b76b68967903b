"""Files and folders that their owner alone may read: a catalogue holds names, telephone numbers and digests of passphrases.

What is made here is private whatever the umask. SQLite gives the journals of a file (`-wal`, `-shm`, `-journal`) its rights.
"""

import os
from contextlib import suppress
from pathlib import Path
from stat import S_IMODE

__all__ = ["JOURNALS", "make_file", "make_folder", "tighten"]

JOURNALS = ("-wal", "-shm", "-journal")
"""What SQLite may put beside a file, by the end of its name."""

_FILE, _FOLDER, _OTHERS = 0o600, 0o700, 0o077


def make_file(path: Path) -> None:
    """An empty file that its owner alone may read and write; one that is there stays as it is. Raises OSError."""
    real = path.resolve()  # of a link that points at nothing, the file that it points at
    try:
        opened = os.open(real, os.O_CREAT | os.O_EXCL | os.O_WRONLY, _FILE)
    except FileExistsError:
        return
    os.close(opened)
    real.chmod(_FILE)


def make_folder(path: Path) -> None:
    """The folder and those above it, as far as they are missing, for their owner alone. Raises OSError."""
    for folder in reversed([path, *path.parents]):
        if not folder.is_dir():
            folder.mkdir(_FOLDER, exist_ok=True)
            folder.chmod(_FOLDER)


def tighten(path: Path) -> None:
    """Takes from everybody else what they may do with our own file and its journals. Of another's file nothing is changed.

    Where the system knows no owners, or the disk takes no change, it stays as it is.
    """
    if not hasattr(os, "geteuid"):
        return
    for each in (path, *(path.with_name(path.name + ending) for ending in JOURNALS)):
        with suppress(OSError):
            known = each.stat()
            if known.st_mode & _OTHERS and known.st_uid == os.geteuid():
                each.chmod(S_IMODE(known.st_mode) & ~_OTHERS)
