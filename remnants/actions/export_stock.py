"""The catalogue's stock as a value, or piece by piece, to be written to a file."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from remnants.exchange import SentPiece, Stock
from remnants.model import Kind, Piece
from remnants.model.branches import NO_BRANCHES
from remnants.store import Catalogue, pieces, styles, ways
from remnants.store.branches import all_branches
from remnants.units import Unit

__all__ = ["StockOut", "export_stock", "stock_out"]

_THEIRS = (Kind.KEPT, Kind.LAID)


@dataclass(frozen=True)
class StockOut:
    """A stock on its way into a file: all that stands `around` its pieces, and how many there are on hand to be looked at."""

    catalogue: Catalogue
    around: Stock
    on_hand: int
    for_others: bool

    def pieces(self) -> Iterator[Piece | None]:
        """The pieces on hand, one after the other as they are read, by tag; None for each that is left out."""
        for standing in pieces.on_hand(self.catalogue):
            yield standing.piece if not self.for_others or _ours(standing.piece) else None


@contextmanager
def stock_out(catalogue: Catalogue, *, unit: Unit, for_others: bool = False) -> Iterator[StockOut]:
    """Within it the stock is handed out piece by piece, as it is at the start, whoever writes meanwhile. See `export_stock`."""
    with catalogue.one_moment():
        known = tuple(styles.all_styles(catalogue).values())
        around = Stock(known, (), unit, NO_BRANCHES)
        if not for_others:
            sent = ((standing.piece, standing.way) for standing in ways.on_the_way(catalogue))
            told = (SentPiece(replace(piece, place=way.place), way.start, way.goal, way.expected) for piece, way in sent if way)
            around = replace(around, branches=all_branches(catalogue), sent=tuple(told))
        yield StockOut(catalogue, around, pieces.count_on_hand(catalogue), for_others)


def export_stock(catalogue: Catalogue, *, unit: Unit, for_others: bool = False) -> Stock:
    """Every piece on hand and every style, to be written in `unit`; branches, vans and what is on the way between them too.

    `for_others` leaves out pieces that customers have, branches, vans and what is on the way.
    """
    with stock_out(catalogue, unit=unit, for_others=for_others) as out:
        return replace(out.around, pieces=tuple(piece for piece in out.pieces() if piece))


def _ours(piece: Piece) -> bool:
    return not piece.customer and piece.kind not in _THEIRS
