"""Labels for pieces: tag, style, colour, lot, size in both units, a pile arrow and a QR code; and for racks. Paper mm."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from remnants.errors import BadInput
from remnants.model import Piece
from remnants.report.board import Board, Frame
from remnants.report.code import RACK, code_area, code_modules
from remnants.report.drawing import Anchor, Mark, Pen, Words
from remnants.report.lettering import width_mm, wrapped
from remnants.report.marks import pointed
from remnants.report.pdf import Fonts, draw_marks, register
from remnants.units import Unit, write_length

__all__ = ["SHEETS", "Label", "LabelSheet", "Rack", "label_marks", "labels_of", "labels_pdf", "one_label"]

_EDGE_MM = 2.0
_ARROW_MM = 9.0
_LEADING = 1.3
_LEAST_MM = 1.76
"""Nothing on a label is set smaller: 5 points, about the least that is read at arm's length (common practice, no source)."""

_LEAST_DOTS = 2
"""Dots across a square of a code, at least (common practice, no source)."""

_Text = tuple[str, float, bool]
"""A text, its letters' height as a share of the label's, and whether it is bold."""

_Line = tuple[str, float, bool]
"""A line, its letters' height in mm, and whether it is bold."""


@dataclass(frozen=True, slots=True)
class _Room:
    """What of a label is free for its words (mm): the width of a line, the label's height, and the floor above its foot."""

    width_mm: float
    height_mm: float
    floor_mm: float
    code_mm: float

    @classmethod
    def on(cls, size_mm: tuple[float, float], note: str) -> "_Room":
        """The room of a label of this size, whose code stands at the right and whose note, if any, at the foot."""
        width, height = size_mm
        code = min(height - 2 * _EDGE_MM - _ARROW_MM, width * 0.34)
        text = width - _EDGE_MM - code - code / 16 - code / 8 - 2 * _EDGE_MM
        floor = _EDGE_MM / 2 + (_note_mm(note, text, height) * _LEADING if note else 0.0)
        return cls(text, height, floor, code)

    def lines(self, text: _Text, share: float) -> list[_Line]:
        """A text in lines, its letters this share of their usual height: smaller where it would take more than two lines."""
        words, of_height, bold = text
        size = max(_LEAST_MM, self.height_mm * of_height * share)
        each_mm = width_mm(words, 1.0, bold=bold)
        while size > _LEAST_MM and each_mm * size > 1.9 * self.width_mm:
            size = max(_LEAST_MM, size * 0.92)
        if each_mm * size <= self.width_mm:
            return [(words, size, bold)] if words else []
        parts = words.replace(" × ", " ×\n").splitlines()  # a size isn't broken within a figure where it can be helped
        return [(line, size, bold) for part in parts for line in wrapped(part, size, self.width_mm, bold=bold)]

    def holds(self, lines: Sequence[_Line]) -> bool:
        """True where the lines go on the label, one below the other."""
        return sum(size for _, size, _ in lines) * _LEADING <= self.height_mm - _EDGE_MM - self.floor_mm


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


@dataclass(frozen=True, slots=True)
class Rack:
    """A place whose own label is wanted, to be scanned before the pieces that lie there."""

    place: str


@dataclass(frozen=True, slots=True)
class Label:
    """One label: its lines, what its code holds, what stands small at its foot, and the way the pile lays (a rack has none)."""

    lines: tuple[_Line, ...]
    code: str
    foot: str
    pile_deg: float | None


def labels_pdf(
    things: Sequence[Piece | Rack],
    fonts: Fonts,
    *,
    sheet: LabelSheet,
    link: str = "",
    skip: int = 0,
    note: str = "",
    witness: str = "",
) -> bytes:
    """The labels of pieces and racks as PDF, at full size; `skip` leaves that many of the first page empty, as it may be begun.

    The rest is as `labels_of` tells. Raises BadInput as it.
    """
    labels = labels_of(things, sheet.label_mm, link=link, note=note, witness=witness)
    register(fonts)
    out = BytesIO()
    canvas = Canvas(out, pagesize=(sheet.page_mm[0] * mm, sheet.page_mm[1] * mm), invariant=1)
    canvas.setTitle("Tags")
    places = tuple(sheet.places())
    for number, label in enumerate(labels, skip % len(places)):
        if number and number % len(places) == 0:
            canvas.showPage()
        canvas.saveState()
        x, y = places[number % len(places)]
        canvas.translate(x * mm, y * mm)
        draw_marks(canvas, label_marks(label, sheet.label_mm))
        canvas.restoreState()
    canvas.save()
    return out.getvalue()


def labels_of(
    things: Sequence[Piece | Rack], size_mm: tuple[float, float], *, link: str = "", note: str = "", witness: str = ""
) -> tuple[Label, ...]:
    """The labels of this size (mm), in the order of what they are for.

    The code of a piece's holds `link` followed by the tag, or the tag alone; that of a rack RACK and its place. `note` stands
    small at the foot of each label, as that the data are invented; `witness` behind it, where it takes no room from the rest.
    What doesn't go on a label in readable letters goes on a second one. Raises BadInput where two don't hold it, with the size
    that would.
    """
    made = []
    for thing in things:
        rack = isinstance(thing, Rack)
        texts = ((thing.place, 0.26, True),) if isinstance(thing, Rack) else _texts(thing)
        code = f"{RACK}{thing.place}" if isinstance(thing, Rack) else f"{link}{thing.tag}"
        pile_deg = None if isinstance(thing, Rack) else thing.pile_deg
        for lines, foot in _labels_with(texts, size_mm, note, "" if rack else witness):
            made.append(Label(tuple(lines), code, foot, pile_deg))
    return tuple(made)


