"""A laid floor is one physical thing: measured again for the same house, room and style it is the piece that is there already."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from remnants.actions.booking import once
from remnants.actions.change_piece import correct_piece
from remnants.actions.log_pieces import log_pieces
from remnants.belonging import same_floor
from remnants.errors import Fault
from remnants.exchange import Stock
from remnants.ledger import Signed, Standing
from remnants.model import Kind, Piece
from remnants.model.attributes import PLAIN
from remnants.store import Catalogue, pieces

__all__ = ["log_or_correct", "same_floor_notes", "standing_on_floor"]


def standing_on_floor(catalogue: Catalogue, piece: Piece) -> Standing | None:
    """The laid piece on hand that lies on the same floor as one told now; None for what isn't laid, or is of no floor known."""
    if piece.kind is not Kind.LAID:
        return None
    return next((each for each in pieces.laid(catalogue, piece.style) if same_floor(each.piece, piece)), None)


def log_or_correct(catalogue: Catalogue, stock: Stock, *, signed: Signed, key: str = "") -> tuple[str, bool]:
    """Stores the one piece of a stock and gives its tag; where it is a laid floor that is there already, tells that anew (True).

    What is not told now stays as it was. Raises as `log_pieces` and `correct_piece`.
    """
    (piece,) = stock.pieces
    if piece.kind is not Kind.LAID:
        return log_pieces(catalogue, stock, signed=signed, key=key)[0], False

    def do() -> list[Any]:
        there = standing_on_floor(catalogue, piece)
        if there is None:
            return [log_pieces(catalogue, stock, signed=signed)[0], False]
        anew = _told_anew(there.piece, piece)
        if anew != there.piece:
            correct_piece(catalogue, anew, expected=there.version, signed=signed)
        return [there.piece.tag, True]

    tag, again = once(catalogue, key, ["log a floor", repr(replace(piece, tag="-"))], signed, do)
    return str(tag), bool(again)


def same_floor_notes(catalogue: Catalogue, tags: Sequence[str]) -> tuple[Fault, ...]:
    """Of laid pieces that were just logged: those on a floor that has one already, as the same carpet measured again would be.

    Of some logged together the later one is told of, beside those before it.
    """
    notes = []
    order = {tag: place for place, tag in enumerate(tags)}
    lying = pieces.laid_among(catalogue, tags)
    for tag in tags:
        if tag not in lying:
            continue
        piece = lying[tag].piece
        others = [each.piece.tag for each in pieces.laid(catalogue, piece.style) if same_floor(each.piece, piece)]
        beside = [other for other in others if order.get(other, -1) < order[tag]]
        if beside:
            told = f"{' and '.join(beside)} {'lies' if len(beside) == 1 else 'lie'} on that floor already ({_place(piece)})"
            again = f"if this is the same carpet measured again, take it back with `remnants undo {tag}` and correct {beside[0]}"
            notes.append(Fault(tag, f"{told}; {again}"))
    return tuple(notes)


def _place(piece: Piece) -> str:
    """The house and the room of a floor, as they are told."""
    return ", ".join(text for text in (piece.place, piece.room) if text)


_SAME_FLOOR = frozenset({"tag", "style", "place", "room"})
"""What says which floor it is, and stays as it was written first."""


def _told_anew(before: Piece, now: Piece) -> Piece:
    told: dict[str, Any] = {
        attribute.field: value
        for attribute in PLAIN
        if attribute.name not in _SAME_FLOOR and (value := getattr(now, attribute.field)) != attribute.usual
    }
    motif, lab = now.motif or before.motif, now.lab or before.lab
    return replace(before, **({"worn": now.worn} | told), outline=now.outline, motif=motif, lab=lab)
