"""What a command did with the whole stock, for the door book."""

import getpass
import os
from pathlib import Path

from remnants.actions.door_book import AT_THE_MACHINE, note_beside
from remnants.cli.options import now
from remnants.model.door_line import DoorKind, DoorLine

__all__ = ["note_here"]


def note_here(catalogue: Path, kind: DoorKind, what: str) -> None:
    """Notes what was just done at the machine, under the name in $REMNANTS_BY or the login name. `what` is of our own words."""
    try:
        who = os.environ.get("REMNANTS_BY", "").strip() or getpass.getuser()
    except (OSError, KeyError, ImportError):
        who = ""
    note_beside(catalogue, DoorLine(now(), kind, who[:80], AT_THE_MACHINE, what=what))
