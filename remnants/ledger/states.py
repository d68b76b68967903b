"""What may happen to a piece in which state, as one table, and the state that each entry leads to."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType

from remnants.days import day_words
from remnants.errors import NotAllowed
from remnants.ledger.entries import (
    Act,
    CalledBack,
    Corrected,
    Counted,
    Cut,
    Discarded,
    Entry,
    Held,
    Moved,
    Received,
    Released,
    Sent,
    Signed,
    TakenIn,
)
from remnants.model import Kind, Piece

__all__ = ["BESIDE", "MOVES", "ON_HAND", "Hold", "OnTheWay", "Stage", "Standing", "applied"]


class Stage(StrEnum):
    """Where a piece stands."""

    STOCKED = "in stock"
    HELD = "held"
    ON_THE_WAY = "on the way"
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
        (Stage.STOCKED, Act.SENT): frozenset({Stage.ON_THE_WAY}),
        (Stage.HELD, Act.SENT): frozenset({Stage.ON_THE_WAY}),
        (Stage.ON_THE_WAY, Act.TAKEN_IN): frozenset({Stage.STOCKED, Stage.HELD}),
        (Stage.ON_THE_WAY, Act.CALLED_BACK): frozenset({Stage.STOCKED, Stage.HELD}),
        (Stage.ON_THE_WAY, Act.MOVED): frozenset({Stage.STOCKED, Stage.HELD}),
        (Stage.ON_THE_WAY, Act.COUNTED): frozenset({Stage.MISSING, Stage.STOCKED, Stage.HELD}),
        (Stage.ON_THE_WAY, Act.RELEASED): frozenset({Stage.ON_THE_WAY}),
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


BESIDE = frozenset({Act.PHOTOGRAPHED, Act.PHOTO_TAKEN_AWAY, Act.LOOKED_AT})
"""What is told beside a piece: it may happen in every state, and leaves the piece and what can be taken back alone."""


@dataclass(frozen=True, slots=True)
class Hold:
    """For which job a piece is kept, and until the end of which day."""

    job: str
    until: date

    def binds(self, day: date) -> bool:
        """Whether it still holds on that day."""
        return day <= self.until

    @property
    def until_words(self) -> str:
        """`until 1 Jun 2031`."""
        return f"until {day_words(self.until)}"


@dataclass(frozen=True, slots=True)
class OnTheWay:
    """What is known of a piece on the way: the branch or van that it left ("" the shop) and is sent to, the day on which it is
    expected there, the place where it lay, who sent it and when.
    """

    start: str
    goal: str
    expected: date
    place: str
    who: str
    at: datetime

    def late(self, day: date) -> bool:
        """Whether it should be there by now."""
        return self.expected < day

    @property
    def words(self) -> str:
        """`from South to North, sent by Ana on 3 May 2031, expected 4 May 2031`."""
        start = f"from {self.start} " if self.start else ""
        return f"{start}to {self.goal}, sent by {self.who} on {day_words(self.at)}, expected {day_words(self.expected)}"


@dataclass(frozen=True)
class Standing:
    """A piece as its entries add up. `version` is the number of the last entry that is not BESIDE, and `signed` who made that.

    A piece on the way has a `way` and no place; any other has no way. What is lent to the customer who has it is theirs until
    the day `lent_until`. It `came` when it was received, the last time.
    """

    piece: Piece
    stage: Stage
    version: int
    signed: Signed
    seen_at: datetime
    hold: Hold | None = None
    parent: str = ""
    way: OnTheWay | None = None
    lent_until: date | None = None
    came: datetime | None = None

    def late(self, day: date) -> bool:
        """Whether it was lent and should be back by now."""
        return self.lent_until is not None and self.lent_until < day and self.stage in ON_HAND

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
        """Where it stands and since when: `held for Alder Court 7 until 1 Jun 2031`, `used up (by Ana on …)`."""
        if self.way:
            held = f", held for {self.hold.job} {self.hold.until_words}" if self.hold else ""
            return f"{self.stage.value} {self.way.words}{held}"
        lent = f"lent until {day_words(self.lent_until)}" if self.lent_until and self.stage in ON_HAND else ""
        if self.stage is Stage.HELD and self.hold:
            held = f"held for {self.hold.job} {self.hold.until_words}"
            return f"{held}, {lent}" if lent else held
        if lent:
            return lent
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
    after = _still_lent(before, _after(before, entry), entry)
    assert after.stage in allowed, f"{stage} to {after.stage} by {entry.act}"
    if before is None:
        return after
    return replace(after, version=entry.number, signed=entry.signed)


def _still_lent(before: Standing | None, after: Standing, entry: Entry) -> Standing:
    """Until when it is lent after the entry: a loan ends where somebody else has the piece, or where it is moved without one."""
    if isinstance(entry.change, Moved):
        return replace(after, lent_until=entry.change.until)
    if after.lent_until and before and after.piece.customer != before.piece.customer:
        return replace(after, lent_until=None)
    return after


def _after(before: Standing | None, entry: Entry) -> Standing:  # noqa: PLR0911, PLR0912 - one line a kind of entry
    at = entry.signed.at
    if isinstance(entry.change, Received):
        return Standing(entry.change.piece, Stage.STOCKED, entry.number, entry.signed, at, parent=entry.change.parent, came=at)
    assert before is not None, "the table lets only `received` come first"
    match entry.change:
        case Held(job, until):
            if not before.free_for(job, at.date()):
                raise NotAllowed(f"{entry.tag} is {before.words} ({before.signed.words}): it can't be held for {job}")
            return replace(before, stage=Stage.HELD, hold=Hold(job, until))
        case Released():
            return replace(before, stage=Stage.STOCKED if before.stage is Stage.HELD else before.stage, hold=None)
        case Cut(remaining, cost=cost):
            if not before.free_for(entry.signed.job, at.date()):
                raise NotAllowed(f"{entry.tag} is {before.words} ({before.signed.words}): it can't be cut for another job")
            if remaining is None:
                return replace(before, stage=Stage.USED, hold=None, seen_at=at)
            left = replace(before.piece, outline=remaining, cost=cost.left if cost else before.piece.cost)
            return replace(before, piece=left, stage=Stage.STOCKED, hold=None, seen_at=at)
        case Moved(place, room, customer):
            moved = replace(before.piece, place=place, room=room, customer=customer)
            return _lies(before, moved, at)
        case Counted(place, seen, room, customer) if seen:
            own = before.piece
            room, customer = own.room if room is None else room, own.customer if customer is None else customer
            as_told = (place, room, customer) == (own.place, own.room, own.customer)
            return _lies(before, own if as_told else replace(own, place=place, room=room, customer=customer), at)
        case Counted():
            return replace(before, piece=_where_it_lay(before), stage=Stage.MISSING, way=None)
        case Sent():
            return _sent(before, entry.change, entry.signed)
        case TakenIn(place):
            return _lies(before, replace(before.piece, place=place, room=""), at)
        case CalledBack():
            return _lies(before, _where_it_lay(before), at)
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


def _sent(before: Standing, sent: Sent, signed: Signed) -> Standing:
    piece = before.piece
    if piece.customer or piece.kind not in (Kind.REMNANT, Kind.OFFCUT):
        raise NotAllowed(f"{piece.tag} is with a customer: it can't be sent; `remnants move` says once it is fetched")
    if not before.free_for(signed.job, signed.at.date()):
        raise NotAllowed(f"{piece.tag} is {before.words} ({before.signed.words}): it is sent for that job only")
    way = OnTheWay(sent.start, sent.goal, sent.expected, piece.place, signed.who, signed.at)
    return replace(before, piece=replace(piece, place=""), stage=Stage.ON_THE_WAY, way=way)


def _lies(before: Standing, piece: Piece, at: datetime) -> Standing:
    """It is seen where `piece` tells, and so on hand, and on no way."""
    return replace(before, piece=piece, stage=Stage.HELD if before.hold else Stage.STOCKED, seen_at=at, way=None)


def _where_it_lay(before: Standing) -> Piece:
    """The piece at the place where it lay when it was seen last."""
    return replace(before.piece, place=before.way.place) if before.way else before.piece
