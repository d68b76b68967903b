"""What is on the way, as a table for a terminal."""

from collections.abc import Sequence
from datetime import date

from rich.table import Table

from remnants.ledger import Standing
from remnants.report.pieces import size_words
from remnants.units import Unit

__all__ = ["ways_table"]


def ways_table(standings: Sequence[Standing], unit: Unit, *, today: date) -> Table:
    """A row a piece: tag, carpet with its size, from where to where, who sent it, when it is expected, and whether it is late."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("tag", "carpet", "way", "sent by", "expected"):
        table.add_column(heading, no_wrap=heading in ("tag", "expected"))
    for standing in standings:
        piece, way = standing.piece, standing.way
        if way is not None:
            carpet = ", ".join(text for text in (piece.style, piece.colour, f"lot {piece.lot}" if piece.lot else "") if text)
            held = f"\nheld for {standing.hold.job}" if standing.hold else ""
            start = f"{way.start} to " if way.start else "to "
            told = f"{way.expected}, late" if way.late(today) else str(way.expected)
            table.add_row(piece.tag, f"{carpet}\n{size_words(piece, unit)}{held}", f"{start}{way.goal}", way.who, told)
    return table
