"""What is lent, as a table for a terminal."""

from collections.abc import Sequence
from datetime import date

from rich.table import Table

from remnants.ledger import Standing
from remnants.report.pieces import size_words
from remnants.units import Unit

__all__ = ["loans_table"]


def loans_table(standings: Sequence[Standing], unit: Unit, *, today: date) -> Table:
    """A row a piece: tag, carpet with its size, the customer's reference, until when, and whether it is late."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("tag", "carpet", "customer", "until"):
        table.add_column(heading, no_wrap=heading in ("tag", "until"))
    for standing in standings:
        piece = standing.piece
        carpet = ", ".join(text for text in (piece.style, piece.colour, f"lot {piece.lot}" if piece.lot else "") if text)
        until = f"{standing.lent_until}, late" if standing.late(today) else str(standing.lent_until)
        table.add_row(piece.tag, f"{carpet}\n{size_words(piece, unit)}", piece.customer, until)
    return table
