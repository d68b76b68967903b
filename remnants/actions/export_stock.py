"""The catalogue's stock as a value, to be written to a file."""

from dataclasses import replace

from remnants.exchange import SentPiece, Stock
from remnants.model import Kind
from remnants.model.branches import NO_BRANCHES
from remnants.store import Catalogue, pieces, styles, ways
from remnants.store.branches import all_branches
from remnants.units import Unit

__all__ = ["export_stock"]

_THEIRS = (Kind.KEPT, Kind.LAID)


def export_stock(catalogue: Catalogue, *, unit: Unit, for_others: bool = False) -> Stock:
    """Every piece on hand and every style, to be written in `unit`; branches, vans and what is on the way between them too.

    `for_others` leaves out pieces that customers have, branches, vans and what is on the way.
    """
    known = tuple(styles.all_styles(catalogue).values())
    there = (standing.piece for standing in pieces.on_hand(catalogue))
    if for_others:
        ours = tuple(piece for piece in there if not piece.customer and piece.kind not in _THEIRS)
        return Stock(known, ours, unit, NO_BRANCHES)
    sent = ((standing.piece, standing.way) for standing in ways.on_the_way(catalogue))
    return Stock(
        known,
        tuple(there),
        unit,
        all_branches(catalogue),
        tuple(SentPiece(replace(piece, place=way.place), way.start, way.goal, way.expected) for piece, way in sent if way),
    )
