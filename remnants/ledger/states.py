"""What may happen to a piece in which state, as one table, and the state that each entry leads to."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType

from remnants.errors import NotAllowed
from remnants.ledger.entries import (
    Act,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    Moved,
    Received,
    Released,
    Signed,
)
from remnants.model import Piece

__all__ = ["BESIDE", "MOVES", "ON_HAND", "Hold", "Stage", "Standing", "applied"]


class Stage(StrEnum):
    """Where a piece stands."""

    STOCKED = "in stock"
    HELD = "held"
    MISSING = "missing"
    USED = "used up"
    DISCARDED = "discarded"
    WITHDRAWN = "withdrawn"


ON_HAND = frozenset({Stage.STOCKED, Stage.HELD})
"""Where carpet can be cut from it."""

MOVES = MappingProxyType(
    {
        (None, Act.RECEIVED): frozenset({Stage.STOCKED}),
        (Stage.WITHDRAWN, Act.RECEIVED): frozenset({Stage.STOCKED}),
        (Stage.STOCKED, Act.HELD): frozenset({Stage.HELD}),
        (Stage.STOCKED, Act.CUT): frozenset({Stage.STOCKED, Stage.USED}),
        (Stage.STOCKED, Act.MOVED): frozenset({Stage.STOCKED}),
        (Stage.STOCKED, Act.COUNTED): frozenset({Stage.STOCKED, Stage.MISSING}),
        (Stage.STOCKED, Act.CORRECTED): frozenset({Stage.STOCKED}),
        (Stage.STOCKED, Act.DISCARDED): frozenset({Stage.DISCARDED}),
        (Stage.HELD, Act.HELD): frozenset({Stage.HELD}),
        (Stage.HELD, Act.RELEASED): frozenset({Stage.STOCKED}),
        (Stage.HELD, Act.CUT): frozenset({Stage.STOCKED, Stage.USED}),
        (Stage.HELD, Act.MOVED): frozenset({Stage.HELD}),
        (Stage.HELD, Act.COUNTED): frozenset({Stage.HELD, Stage.MISSING}),
        (Stage.HELD, Act.CORRECTED): frozenset({Stage.HELD}),
        (Stage.HELD, Act.DISCARDED): frozenset({Stage.DISCARDED}),
        (Stage.MISSING, Act.MOVED): frozenset({Stage.STOCKED, Stage.HELD}),
        (Stage.MISSING, Act.COUNTED): frozenset({Stage.MISSING, Stage.STOCKED, Stage.HELD}),
        (Stage.MISSING, Act.CORRECTED): frozenset({Stage.MISSING}),
        (Stage.MISSING, Act.RELEASED): frozenset({Stage.MISSING}),
        (Stage.MISSING, Act.DISCARDED): frozenset({Stage.DISCARDED}),
    }
)
"""(stage before, what happens) to the stages that may follow. What is not here may not happen.

