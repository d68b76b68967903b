"""The catalogue's stock as a value, to be written to a file."""

from remnants.exchange import Stock
from remnants.store import Catalogue, pieces, styles
from remnants.units import Unit

__all__ = ["export_stock"]


def export_stock(catalogue: Catalogue, *, unit: Unit) -> Stock:
    """Every piece on hand and every style, to be written in `unit`."""
    return Stock(
        tuple(styles.all_styles(catalogue).values()), tuple(standing.piece for standing in pieces.on_hand(catalogue)), unit
    )
