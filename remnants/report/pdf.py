"""A drawing set on a PDF page, with embedded fonts; one paper mm of the drawing is one mm on the page."""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from remnants.report.drawing import Anchor, Area, Dash, Drawing, Fill, Lines, Mark, Pen, Words
from remnants.report.lettering import CAP_SHARE

__all__ = ["BOLD", "PLAIN", "Fonts", "draw", "draw_marks", "register"]

PLAIN, BOLD = "RemnantsSans", "RemnantsSans-Bold"
RECTANGLE_CORNERS = 4


@dataclass(frozen=True, slots=True)
class Fonts:
    """The two open TrueType fonts that are embedded, as bytes of their files."""

    plain: bytes
    bold: bytes


def register(fonts: Fonts) -> None:
    """Makes the fonts known to the PDF writer, once."""
    for name, data in ((PLAIN, fonts.plain), (BOLD, fonts.bold)):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, BytesIO(data)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


def draw(canvas: Any, drawing: Drawing) -> None:
    """Sets the drawing with its lower left corner at the canvas' origin."""
    draw_marks(canvas, drawing.marks)


def draw_marks(canvas: Any, marks: Sequence[Mark]) -> None:
    """Sets marks (paper mm) in order."""
    canvas.saveState()
    canvas.setLineCap(0)
    canvas.setLineJoin(0)
    for mark in marks:
        match mark:
            case Lines():
                _pen(canvas, mark.pen, mark.dash)
                path = canvas.beginPath()
                for run in mark.runs:
                    _run(path, run)
                canvas.drawPath(path, stroke=1, fill=0)
            case Area():
                _area(canvas, mark)
            case Words():
                _words(canvas, mark)
    canvas.restoreState()


def _area(canvas: Any, area: Area) -> None:
    if area.pen is not None:
        _pen(canvas, area.pen, area.dash)
    canvas.setFillGray(0.0 if area.fill is Fill.INK else 1.0)
    path = canvas.beginPath()
    for ring in area.rings:
        _ring(path, ring)
    canvas.drawPath(path, stroke=int(area.pen is not None), fill=int(area.fill is not Fill.NONE), fillMode=0)


def _ring(path: Any, ring: Sequence[tuple[float, float]]) -> None:
    """A closed ring; a rectangle along the axes in the one word that PDF has for it, as a code has hundreds."""
    if len(ring) == RECTANGLE_CORNERS:
        (left, bottom), _, (right, top), _ = ring
        if tuple(ring) == ((left, bottom), (right, bottom), (right, top), (left, top)):
            path.rect(left * mm, bottom * mm, (right - left) * mm, (top - bottom) * mm)
            return
    _run(path, ring)
    path.close()


def _words(canvas: Any, words: Words) -> None:
    if words.halo:
        _area(canvas, Area((words.corners,), Fill.PAPER, None))
    canvas.saveState()
    canvas.translate(words.at[0] * mm, words.at[1] * mm)
    canvas.rotate(words.lean_deg)
    canvas.setFillGray(0.0)
    canvas.setFont(BOLD if words.bold else PLAIN, words.size_mm * mm)
    write = {Anchor.START: canvas.drawString, Anchor.MIDDLE: canvas.drawCentredString, Anchor.END: canvas.drawRightString}
    write[words.anchor](0, -words.size_mm * CAP_SHARE * mm, words.text)
    canvas.restoreState()


def _pen(canvas: Any, pen: Pen, dash: Dash) -> None:
    canvas.setStrokeGray(0.0)
    canvas.setLineWidth(pen.value * mm)
    canvas.setDash([length * mm for length in dash.lengths_mm])


def _run(path: Any, points: Sequence[tuple[float, float]]) -> None:
    (x, y), *rest = points
    path.moveTo(x * mm, y * mm)
    for x, y in rest:
        path.lineTo(x * mm, y * mm)
