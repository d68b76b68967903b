"""The marker page on paper: its board, its number, the check bar and what to do with it, in black vectors. Paper millimetres."""

from io import BytesIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from remnants.photo.marker_page import BAR_MM, BOARD_MM, black_of_page
from remnants.report.drawing import Anchor, Area, Fill, Lines, Mark, Pen, Words
from remnants.report.pdf import Fonts, draw_marks, register

__all__ = ["PAPERS", "photo_page_pdf"]

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Sizes across and up (ISO 216 and ANSI/ASME Y14.1)."""

_TOP_MM = 8.0
"""White above the board: a printer prints no nearer to the edge of the paper than some 5 mm."""

_BAR_BELOW_MM = 8.0
_TICK_MM = 3.0
_LINE_MM = 4.2
_WORDS_MM = 3.0

_TOLD = (
    "Print it at 100 %, not fitted to the page. Measure the bar from tick to tick with a steel rule, to a quarter of a mm.",
    'Tell what you measured once: on the page Measure, or by remnants photo-page --page {page} --bar "149.5 mm"',
    "Put the page on a clipboard, flat on the carpet, beside what you measure, on the same plane. Nothing may cover it.",
    "Stand over it, 1.2 to 1.7 m above. Take all of the page, without zoom. Good enough to size a patch, never to cut a seam by.",
)


def photo_page_pdf(page: int, fonts: Fonts, *, paper: str = "a4", note: str = "") -> bytes:
    """The marker page with this number as PDF, at full size. `note` stands at the foot."""
    register(fonts)
    across, up = PAPERS[paper]
    out = BytesIO()
    canvas = Canvas(out, pagesize=(across * mm, up * mm), invariant=1)
    canvas.setTitle(f"Marker page {page}")
    draw_marks(canvas, _marks(page, across, up, note))
    canvas.save()
    return out.getvalue()


def _marks(page: int, across: float, up: float, note: str) -> list[Mark]:
    middle = (across / 2, up - _TOP_MM - BOARD_MM[1] / 2)
    rings = tuple(tuple((middle[0] + x, middle[1] + y) for x, y in ring) for ring in black_of_page(page))
    foot = middle[1] - BOARD_MM[1] / 2 - _BAR_BELOW_MM
    left, right = across / 2 - BOARD_MM[0] / 2, across / 2 - BOARD_MM[0] / 2 + BAR_MM
    ticks = tuple(((x, foot - _TICK_MM / 2), (x, foot + _TICK_MM / 2)) for x in (left, right))
    marks: list[Mark] = [
        Area(rings, Fill.INK, None),
        Lines((((left, foot), (right, foot)), *ticks), Pen.THIN),
        Words(f"{BAR_MM:g} mm", (left + BAR_MM / 2, foot + 2.4), _WORDS_MM, anchor=Anchor.MIDDLE),
        Words(f"Page {page}", (left + BOARD_MM[0], foot), 1.8 * _WORDS_MM, anchor=Anchor.END, bold=True),
    ]
    for number, line in enumerate((*_TOLD, *([note] if note else [])), 1):
        marks.append(Words(line.format(page=page), (left, foot - 2.0 - number * _LINE_MM), _WORDS_MM))
    return marks
