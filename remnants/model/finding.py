"""What a check-up found: a line each, with what to do."""

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Finding", "Health"]


class Health(StrEnum):
    """Well; to be looked at some time; to be mended now."""

    OK = "ok"
    LOOK = "look"
    MEND = "mend"


@dataclass(frozen=True, slots=True)
class Finding:
    """What was looked at, how it is, what was found there, and what to do about it (empty where all is well)."""

    what: str
    health: Health
    found: str
    to_do: str = ""
