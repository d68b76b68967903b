"""Leftovers of a saved order, promised to the stock: seen and not to be cut, received when the roll is cut, or called off."""

from dataclasses import dataclass, replace

from remnants.actions.booking import once
from remnants.actions.kept_orders import NUMBERED, revisions_of
from remnants.actions.log_pieces import known_styles, log_pieces, next_tag
from remnants.actions.promised_seen import Promise, promise_in, promises_of
from remnants.errors import BadInput, Fault, NotAllowed, NotFound
from remnants.exchange import Stock
from remnants.exchange.order_kept import leftover_json
from remnants.geometry import rectangle
from remnants.ledger import Signed
from remnants.model import Kind, Piece, Style
from remnants.store import Catalogue, promised
from remnants.store.promised import PromiseState

__all__ = ["Corrected", "call_off", "promise", "receive"]


@dataclass(frozen=True, slots=True)
class Corrected:
    """What is found when it is cut: sizes across and along the pile (mm), lot and place; None where it is as promised."""

    width_mm: float | None = None
    length_mm: float | None = None
    lot: str | None = None
    place: str = ""


AS_PROMISED = Corrected()


def promise(catalogue: Catalogue, order: int, *, signed: Signed, key: str = "") -> tuple[Promise, ...]:
    """Enters what the latest revision of an order leaves as promised, and calls off what an earlier one promised.

    What it promised already stays. Raises NotFound, and NotAllowed where it leaves nothing, names no carpet, or was cut.
    """

    def do() -> None:
        latest = revisions_of(catalogue, order)[0]
        there = promises_of(catalogue, order)
        cut = next((each for each in there if each.state is PromiseState.RECEIVED), None)
        if cut:
            raise NotAllowed(f"order {order} was cut, as {cut.tag} came in from it: log what else it leaves by itself")
        waiting = [each for each in there if each.state is PromiseState.PROMISED]
        if any(each.revision == latest.revision for each in waiting):
            return
        leaves = latest.kept.leftovers
        if not leaves:
            raise NotAllowed(f"order {order} leaves nothing of its rolls that is worth keeping")
        if not all(each.style for each in leaves):
            raise NotAllowed(f"order {order} doesn't say which carpet it is in: give its style, and save it again")
        for each in waiting:
            promised.settle(catalogue, each.number, PromiseState.CALLED_OFF, signed)
        promised.add(catalogue, (order, latest.revision), [leftover_json(each) for each in leaves], signed)

    once(catalogue, key, ["promise", order], signed, do)
    return tuple(each for each in promises_of(catalogue, order) if each.state is PromiseState.PROMISED)


def receive(catalogue: Catalogue, number: int, *, found: Corrected = AS_PROMISED, signed: Signed, key: str = "") -> str:
    """Takes a promised leftover into stock as an offcut, as it was `found`, and gives its tag.

    Raises NotFound, NotAllowed where it was received or called off, BadInput for a size that is none.
    """
    faults = [
        Fault(name, f"{size!r} mm is no size: give a length above zero")
        for name, size in (("width", found.width_mm), ("length", found.length_mm))
        if size is not None and not size > 0
    ]
    if faults:
        raise BadInput(faults)

    def do() -> str:
        row = promised.find(catalogue, number) if number <= NUMBERED else None
        if row is None:
            raise NotFound(f"no leftover is promised under number {number}; `remnants promised` lists them")
        if row.state is not PromiseState.PROMISED:
            became = f"received as {row.tag}" if row.tag else row.state.value
            raise NotAllowed(f"leftover {number} was {became} already, by {row.who}")
        piece = _piece(promise_in(row), found, next_tag(catalogue, Kind.OFFCUT))
        new = () if piece.style in known_styles(catalogue) else (Style(piece.style),)
        why = signed.why or f"left of order {row.order}"
        log_pieces(catalogue, Stock(new, (piece,)), signed=replace(signed, why=why))
        promised.settle(catalogue, number, PromiseState.RECEIVED, signed, tag=piece.tag)
        return piece.tag

    asked = ["receive promised", number, found.width_mm, found.length_mm, found.lot, found.place]
    tag: str = once(catalogue, key, asked, signed, do)
    return tag


def call_off(catalogue: Catalogue, order: int, *, signed: Signed, key: str = "") -> int:
    """Calls off what an order still promises, and gives how many that were. Raises NotFound."""

    def do() -> int:
        revisions_of(catalogue, order)
        waiting = [each for each in promises_of(catalogue, order) if each.state is PromiseState.PROMISED]
        for each in waiting:
            promised.settle(catalogue, each.number, PromiseState.CALLED_OFF, signed)
        return len(waiting)

    return int(once(catalogue, key, ["call off", order], signed, do))


def _piece(promised_one: Promise, found: Corrected, tag: str) -> Piece:
    left, outline = promised_one.leftover, promised_one.leftover.outline
    if found.width_mm is not None or found.length_mm is not None:
        width, length = left.largest_mm
        outline = rectangle(found.width_mm or width, found.length_mm or length)
    lot = left.lot if found.lot is None else found.lot
    return Piece(tag, Kind.OFFCUT, left.style, left.colour, lot, outline, place=found.place)
