"""The lines of the ledger: what happened to a piece, who wrote it down, when and why. Lengths mm, areas mm², times UTC."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from remnants.days import moment_words
from remnants.errors import BadInput, Fault
from remnants.geometry import Outline
from remnants.model import Piece
from remnants.model.look import Look
from remnants.model.money import Money

__all__ = [
    "Act",
    "CalledBack",
    "Change",
    "Corrected",
    "Counted",
    "Cut",
    "CutCost",
    "Discarded",
    "Entry",
    "Held",
    "LookedAt",
    "Moved",
    "PhotoTakenAway",
    "Photographed",
    "Received",
    "Released",
    "Sent",
    "Signed",
    "TakenIn",
    "Undone",
]


class Act(StrEnum):
    """What an entry says happened."""

    RECEIVED = "received"
    HELD = "held"
    RELEASED = "released"
    CUT = "cut"
    MOVED = "moved"
    COUNTED = "counted"
    SENT = "sent"
    TAKEN_IN = "taken in"
    CALLED_BACK = "called back"
    CORRECTED = "corrected"
    DISCARDED = "discarded"
    UNDONE = "undone"
    PHOTOGRAPHED = "photographed"
    PHOTO_TAKEN_AWAY = "photograph taken away"
    LOOKED_AT = "looked at"


@dataclass(frozen=True, slots=True)
class Signed:
    """Who writes an entry down, when (with its time zone), and, where there is one, why and for which job."""

    who: str
    at: datetime
    why: str = ""
    job: str = ""

    def __post_init__(self) -> None:
        faults = [] if self.who.strip() else [Fault("who", "an entry needs the name of who makes it")]
        if self.at.tzinfo is None:
            faults.append(Fault("at", "the time needs its time zone"))
        if faults:
            raise BadInput(faults)

    @property
    def words(self) -> str:
        """`by Ana for Alder Court 7 on 3 May 2031, 14:20 UTC`."""
        job = f" for {self.job}" if self.job else ""
        return f"by {self.who}{job} on {moment_words(self.at)}"


@dataclass(frozen=True)
class Received:
    """The piece came in as it is told here; an offcut names the piece that it was cut from."""

    piece: Piece
    parent: str = ""


@dataclass(frozen=True, slots=True)
class Held:
    """Kept for a job until the end of a day."""

    job: str
    until: date


@dataclass(frozen=True, slots=True)
class Released:
    """No longer kept for a job."""


@dataclass(frozen=True, slots=True)
class CutCost:
    """What a donor had cost, shared by area: with what remains under its tag, with what was taken, with waste.

    With what its offcuts were given they add up to what the donor had cost before, to the minor unit.
    """

    left: Money
    taken: Money
    waste: Money


@dataclass(frozen=True)
class Cut:
    """Parts were cut from it. What remains keeps its tag (None: nothing usable does); other usable leftovers are `offcuts`.

    The usable area before is `taken_mm2` + `waste_mm2` + that of the remaining outline and of the offcuts, to the tolerance.
    `cost` is None where the donor's isn't known, and in entries from before costs were shared: what remains keeps all of it.
    """

    remaining: Outline | None
    taken_mm2: float
    waste_mm2: float
    offcuts: tuple[str, ...] = ()
    cost: CutCost | None = None


@dataclass(frozen=True, slots=True)
class Moved:
    """It lies somewhere else now; `customer` is the reference of who has it, empty for the shop itself.

    What is lent to a customer has the day `until` which they have it; what they gave `back` is lent no more.
    """

    place: str
    room: str = ""
    customer: str = ""
    until: date | None = None
    back: bool = False


@dataclass(frozen=True, slots=True)
class Counted:
    """It was looked for at `place`, and seen there or not; where seen, `room` and `customer` are those of the place.

    Entries from before counts told them have None there: the piece keeps the room and the customer that it had.
    """

    place: str
    seen: bool
    room: str | None = None
    customer: str | None = None


@dataclass(frozen=True, slots=True)
class Sent:
    """It left for a branch or a van, `goal`, where it is `expected` on a day; `start` names the one that it left, "" the shop.

    Until it is taken in, called back or seen somewhere it lies at no place.
    """

    start: str
    goal: str
    expected: date


@dataclass(frozen=True, slots=True)
class TakenIn:
    """It came where it was sent to, and lies at `place` now."""

    place: str


@dataclass(frozen=True, slots=True)
class CalledBack:
    """It was called back while it was on the way, and lies where it lay before it was sent."""


@dataclass(frozen=True)
class Corrected:
    """It was told wrong: this is how it is."""

    piece: Piece


@dataclass(frozen=True, slots=True)
class Discarded:
    """It was thrown or given away."""


@dataclass(frozen=True, slots=True)
class Undone:
    """The entry with this number is taken back."""

    number: int


@dataclass(frozen=True, slots=True)
class Photographed:
    """A photograph was kept with it: its number, its size and the SHA-256 of its file (in hexadecimal; empty where unknown)."""

    photo: int
    size_bytes: int
    sha256: str = ""


@dataclass(frozen=True, slots=True)
class PhotoTakenAway:
    """The photograph with this number was erased."""

    photo: int


@dataclass(frozen=True, slots=True)
class LookedAt:
    """Once the repair was made that it was cut for, somebody looked how plainly a sight of it shows, or took that back."""

    look: Look


Change = (
    Received
    | Held
    | Released
    | Cut
    | Moved
    | Counted
    | Sent
    | TakenIn
    | CalledBack
    | Corrected
    | Discarded
    | Undone
    | Photographed
    | PhotoTakenAway
    | LookedAt
)

_ACTS: dict[type[Change], Act] = {
    Received: Act.RECEIVED,
    Held: Act.HELD,
    Released: Act.RELEASED,
    Cut: Act.CUT,
    Moved: Act.MOVED,
    Counted: Act.COUNTED,
    Sent: Act.SENT,
    TakenIn: Act.TAKEN_IN,
    CalledBack: Act.CALLED_BACK,
    Corrected: Act.CORRECTED,
    Discarded: Act.DISCARDED,
    Undone: Act.UNDONE,
    Photographed: Act.PHOTOGRAPHED,
    PhotoTakenAway: Act.PHOTO_TAKEN_AWAY,
    LookedAt: Act.LOOKED_AT,
}


@dataclass(frozen=True)
class Entry:
    """One line of the ledger. `number` counts all lines; `booking` is the number of the first line written with it."""

    number: int
    booking: int
    tag: str
    change: Change
    signed: Signed

    @property
    def act(self) -> Act:
        """What it says happened."""
        return _ACTS[type(self.change)]
