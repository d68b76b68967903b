"""What a command did with the whole stock, for the door book."""

import getpass
import os

from remnants.actions.door_book import AT_THE_MACHINE, note_beside
from remnants.cli.options import now
from remnants.limits import PERSON_CHARACTERS
from remnants.model.door_line import DoorKind, DoorLine
from remnants.store.server_address import CatalogueAt

__all__ = ["note_here", "who_here"]


def note_here(catalogue: CatalogueAt, kind: DoorKind, what: str) -> None:
    """Notes what was just done at the machine, under the name in $REMNANTS_BY or the login name. `what` is of our own words."""
    note_beside(catalogue, DoorLine(now(), kind, who_here(), AT_THE_MACHINE, what=what))


def who_here() -> str:
    """The name in $REMNANTS_BY or the login name; empty where it can't be told."""
    try:
        return (os.environ.get("REMNANTS_BY", "").strip() or getpass.getuser())[:PERSON_CHARACTERS]
    except (OSError, KeyError, ImportError):
        return ""
