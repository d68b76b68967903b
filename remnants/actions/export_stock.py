"""The catalogue's stock as a value, to be written to a file."""

from dataclasses import replace

from remnants.exchange import SentPiece, Stock
from remnants.store import Catalogue, pieces, styles, ways
from remnants.store.branches import all_branches
from remnants.units import Unit

__all__ = ["export_stock"]


def export_stock(catalogue: Catalogue, *, unit: Unit) -> Stock:
    """Every piece on hand and every style, to be written in `unit`; branches, vans and what is on the way between them too."""
    sent = ((standing.piece, standing.way) for standing in ways.on_the_way(catalogue))
    return Stock(
        tuple(styles.all_styles(catalogue).values()),
        tuple(standing.piece for standing in pieces.on_hand(catalogue)),
        unit,
        all_branches(catalogue),
        tuple(SentPiece(replace(piece, place=way.place), way.start, way.goal, way.expected) for piece, way in sent if way),
    )
