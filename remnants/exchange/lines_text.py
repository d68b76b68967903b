"""Pieces, and rows that could not be used, written as lines of a spreadsheet (CSV). `lines` reads them back the same."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

from remnants.exchange.lines import BadRow
from remnants.exchange.sheet import Sheet
from remnants.geometry import Ring
from remnants.model import Piece
from remnants.units import Unit, to_unit

__all__ = ["lines_text", "rows_text"]

_EXPORTED = (
    "tag",
    "kind",
    "style",
    "colour",
    "lot",
    "width",
    "length",
    "outline",
    "cutouts",
    "pile",
    "motif",
    "place",
    "room",
    "worn",
    "customer",
    "lab",
    "illuminant",
)


def rows_text(sheet: Sheet, bad: Sequence[BadRow]) -> str:
    """The bad rows as CSV under their headings, with a column that tells the faults."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*(heading.written for heading in sheet.headings), "faults"])
    for row in bad:
        cells = (*row.cells, *[""] * (len(sheet.headings) - len(row.cells)))
        writer.writerow([*cells[: len(sheet.headings)], "; ".join(str(fault) for fault in row.faults)])
    return out.getvalue()


def lines_text(pieces: Iterable[Piece], unit: Unit) -> str:
    """The pieces as CSV in `unit`, which stands in the headings. `read_sheet` and `pieces_in` read them back the same."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    marked = {"width", "length", "outline", "cutouts", "motif"}
    writer.writerow([f"{name} ({unit})" if name in marked else name for name in _EXPORTED])
    for piece in pieces:
        writer.writerow(_line(piece, unit))
    return out.getvalue()


def _line(piece: Piece, unit: Unit) -> list[Any]:
    left, bottom, right, top = piece.outline.bounds
    plain = len(piece.outline.ring) == 4 and piece.outline.ring == ((0, 0), (right, 0), (right, top), (0, top))
    square = plain and (left, bottom) == (0, 0)
    lab = piece.lab
    return [
        piece.tag,
        piece.kind.value,
        piece.style,
        piece.colour,
        piece.lot,
        _plain(right, unit) if square else "",
        _plain(top, unit) if square else "",
        "" if square else _corners_text(piece.outline.ring, unit),
        " | ".join(_corners_text(ring, unit) for ring in piece.outline.cutouts),
        f"{piece.pile_deg:.9g}",
        _corners_text((piece.motif,), unit) if piece.motif else "",
        piece.place,
        piece.room,
        piece.worn,
        piece.customer,
        f"{lab.lightness:g} {lab.a:g} {lab.b:g}" if lab else "",
        lab.illuminant if lab else "",
    ]


def _corners_text(ring: Ring, unit: Unit) -> str:
    return " ".join(f"{_plain(x, unit)},{_plain(y, unit)}" for x, y in ring)


def _plain(length_mm: float, unit: Unit) -> str:
    """The length in `unit`, without an exponent however small it is."""
    return f"{to_unit(length_mm, unit):.6f}".rstrip("0").rstrip(".")