Taking the last entry back is allowed wherever there is one: it leads to where the piece stood before.
"""


BESIDE = frozenset({Act.PHOTOGRAPHED, Act.PHOTO_TAKEN_AWAY})
"""What is told beside a piece: it may happen in every state, and leaves the piece and what can be taken back alone."""


@dataclass(frozen=True, slots=True)
class Hold:
    """For which job a piece is kept, and until the end of which day."""

    job: str
    until: date

    def binds(self, day: date) -> bool:
        """Whether it still holds on that day."""
        return day <= self.until


@dataclass(frozen=True)
class Standing:
    """A piece as its entries add up. `version` is the number of the last entry that is not BESIDE, and `signed` who made that."""

    piece: Piece
    stage: Stage
    version: int
    signed: Signed
    seen_at: datetime
    hold: Hold | None = None
    parent: str = ""

    def free_for(self, job: str, day: date) -> bool:
        """Whether it may be cut for that job on that day."""
        if self.stage not in ON_HAND:
            return False
        return self.hold is None or self.hold.job == job or not self.hold.binds(day)

    def on(self, day: date) -> "Standing":
        """The same as it counts on a day: a hold that ended before it holds nothing."""
        if self.hold is None or self.hold.binds(day):
            return self
        return replace(self, stage=Stage.STOCKED if self.stage is Stage.HELD else self.stage, hold=None)

    @property
    def words(self) -> str:
        """Where it stands and since when: `held for Alder Court 7 until 2031-06-01`, `used up (by Ana on …)`."""
        if self.stage is Stage.HELD and self.hold:
            return f"held for {self.hold.job} until {self.hold.until:%Y-%m-%d}"
        return self.stage.value if self.stage in ON_HAND else f"{self.stage.value} ({self.signed.words})"


def applied(before: Standing | None, entry: Entry) -> Standing:
    """Where the piece stands after an entry other than an undoing one. Raises NotAllowed, saying who did what before."""
    if before is not None and entry.act in BESIDE:
        return before
    stage = before.stage if before else None
    allowed = MOVES.get((stage, entry.act))
    if allowed is None:
        where = "is not in the catalogue" if before is None else f"is {before.on(entry.signed.at.date()).words}"
        raise NotAllowed(f"{entry.tag} {where}: it can't be {entry.act.value}")
    after = _after(before, entry)
    assert after.stage in allowed, f"{stage} to {after.stage} by {entry.act}"
    return replace(after, version=entry.number, signed=entry.signed)


def _after(before: Standing | None, entry: Entry) -> Standing:  # noqa: PLR0911 - one line a kind of entry
    at = entry.signed.at
    if isinstance(entry.change, Received):
        return Standing(entry.change.piece, Stage.STOCKED, entry.number, entry.signed, at, parent=entry.change.parent)
    assert before is not None, "the table lets only `received` come first"
    match entry.change:
        case Held(job, until):
            if not before.free_for(job, at.date()):
                raise NotAllowed(f"{entry.tag} is {before.words} ({before.signed.words}): it can't be held for {job}")
            return replace(before, stage=Stage.HELD, hold=Hold(job, until))
        case Released():
            return replace(before, stage=Stage.MISSING if before.stage is Stage.MISSING else Stage.STOCKED, hold=None)
        case Cut(remaining):
            if not before.free_for(entry.signed.job, at.date()):
                raise NotAllowed(f"{entry.tag} is {before.words} ({before.signed.words}): it can't be cut for another job")
            if remaining is None:
                return replace(before, stage=Stage.USED, hold=None, seen_at=at)
            return replace(before, piece=replace(before.piece, outline=remaining), stage=Stage.STOCKED, hold=None, seen_at=at)
        case Moved(place, room, customer):
            moved = replace(before.piece, place=place, room=room, customer=customer)
            return replace(before, piece=moved, stage=_found(before), seen_at=at)
        case Counted(place, seen, room, customer) if seen:
            own = before.piece
            room, customer = own.room if room is None else room, own.customer if customer is None else customer
            counted = replace(own, place=place, room=room, customer=customer)
            return replace(before, piece=counted, stage=_found(before), seen_at=at)
        case Counted():
            return replace(before, stage=Stage.MISSING)
        case Corrected(piece):
            return replace(before, piece=piece)
        case Discarded():
            return _discarded(before, entry)
    raise AssertionError(f"an undoing entry is no state of its own: {entry!r}")


def _discarded(before: Standing, entry: Entry) -> Standing:
    if before.stage is Stage.HELD and before.hold and before.hold.binds(entry.signed.at.date()):
        told = f"{entry.tag} is {before.words} ({before.signed.words}): it can't be discarded"
        raise NotAllowed(f"{told}; let the hold go first")
    return replace(before, stage=Stage.DISCARDED, hold=None)


def _found(before: Standing) -> Stage:
    return Stage.HELD if before.hold else Stage.STOCKED
