"""Photographs that are kept: with a piece, or with a job."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

__all__ = ["JobPhoto", "Moment", "Picture", "RepairPicture"]


@dataclass(frozen=True)
class Picture:
    """A JPEG file of our own making, and its size in pixels."""

    jpeg: bytes
    across: int
    down: int


@dataclass(frozen=True)
class RepairPicture:
    """A repair as it was drawn into the photograph of its damage: of which patch, and what is said of it."""

    patch: str
    picture: Picture
    notes: tuple[str, ...] = ()


class Moment(StrEnum):
    """When a photograph of a job was taken: before the repair, or after it."""

    BEFORE = "before"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class JobPhoto:
    """A photograph of the job of that number: when it was taken, the words with it, its size in pixels, who put it there.

    Of one that is gone the file and the words are erased; `gone_who` and `gone_at` tell who took it away and when. Times are UTC.
    """

    number: int
    job: int
    moment: Moment
    words: str
    across: int
    down: int
    who: str
    at: datetime
    gone_who: str = ""
    gone_at: datetime | None = None
