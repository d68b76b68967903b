"""Pieces, and rows that could not be used, written as lines of a spreadsheet (CSV). `lines` reads them back the same."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import Any

from remnants.cells import Figure, cells_lines, cells_text
from remnants.exchange.lines import BadRow
from remnants.exchange.sheet import Sheet
from remnants.geometry import Ring
from remnants.model import Piece, Role
from remnants.model.attributes import PIECE, Attribute, Value
from remnants.units import Unit, to_unit

__all__ = ["lines_of", "lines_text", "rows_text"]

_COLUMNS = tuple(attribute for attribute in PIECE if attribute.in_sheets)
_IN_UNIT = frozenset({"width", "length", "outline", "cutouts", "motif"})
"""Those of a shape's columns that hold lengths."""


def rows_text(sheet: Sheet, bad: Sequence[BadRow]) -> str:
    """The bad rows as CSV under their headings, with a column that tells the faults."""
    heads = [*(heading.written for heading in sheet.headings), "faults"]
    return cells_text([heads, *(_bad_line(row, len(sheet.headings)) for row in bad)], line_end="\n")


def _bad_line(row: BadRow, width: int) -> list[str]:
    """Cells that stand under no heading are kept, behind the faults."""
    cells = (*row.cells, *[""] * (width - len(row.cells)))
    return [*cells[:width], "; ".join(str(fault) for fault in row.faults), *cells[width:]]


def lines_text(pieces: Iterable[Piece], unit: Unit, *, seen_by: Role = Role.MANAGE) -> str:
    """The pieces as CSV in `unit`, which stands in the headings. `read_sheet` and `pieces_in` read them back the same.

    What is not for people of the role `seen_by` has no column.
    """
    return "".join(lines_of(pieces, unit, seen_by=seen_by))


def lines_of(pieces: Iterable[Piece], unit: Unit, *, seen_by: Role = Role.MANAGE) -> Iterator[str]:
    """The same, a line at a time as the pieces come: the headings first."""
    columns = [attribute for attribute in _COLUMNS if seen_by.covers(attribute.seen_by)]
    heads = [_head(attribute, unit) for attribute in columns]
    return cells_lines(chain([heads], (_line(columns, piece, unit) for piece in pieces)), line_end="\n")


def _head(attribute: Attribute, unit: Unit) -> str:
    spoken = attribute.name.replace("_", " ")
    return f"{spoken} ({unit})" if attribute.name in _IN_UNIT or attribute.value is Value.LENGTH else spoken


def _line(columns: Sequence[Attribute], piece: Piece, unit: Unit) -> list[str | int]:
    own = _own_cells(piece, unit)
    return [
        own[attribute.name] if attribute.value is Value.OWN else _cell(attribute, getattr(piece, attribute.field), unit)
        for attribute in columns
    ]


def _cell(attribute: Attribute, value: Any, unit: Unit) -> str | int:
    match attribute.value:
        case _ if value is None:
            return ""
        case Value.LENGTH:
            return _plain(value, unit)
        case Value.MONEY:
            return str(value.written)
        case Value.STEP:
            return int(value)
        case Value.BEARING:
            return Figure(f"{value:.9g}")
        case _:
            return attribute.in_words(value)


def _own_cells(piece: Piece, unit: Unit) -> dict[str, str]:
    left, bottom, right, top = piece.outline.bounds
    plain = len(piece.outline.ring) == 4 and piece.outline.ring == ((0, 0), (right, 0), (right, top), (0, top))
    square = plain and (left, bottom) == (0, 0)
    lab = piece.lab
    return {
        "width": _plain(right, unit) if square else "",
        "length": _plain(top, unit) if square else "",
        "outline": "" if square else _corners_text(piece.outline.ring, unit),
        "cutouts": " | ".join(_corners_text(ring, unit) for ring in piece.outline.cutouts),
        "motif": _corners_text((piece.motif,), unit) if piece.motif else "",
        "lab": f"{lab.lightness:g} {lab.a:g} {lab.b:g}" if lab else "",
        "illuminant": lab.illuminant if lab else "",
    }


def _corners_text(ring: Ring, unit: Unit) -> str:
    return " ".join(f"{_plain(x, unit)},{_plain(y, unit)}" for x, y in ring)


def _plain(length_mm: float, unit: Unit) -> str:
    """The length in `unit`, without an exponent however small it is."""
    return f"{to_unit(length_mm, unit):.6f}".rstrip("0").rstrip(".")