def _labels_with(
    texts: tuple[_Text, ...], size_mm: tuple[float, float], note: str, witness: str
) -> list[tuple[list[_Line], str]]:
    """The lines of each label that the texts take, and what stands at its foot."""
    shared = _shared(texts, _Room.on(size_mm, note))
    if shared:
        both = " · ".join(words for words in (note, witness) if words)
        foot = both if _shared(texts, _Room.on(size_mm, both)) == shared else note
        return [(lines, foot) for lines in shared]
    width, height = _size_that_would_do(texts, size_mm, note)
    raise BadInput(
        f"the label of {texts[0][0]!r} has more to tell than two labels of {size_mm[0]:g} × {size_mm[1]:g} mm hold; "
        f"print it on labels of {width} × {height} mm or larger"
    )


def label_marks(label: Label, size_mm: tuple[float, float], *, dot_mm: float = 0.0) -> list[Mark]:
    """One label with its lower left corner at (0, 0): text at the left; pile arrow over the code at the right.

    With `dot_mm`, the size of a printer's dot, each square of the code is so many whole dots. Raises BadInput where that is
    less than two, which no scanner is sure to read.
    """
    width, height = size_mm
    board = Board(Frame((0.0, 0.0), 1.0, width, height))
    room = _Room.on(size_mm, label.foot)
    side = room.code_mm
    right = width - _EDGE_MM - side - side / 16
    corner = (right, _EDGE_MM + side / 16)
    if dot_mm:
        dots = math.floor(side / dot_mm / code_modules(label.code))
        if dots < _LEAST_DOTS:
            raise BadInput(f"the code of {label.lines[0][0]!r} is too fine for dots of {dot_mm:.3f} mm; take larger labels")
        side = dots * code_modules(label.code) * dot_mm
        corner = (math.ceil(corner[0] / dot_mm) * dot_mm, math.ceil(corner[1] / dot_mm) * dot_mm)
    board.add(code_area(label.code, side, corner))
    if label.pile_deg is not None:
        _pile(board, (right + room.code_mm / 2, height - _ARROW_MM / 2 - 0.6), label.pile_deg)
    if label.foot:
        size = _note_mm(label.foot, room.width_mm, height)
        board.add(Words(label.foot, (_EDGE_MM, _EDGE_MM / 2 + size * _LEADING / 2), size))
    y = height - _EDGE_MM
    for line, size, bold in label.lines:
        y -= size * _LEADING
        board.add(Words(line, (_EDGE_MM, y + size * _LEADING / 2), size, bold=bold))
    return board.marks


def _pile(board: Board, centre: tuple[float, float], bearing_deg: float) -> None:
    """An arrow the way the pile lays, the label's top being up the length, and the word beside it."""
    step = math.radians(bearing_deg)
    x, y = math.sin(step) * (_ARROW_MM / 2 - 1.0), math.cos(step) * (_ARROW_MM / 2 - 1.0)
    for mark in pointed((centre[0] + x, centre[1] + y), (centre[0] - x, centre[1] - y), Pen.PLAIN, head_mm=2.4):
        board.add(mark)
    board.add(Words("pile", (centre[0] - _ARROW_MM / 2 - 0.5, centre[1]), 2.4, anchor=Anchor.END))


def _texts(piece: Piece) -> tuple[_Text, ...]:
    """(text, letter height as a share of the label's, bold), top to bottom."""
    left, bottom, right, top = piece.outline.bounds
    inches = f"{write_length(right - left, Unit.IN)} × {write_length(top - bottom, Unit.IN)}"
    metric = " × ".join(f"{side:.1f}".removesuffix(".0") + " mm" for side in (right - left, top - bottom))
    colour = ", ".join(text for text in (piece.colour, piece.lot and f"lot {piece.lot}") if text)
    more = "" if piece.outline.is_rectangle else "odd shape; "
    return (
        (piece.tag, 0.17, True),
        (piece.style, 0.105, False),
        (colour, 0.105, False),
        (inches, 0.105, True),
        (more + metric, 0.09, False),
    )


def _note_mm(note: str, room_mm: float, height_mm: float) -> float:
    """Height of the letters of the note, on one line at the foot, as large as goes there (mm)."""
    size = height_mm * 0.065
    while size > 1.2 and width_mm(note, size) > room_mm:
        size *= 0.95
    return size


def _shared(texts: Sequence[_Text], room: _Room) -> list[list[_Line]]:
    """The lines of each label that one piece takes: one where all goes on it, else two, the second with the tag above the rest.

    Empty where not even two labels hold it. Letters get smaller together down to `_LEAST_MM` before a second label is begun.
    """
    share = 1.0
    while share > _LEAST_MM / room.height_mm:
        lines = [line for text in texts for line in room.lines(text, share)]
        if room.holds(lines):
            return [lines]
        share *= 0.94
    least = [room.lines(text, 0.0) for text in texts]
    for count in range(len(least) - 1, 0, -1):
        first, second = ([line for lines in some for line in lines] for some in (least[:count], [least[0], *least[count:]]))
        if room.holds(first) and room.holds(second):
            return [first, second]
    return []


def _size_that_would_do(texts: Sequence[_Text], size_mm: tuple[float, float], note: str) -> tuple[int, int]:
    """The least label of these sides' ratio, in whole mm, that holds all of it."""
    width, height = size_mm
    while not _shared(texts, _Room.on((width, height), note)):
        width, height = width * 1.05, height * 1.05
    return math.ceil(width), math.ceil(height)
