"""A stock file written piece by piece, so that a stock of any size takes little memory. `read_stock` reads it back the same."""

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from remnants.exchange.stock import Stock, piece_json, stock_json
from remnants.model import Piece, Role

__all__ = ["stock_text"]

_NO_PIECES = '\n "pieces": []'
"""How a stock without pieces tells them; no text in it can look like that, as line ends in texts are written as signs."""

_FLAT = json.JSONEncoder(ensure_ascii=False, separators=(",\n   ", ": "))
"""Writes a piece of which nothing is a list: indented by hand, a tenth of the time of the library's own indenting."""


def stock_text(around: Stock, pieces: Iterable[Piece], *, seen_by: Role = Role.MANAGE) -> Iterator[str]:
    """The text of a stock file bit by bit: what stands `around` the pieces (it has none itself), and the pieces as they come.

    Joined it is what `json.dumps` makes of `stock_json`, indented by 1. What is not for people of the role `seen_by` is left out.
    """
    before, named, after = json.dumps(stock_json(around, seen_by=seen_by), indent=1, ensure_ascii=False).partition(_NO_PIECES)
    yield before + named[:-1]
    lead, end = "\n  ", "]"
    for piece in pieces:
        yield lead + _indented(piece_json(piece, around.unit, seen_by))
        lead, end = ",\n  ", "\n ]"
    yield end + after


def _indented(told: Mapping[str, Any]) -> str:
    """A piece as JSON that stands two blanks in."""
    if any(isinstance(value, list | dict) for value in told.values()):
        return json.dumps(told, indent=1, ensure_ascii=False).replace("\n", "\n  ")
    return f"{{\n   {_FLAT.encode(told)[1:-1]}\n  }}"
