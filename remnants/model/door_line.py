"""The door book's lines: who came in or was refused, and what was done about people and with the whole stock. Times are UTC."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

__all__ = ["DoorKind", "DoorLine"]


class DoorKind(StrEnum):
    """What a line is about."""

    SIGN_IN = "sign-in"
    SIGN_OUT = "sign-out"
    REFUSED = "refused"
    PASSPHRASE = "passphrase"
    LINK = "link"
    KEY = "key"
    FACTOR = "second factor"
    INVITATION = "invitation"
    ROLE = "role"
    SHUT_OUT = "shut out"
    LET_BACK = "let back"
    ENDED = "everything ended"
    EXPORT = "export"
    COPY = "copy"
    RESTORE = "restore"
    ERASED = "customer erased"


@dataclass(frozen=True, slots=True)
class DoorLine:
    """One line: when, what, who did it from which address, about whom, and more in our own words.

    `what` holds words of the program and figures alone, never a text that somebody typed: so no secret and no customer's name
    can stand in it. `who` is empty where nobody known is told.
    """

    at: datetime
    kind: DoorKind
    who: str = ""
    address: str = ""
    whom: str = ""
    what: str = ""
