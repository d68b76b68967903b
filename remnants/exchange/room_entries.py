"""The shape of the rooms file, key by key (pydantic). Conventions are those of stock and job files; lengths in mm."""

from typing import Annotated, Literal

from pydantic import Field

from remnants.estimating import Laid, Per, RepeatRule
from remnants.exchange.doorways import DoorwayEntry
from remnants.exchange.entries import (
    Corner,
    Cutouts,
    Entry,
    Length,
    LengthFromZero,
    Name,
    Number,
    RepeatEntry,
    Size,
    Sized,
    Text,
    WantedEntry,
    Whole,
)
from remnants.limits import CORNERS, DOORWAYS, ROLL_WIDTHS, ROLLS, STEPS, WINDERS
from remnants.model import Construction
from remnants.units import Unit

__all__ = [
    "PriceEntry",
    "RollEntry",
    "RollThereEntry",
    "RoomEntry",
    "RoomsFile",
    "RoomsHeader",
    "StairsEntry",
    "WeightsEntry",
    "WinderEntry",
]

Path = Annotated[tuple[Corner, ...], Field(min_length=2, max_length=CORNERS)]
Flag = Annotated[bool, Field(strict=True)]


class RoomEntry(Sized):
    """A room: its outline (or the `layer` of the drawing that holds it), islands, doorways, light and what is walked."""

    name: Name | None = None
    layer: Text | None = None
    islands: Cutouts = ()
    trims: Annotated[tuple[LengthFromZero, ...], Field(max_length=CORNERS)] | None = None
    pile: Number | None = None
    doorways: Annotated[tuple[DoorwayEntry, ...], Field(max_length=DOORWAYS)] = ()
    light: Number | None = None
    traffic: Annotated[tuple[Path, ...], Field(max_length=DOORWAYS)] = ()
    hidden: Flag = False
    motif: Corner | None = None
    at: Corner | None = None
    carpet: Text = ""


class WinderEntry(Entry):
    """What one turning step takes, measured at its furthest points."""

    width: Size
    length: Size


class StairsEntry(Entry):
    """A flight of stairs."""

    name: Name | None = None
    steps: Annotated[Whole, Field(ge=0, le=STEPS)]
    width: Size
    tread: Size
    riser: Size
    nosing: LengthFromZero = 0.0
    tuck: LengthFromZero = 0.0
    side: LengthFromZero = 0.0
    run: LengthFromZero = 0.0
    width_step: LengthFromZero = 0.0
    step_step: LengthFromZero = 0.0
    winders: Annotated[tuple[WinderEntry, ...], Field(max_length=WINDERS)] = ()
    laid: Laid = Laid.RUN
    most_runs: Annotated[Whole, Field(ge=1, le=50)] = 1
    joins: Text = ""
    carpet: Text = ""


class RollThereEntry(Entry):
    """A roll that there is: its name, what is on it, and its lot."""

    name: Name
    length: Size
    lot: Text = ""


class RollEntry(Entry):
    """The roll: its `width`, or the `widths` to compare; pattern, order step, least order, and its lot where it is known.

    `length` is how long a roll comes, `rolls` are those that there are, in their order as they were made.
    """

    width: Size | None = None
    widths: Annotated[tuple[Size, ...], Field(max_length=ROLL_WIDTHS)] = ()
    repeat: RepeatEntry | None = None
    construction: Construction | None = None
    step: LengthFromZero = 0.0
    least: LengthFromZero = 0.0
    lot: Text = ""
    length: Size | None = None
    end_loss: LengthFromZero | None = None
    rolls: Annotated[tuple[RollThereEntry, ...], Field(max_length=ROLLS)] = ()


class TrimEntry(Entry):
    """Carpet added at each wall edge, and at each side of a seam."""

    wall: LengthFromZero | None = None
    seam: LengthFromZero | None = None


class WeightsEntry(Entry):
    """What drawbacks weigh, as lengths of roll."""

    each_seam: Length | None = None
    side_seam_per_m: Length | None = None
    cross_seam: Length | None = None
    doorway_join: Length | None = None
    in_doorway: Length | None = None
    on_path_per_m: Length | None = None
    across_path: Length | None = None
    feet_turn: Length | None = None
    across_area: Length | None = None
    across_light_per_m: Length | None = None


class PriceEntry(Entry):
    """A price: an amount of a currency (ISO 4217 code) per area or length of roll, and the share credited for leftovers."""

    currency: Name
    amount: Text | Number
    per: Literal[Per.M2, Per.FT2, Per.YD2, Per.M, Per.FT, Per.YD]
    credit: Number = 0.0


class RoomsHeader(WantedEntry):
    """What a rooms file says beside its rooms and stairs."""

    unit: Unit
    order: Text = ""
    drawing: Text | None = None
    roll: RollEntry = RollEntry()
    trim: TrimEntry = TrimEntry()
    least_fill: LengthFromZero | None = None
    cross_seams: Annotated[Whole, Field(ge=0, le=11)] | None = None
    repeat_rule: RepeatRule | None = None
    weights: WeightsEntry = WeightsEntry()
    keep_side: Length | None = None
    cut_step: LengthFromZero | None = None


class RoomsFile(RoomsHeader):
    """A whole rooms file."""

    rooms: tuple[RoomEntry, ...] = ()
    stairs: tuple[StairsEntry, ...] = ()
    prices: tuple[PriceEntry, ...] = ()
