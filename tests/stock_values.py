"""Pieces and styles with defaults, so that a test shows only what matters to it. Lengths in inches."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from remnants.exchange import Stock
from remnants.geometry import outline_of, rectangle
from remnants.ledger import Signed
from remnants.model import Construction, Kind, Piece, Repeat, Style

IN = 25.4
SIGNED = Signed("Ana", datetime(2031, 5, 3, 14, 20, tzinfo=UTC))

__all__ = ["IN", "SIGNED", "a_piece", "a_stock", "a_style"]


def a_style(name: str = "Velder Loop", **changes: Any) -> Style:
    """A loop pile with a half-drop pattern."""
    known: dict[str, Any] = {"construction": Construction.LOOP, "repeat": Repeat(12 * IN, 18 * IN, 0.5), "row_mm": 0.25 * IN}
    return Style(name, **(known | changes))


def a_piece(
    tag: str = "R-1", width: float = 40, length: float = 60, *, outline: Sequence[tuple[float, float]] = (), **changes: Any
) -> Piece:
    """A new remnant in Bay 3, rectangular unless an outline is given."""
    shape = outline_of([(x * IN, y * IN) for x, y in outline]) if outline else rectangle(width * IN, length * IN)
    known = {"kind": Kind.REMNANT, "style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "place": "Bay 3"}
    return Piece(tag, outline=shape, **(known | changes))


def a_stock(*pieces: Piece, styles: Sequence[Style] = ()) -> Stock:
    """These pieces, or one, and their style."""
    return Stock(tuple(styles) or (a_style(),), pieces or (a_piece(),))
