"""Labels for pieces: tag, style, colour, lot, size in both units, a pile arrow and a QR code. Paper millimetres."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from remnants.model import Piece
from remnants.report.board import Board, Frame
from remnants.report.code import code_area
from remnants.report.drawing import Anchor, Mark, Pen, Words
from remnants.report.lettering import width_mm, wrapped
from remnants.report.marks import pointed
from remnants.report.pdf import Fonts, draw_marks, register
from remnants.units import Unit, write_length

__all__ = ["SHEETS", "LabelSheet", "labels_pdf", "one_label"]

_EDGE_MM = 2.0
_ARROW_MM = 9.0
_LEADING = 1.3


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A page of labels (mm): its size, columns and rows, the size of a label, and where the first one's upper left corner is.

    `gap_mm` lies between neighbours, across and down.
    """

    page_mm: tuple[float, float]
    columns: int
    rows: int
    label_mm: tuple[float, float]
    corner_mm: tuple[float, float] = (0.0, 0.0)
    gap_mm: tuple[float, float] = (0.0, 0.0)

    def places(self) -> Iterator[tuple[float, float]]:
        """Lower left corner of each label on the page (mm), row by row from the top."""
        width, height = self.label_mm
        for row in range(self.rows):
            for column in range(self.columns):
                x = self.corner_mm[0] + column * (width + self.gap_mm[0])
                top = self.corner_mm[1] + row * (height + self.gap_mm[1])
                yield x, self.page_mm[1] - top - height


SHEETS = {
    "a4-3x8": LabelSheet((210.0, 297.0), 3, 8, (70.0, 37.0), (0.0, 0.5)),
    "a4-2x7": LabelSheet((210.0, 297.0), 2, 7, (99.1, 38.1), (4.65, 15.15), (2.5, 0.0)),
    "a4-2x4": LabelSheet((210.0, 297.0), 2, 4, (105.0, 74.0), (0.0, 0.5)),
    "letter-3x10": LabelSheet((215.9, 279.4), 3, 10, (66.675, 25.4), (4.7625, 12.7), (3.175, 0.0)),
    "letter-2x5": LabelSheet((215.9, 279.4), 2, 5, (101.6, 50.8), (3.96875, 12.7), (4.7625, 0.0)),
}
"""Common sheets of adhesive labels, by paper, columns and rows (common practice, no source)."""


def one_label(width_mm_: float, height_mm: float) -> LabelSheet:
    """A page that is one label, for a label printer."""
    return LabelSheet((width_mm_, height_mm), 1, 1, (width_mm_, height_mm))


def labels_pdf(
    pieces: Sequence[Piece], fonts: Fonts, *, sheet: LabelSheet, link: str = "", skip: int = 0, note: str = ""
) -> bytes:
    """The labels as PDF, at full size. A code holds `link` followed by the tag, or the tag alone.

    `skip` leaves that many labels of the first page empty, since a sheet may be begun. `note` stands small at the foot
    of each label, as that the data are invented.
    """
    register(fonts)
    out = BytesIO()
    canvas = Canvas(out, pagesize=(sheet.page_mm[0] * mm, sheet.page_mm[1] * mm), invariant=1)
    canvas.setTitle("Tags")
    places = tuple(sheet.places())
    for number, piece in enumerate(pieces, skip % len(places)):
        if number and number % len(places) == 0:
            canvas.showPage()
        canvas.saveState()
        x, y = places[number % len(places)]
        canvas.translate(x * mm, y * mm)
        draw_marks(canvas, label_marks(piece, sheet.label_mm, f"{link}{piece.tag}", note))
        canvas.restoreState()
    canvas.save()
    return out.getvalue()


def label_marks(piece: Piece, size_mm: tuple[float, float], code: str, note: str = "") -> list[Mark]:
    """One label with its lower left corner at (0, 0): text at the left; pile arrow over the code at the right."""
    width, height = size_mm
    board = Board(Frame((0.0, 0.0), 1.0, width, height))
    side = min(height - 2 * _EDGE_MM - _ARROW_MM, width * 0.34)
    quiet = side / 8
    right = width - _EDGE_MM - side - quiet / 2
    board.add(code_area(code, side, (right, _EDGE_MM + quiet / 2)))
    _pile(board, (right + side / 2, height - _ARROW_MM / 2 - 0.6), piece.pile_deg)
    room = right - _EDGE_MM - quiet
    floor = _foot(board, note, (room, height)) if note else _EDGE_MM / 2
    _write(board, _texts(piece), (room, height), floor)
    return board.marks


def _pile(board: Board, centre: tuple[float, float], bearing_deg: float) -> None:
    """An arrow the way the pile lays, the label's top being up the length, and the word beside it."""
    step = math.radians(bearing_deg)
    x, y = math.sin(step) * (_ARROW_MM / 2 - 1.0), math.cos(step) * (_ARROW_MM / 2 - 1.0)
    for mark in pointed((centre[0] + x, centre[1] + y), (centre[0] - x, centre[1] - y), Pen.PLAIN, head_mm=2.4):
        board.add(mark)
    board.add(Words("pile", (centre[0] - _ARROW_MM / 2 - 0.5, centre[1]), 2.4, anchor=Anchor.END))


def _texts(piece: Piece) -> tuple[tuple[str, float, bool], ...]:
    """(text, letter height as a share of the label's, bold), top to bottom."""
    left, bottom, right, top = piece.outline.bounds
    inches, metric = (f"{write_length(right - left, unit)} × {write_length(top - bottom, unit)}" for unit in (Unit.IN, Unit.MM))
    colour = ", ".join(text for text in (piece.colour, piece.lot and f"lot {piece.lot}") if text)
    more = "" if piece.outline.is_rectangle else "odd shape; "
    return (
        (piece.tag, 0.17, True),
        (piece.style, 0.105, False),
        (colour, 0.105, False),
        (inches, 0.105, True),
        (more + metric, 0.09, False),
    )


def _foot(board: Board, note: str, room: tuple[float, float]) -> float:
    """The note on one line at the foot, as large as goes there; gives the height that stays free for the rest."""
    size = room[1] * 0.065
    while size > 1.2 and width_mm(note, size) > room[0] - _EDGE_MM:
        size *= 0.95
    board.add(Words(note, (_EDGE_MM, _EDGE_MM / 2 + size * _LEADING / 2), size))
    return _EDGE_MM / 2 + size * _LEADING


def _write(board: Board, texts: Sequence[tuple[str, float, bool]], room: tuple[float, float], floor: float) -> None:
    """The lines from the top down to the floor, each as large as its share, smaller where it would not fit on two lines."""
    width, height = room
    y = height - _EDGE_MM
    for text, share, bold in texts:
        size = height * share
        while size > 1.4 and width_mm(text, size, bold=bold) > 1.9 * width:
            size *= 0.92
        for line in wrapped(text, size, width - _EDGE_MM, bold=bold)[:2] if text else ():
            if y - size * _LEADING < floor:
                return
            y -= size * _LEADING
            board.add(Words(line, (_EDGE_MM, y + size * _LEADING / 2), size, bold=bold))
