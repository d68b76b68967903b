"""Orders that are saved under a number, each later one a revision of it, and compared."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from remnants.actions.booking import once
from remnants.errors import NotFound
from remnants.estimating import ROLL
from remnants.estimating.quote import Quote
from remnants.exchange.order_kept import kept_json, kept_of
from remnants.exchange.rooms_kept import without_words, words_of
from remnants.geometry import Outline
from remnants.geometry.turn import moved_ring
from remnants.ledger import Signed
from remnants.model.house_plan import CarpetPlan
from remnants.model.order_kept import CarpetKept, LeftoverKept, OrderKept, RoomKept
from remnants.store import Catalogue, kept_orders
from remnants.store.kept_orders import OrderRow

__all__ = ["NUMBERED", "Revision", "every_order", "forget_in_orders", "order_kept", "revisions_of", "save_order"]

MOST = 200
"""Orders that a list shows."""

NUMBERED = 2**31 - 1
"""No order has a number further on: what somebody types beyond it is none of ours, and no store takes it."""


@dataclass(frozen=True)
class Revision:
    """An order as it was saved: its number and revision, what is kept, the rooms file ("": nobody has it), who, when, why."""

    number: int
    revision: int
    kept: OrderKept
    asked: str
    who: str
    at: datetime
    why: str

    @property
    def called(self) -> str:
        """What papers call it."""
        return f"Order {self.number}, revision {self.revision}"


def order_kept(name: str, parts: Sequence[CarpetPlan], quoted: Quote | None = None) -> OrderKept:
    """What is kept of the order of a house."""
    rooms: list[RoomKept] = []
    for part in parts:
        for room in part.asked.rooms:
            left, low, right, top = room.outline.bounds
            rooms.append(RoomKept(room.name, part.carpet, right - left, top - low))
        for flight in part.asked.stairs:
            steps = flight.steps + len(flight.winders)
            rooms.append(RoomKept(flight.name, part.carpet, flight.cut_width_mm, flight.step_mm, steps))
    carpets = (
        CarpetKept(
            part.carpet,
            part.plan.roll.width_mm,
            part.plan.ordered_mm,
            len(part.plan.seams),
            tuple(each.net for each in part.plan.sums),
        )
        for part in parts
    )
    leaves = tuple(each for part in parts for each in _left(part))
    return OrderKept(name, tuple(rooms), tuple(carpets), leaves, quoted.total if quoted else None)


def _left(part: CarpetPlan) -> list[LeftoverKept]:
    """What the new roll leaves that is worth keeping, each from its own lower left corner."""
    wanted, made = part.asked.wanted, []
    for left in part.plan.leftovers:
        if left.piece == ROLL and left.usable:
            x, y, *_ = left.outline.bounds
            rings = [moved_ring(ring, (-x, -y)) for ring in (left.outline.ring, *left.outline.cutouts)]
            lot = part.plan.roll_at(left.outline.bounds[1]).lot or wanted.lot
            made.append(LeftoverKept(wanted.style, wanted.colour, lot, Outline(rings[0], tuple(rings[1:])), left.largest))
    return made


def save_order(
    catalogue: Catalogue, kept: OrderKept, *, revises: int | None = None, asked: str = "", signed: Signed, key: str = ""
) -> Revision:
    """Saves an order under a new number, or as the next revision of another, and gives it.

    `asked` is the rooms file, by which it can be worked out again. What orders the same as the latest revision is that
    revision: nothing is saved anew, unless that lacks the rooms file or a quote. Raises NotFound for a number that no order has.
    """
    file = kept_json(kept)

    def do() -> list[int]:
        if revises is None:
            row = (kept_orders.next_number(catalogue), 1)
        else:
            latest = revisions_of(catalogue, revises)[0]
            told = (latest.asked or not asked) and (kept.quoted is None or latest.kept.quoted is not None)
            if told and latest.kept.is_as(kept):
                return [latest.number, latest.revision]
            row = (revises, latest.revision + 1)
        kept_orders.add(catalogue, row, file, asked, signed)
        return list(row)

    number, revision = once(catalogue, key, ["save order", file, revises], signed, do)
    return next(each for each in revisions_of(catalogue, number) if each.revision == revision)


def revisions_of(catalogue: Catalogue, number: int) -> tuple[Revision, ...]:
    """Every revision of an order, the latest first. Raises NotFound."""
    found = tuple(map(_revision, kept_orders.revisions(catalogue, number))) if number <= NUMBERED else ()
    if not found:
        raise NotFound(f"there is no order {number}; `remnants orders` lists those that are saved")
    return found


def every_order(catalogue: Catalogue) -> tuple[Revision, ...]:
    """The latest revision of each order, the newest first, 200 at most."""
    return tuple(map(_revision, kept_orders.latest_of_each(catalogue, MOST)))


def _revision(row: OrderRow) -> Revision:
    return Revision(row.number, row.revision, kept_of(row.kept), row.asked, row.who, row.at, row.why)


def forget_in_orders(catalogue: Catalogue, texts: Sequence[str], instead: str) -> tuple[str, ...]:
    """Erases somebody's words in saved orders, `instead` in their place; gives the numbers of the orders that told of them.

    Of an order whose name tells of them the whole name and every reason go. Figures stay, and what the goods are called. The
    caller holds the transaction, and sweeps after it.
    """
    words = words_of(texts)
    if words is None:
        return ()
    every = tuple(kept_orders.every_revision(catalogue))
    theirs = {number for number, _, kept, _, _ in every if words.search(str(json.loads(kept)["name"]))}
    changed: list[int] = []
    for number, revision, kept, asked, why in every:
        named = number in theirs
        left = tuple(without_words(text, words, instead, named=named) if text else "" for text in (kept, asked))
        reason = "" if named or words.search(why) else why
        if (*left, reason) != (kept, asked, why):
            kept_orders.put_instead(catalogue, (number, revision), left[0], left[1], reason)
            changed.append(number)
    return tuple(map(str, dict.fromkeys(changed)))
