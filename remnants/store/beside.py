"""Where this machine keeps what belongs to a catalogue and doesn't lie in it: the door book, what is known of copies."""

import errno
import hashlib
import os
import re
from pathlib import Path

from remnants.private import make_folder
from remnants.store.server_address import CatalogueAt

__all__ = ["beside"]

_MOST_NAME = 60


def beside(catalogue: CatalogueAt) -> Path:
    """A path whose neighbours are those files: of a file the file itself, links followed; of a server a name of its own.

    That lies in the folder for what programs keep of their state (XDG Base Directory Specification: $XDG_STATE_HOME, else
    ~/.local/state), which is made when it is missing. Raises OSError where it can't be.
    """
    if isinstance(catalogue, Path):
        return catalogue.resolve()
    folder = Path(os.environ.get("XDG_STATE_HOME") or _home() / ".local" / "state") / "remnants"
    make_folder(folder)
    plain = re.sub(r"[^A-Za-z0-9.]+", "-", catalogue.text.partition("://")[2]).strip("-")[:_MOST_NAME]
    return folder / f"{plain}-{hashlib.sha256(catalogue.text.encode()).hexdigest()[:8]}"


def _home() -> Path:
    try:
        return Path.home()
    except RuntimeError:
        raise FileNotFoundError(errno.ENOENT, "there is no home folder; name one with XDG_STATE_HOME") from None
