"""The shape of the job file, key by key (pydantic). Conventions are those of all files; lengths in mm."""

from typing import Annotated

from pydantic import Field

from remnants.exchange.doorways import DoorwayEntry
from remnants.exchange.entries import (
    Corner,
    Corners,
    Entry,
    Finishes,
    Length,
    LengthFromZero,
    Name,
    Number,
    Shape,
    Shapes,
    Size,
    Sized,
    Text,
    WantedEntry,
    Whole,
    told_of,
)
from remnants.limits import CUTOUTS, DOORWAYS
from remnants.model import Finish, MayUse
from remnants.model.patch_attributes import PATCH_PLAIN
from remnants.units import Unit

__all__ = ["AllowanceEntry", "JobFile", "JobHeader", "JobRoomEntry", "PatchEntry"]


@told_of(PATCH_PLAIN)
class PatchEntry(WantedEntry, Sized):
    """An area to fill."""

    name: Name | None = None
    edges: Finishes = Finish.SEAM
    motif: Corner | None = None
    seam_shift: Length | None = None
    photo_at: Corner | None = None
    count: Annotated[Whole, Field(ge=1, le=1000)] = 1
    damage: Shapes | None = None
    margin: LengthFromZero | None = None


class AllowanceEntry(Entry):
    """Carpet added outside a net edge, by its finish."""

    seam: LengthFromZero | None = None
    wall: LengthFromZero | None = None
    transition: LengthFromZero | None = None


class JobHeader(WantedEntry):
    """What a job file says beside its patches."""

    unit: Unit
    job: Text = ""
    allowance: AllowanceEntry = AllowanceEntry()
    min_part: LengthFromZero | None = None
    tape_error: LengthFromZero | None = None
    house: Text = ""
    customer: Text = ""
    branch: Text = ""
    may_use: tuple[MayUse, ...] = ()
    avoid: tuple[Name, ...] = ()
    use: tuple[Name, ...] = ()


class JobRoomEntry(Sized):
    """A room that patches lie in: its walls, where people walk, where light comes from, and what furniture hides."""

    name: Name
    edges: Finishes = Finish.WALL
    doorways: Annotated[tuple[DoorwayEntry, ...], Field(max_length=DOORWAYS)] = ()
    lanes: Annotated[tuple[Corners, ...], Field(max_length=DOORWAYS)] = ()
    light: Number | None = None
    hidden: Annotated[tuple[Shape, ...], Field(max_length=CUTOUTS)] = ()
    pile: Number | None = None
    row: Size | None = None
    row_from: Corner | None = None


class JobFile(JobHeader):
    """A whole job file."""

    rooms: tuple[JobRoomEntry, ...] = ()
    patches: tuple[PatchEntry, ...]
