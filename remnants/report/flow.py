"""Text, tables and drawings that flow over the pages of a sheet; every page carries its number and bars that prove its scale."""

from collections.abc import Sequence
from html import escape
from io import BytesIO
from typing import Any, TypeAlias

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    Image,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from remnants.kept_whole import whole_lengths
from remnants.model.picture import Picture
from remnants.report.drawing import Anchor, Drawing, Lines, Mark, Pen, Words
from remnants.report.page import BELOW_MM, MARGIN_MM, LargePage, PageSize, room_mm
from remnants.report.pdf import BOLD, PLAIN, draw_marks
from remnants.report.wording import visible

__all__ = [
    "SLACK_MM",
    "Block",
    "beside",
    "bullets",
    "caution",
    "columns",
    "document",
    "drawing_block",
    "gap",
    "grid",
    "heading",
    "marks_block",
    "new_page",
    "picture_block",
    "table",
    "taken_mm",
    "text",
    "title",
    "together",
]

SLACK_MM = 2.0
"""What the setting of a page may take more than its blocks by themselves."""

BODY_PT = 10.5
SMALL_PT = 8.5

BODY = ParagraphStyle("body", fontName=PLAIN, fontSize=BODY_PT, leading=BODY_PT * 1.4, spaceAfter=3)
TITLE = ParagraphStyle("title", parent=BODY, fontName=BOLD, fontSize=17, leading=22, spaceAfter=4)
HEADING = ParagraphStyle(
    "heading", parent=BODY, fontName=BOLD, fontSize=12.5, leading=17, spaceBefore=9, spaceAfter=3, keepWithNext=1
)
BULLET = ParagraphStyle("bullet", parent=BODY, leftIndent=14, bulletIndent=1, bulletFontName=PLAIN)
SMALL = ParagraphStyle("small", parent=BODY, fontSize=SMALL_PT, leading=SMALL_PT * 1.35, spaceAfter=1)
SMALL_HEADING = ParagraphStyle("small heading", parent=HEADING, fontSize=9.5, leading=12.5, spaceBefore=4, spaceAfter=1.5)
SMALL_BULLET = ParagraphStyle(
    "small bullet", parent=SMALL, leftIndent=15, bulletIndent=1, bulletFontName=PLAIN, bulletFontSize=SMALL_PT
)
CAUTION = ParagraphStyle(
    "caution",
    parent=BODY,
    fontSize=9.5,
    leading=13,
    leftIndent=12,
    borderWidth=0.8,
    borderColor=colors.black,
    borderPadding=4,
    spaceBefore=6,
    spaceAfter=8,
    rightIndent=4,
)
SMALL_CAUTION = ParagraphStyle(
    "small caution",
    parent=CAUTION,
    fontSize=8,
    leading=10.4,
    leftIndent=5,
    borderWidth=0.6,
    borderPadding=2.5,
    spaceBefore=4.5,
    spaceAfter=5,
)

Block: TypeAlias = Any
"""Something that flows over pages."""


class _Marks(Flowable):  # type: ignore[misc]
    """Marks set in a box of their own."""

    def __init__(self, marks: Sequence[Mark], size_mm: tuple[float, float], *, clip: bool) -> None:
        super().__init__()
        self._marks = marks
        self._clip = clip
        self.width, self.height = size_mm[0] * mm, size_mm[1] * mm

    def wrap(self, *_room: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.saveState()
        if self._clip:
            path = self.canv.beginPath()
            path.rect(0, 0, self.width, self.height)
            self.canv.clipPath(path, stroke=0, fill=0)
        draw_marks(self.canv, self._marks)
        self.canv.restoreState()


def drawing_block(drawing: Drawing) -> Block:
    """A drawing at its own size."""
    return _Marks(drawing.marks, (drawing.width_mm, drawing.height_mm), clip=False)


def marks_block(marks: Sequence[Mark], size_mm: tuple[float, float]) -> Block:
    """Marks in a box of `size_mm`, cut off at its sides."""
    return _Marks(marks, size_mm, clip=True)


def picture_block(picture: Picture, room_mm: tuple[float, float]) -> Block:
    """A picture as large as goes into so much room; its file goes into the page as it is, never unpacked."""
    scale = min(room_mm[0] / picture.across, room_mm[1] / picture.down)
    made = Image(BytesIO(picture.jpeg), picture.across * scale * mm, picture.down * scale * mm)
    made.hAlign = "LEFT"
    return made


def title(words: str) -> Block:
    """The title of a page."""
    return Paragraph(_safe(words), TITLE)


def heading(words: str, *, small: bool = False) -> Block:
    """A heading that stays with what follows."""
    return Paragraph(_safe(words), SMALL_HEADING if small else HEADING)


def text(words: str, *, small: bool = False) -> Block:
    """A paragraph."""
    return Paragraph(_safe(words), SMALL if small else BODY)


def bullets(lines: Sequence[str], mark: str = "•", *, small: bool = False) -> list[Block]:
    """Items of a list; a box to tick with `mark` set to one."""
    return [Paragraph(_safe(line), SMALL_BULLET if small else BULLET, bulletText=mark) for line in lines]


def caution(words: str, *, small: bool = False) -> Block:
    """A caution, framed."""
    return Paragraph(f'<font name="{BOLD}">Caution.</font> {_safe(words)}', SMALL_CAUTION if small else CAUTION)


def table(
    headings: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], room: float, *, ends: bool = False
) -> Block:
    """A table across `room` mm, its columns by their shares of it. `ends`: its last row is what it comes to, and stands out."""
    total = sum(shares)
    cells = [[Paragraph(f'<font name="{BOLD}">{_safe(words)}</font>', SMALL) for words in headings]]
    cells += [[Paragraph(_safe(words), SMALL) for words in row] for row in rows]
    if ends:
        cells[-1] = [Paragraph(f'<font name="{BOLD}">{_safe(words)}</font>', SMALL) for words in rows[-1]]
    made = Table(cells, colWidths=[room * mm * share / total for share in shares], repeatRows=1, hAlign="LEFT")
    made.setStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, colors.black),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 8),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ]
    )
    return made


def beside(left: Block, right: Block, room: float, right_mm: float) -> Block:
    """Two blocks side by side across `room` mm, the right one `right_mm` wide."""
    made = Table([[left, right]], colWidths=[(room - right_mm) * mm, right_mm * mm], hAlign="LEFT")
    made.setStyle(
        [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)]
    )
    return made


def columns(
    groups: Sequence[Sequence[Block]], room: tuple[float, float], *, first_mm: float, between_mm: float = 6.0
) -> list[Block]:
    """Groups of blocks that run down one column and on in the next, over pages of `room` (mm); a group stays together.

    `first_mm` is what is free on the first page. Where they end the two columns are of even height, as nearly as they go.
    """
    wide = (room[0] - between_mm) / 2
    heights = [taken_mm(group, wide) for group in groups]
    made: list[Block] = []
    start, free = 0, first_mm
    while start < len(groups):
        ends = _column_ends(heights[start:], free)
        if ends[1] == 0 and free < room[1]:
            made.append(new_page())
            free = room[1]
            continue
        middle, end = start + max(1, ends[0]), start + max(1, ends[1])
        left, right = ([block for group in part for block in group] for part in (groups[start:middle], groups[middle:end]))
        made.append(_pair(left, right, wide, between_mm))
        start, free = end, room[1]
    return made


def _column_ends(heights: Sequence[float], free: float) -> tuple[int, int]:
    """How many groups go in the left column, and in both, where each holds so much; the last ones are shared out evenly."""
    if sum(heights) <= 2 * free:
        for middle in range(len(heights) + 1):
            left, right = sum(heights[:middle]), sum(heights[middle:])
            if right <= left <= free:
                return middle, len(heights)
    middle = _first_over(heights, free)
    return middle, middle + _first_over(heights[middle:], free)


def _first_over(heights: Sequence[float], free: float) -> int:
    total = 0.0
    for count, height in enumerate(heights):
        total += height
        if total > free:
            return count
    return len(heights)


def _pair(left: Sequence[Block], right: Sequence[Block], wide: float, between_mm: float) -> Block:
    made = Table([[list(left), "", list(right)]], colWidths=[wide * mm, between_mm * mm, wide * mm], hAlign="LEFT")
    sides = ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING")
    made.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), *((side, (0, 0), (-1, -1), 0) for side in sides)])
    return made


def taken_mm(blocks: Sequence[Block], room: float) -> float:
    """The height that blocks take one below another across `room` mm: never less than they do."""
    heights = (float(block.wrap(room * mm, 1e6)[1] + block.getSpaceBefore() + block.getSpaceAfter()) for block in blocks)
    return float(sum(heights) / mm)


def grid(blocks: Sequence[Block], columns: int, cell_mm: tuple[float, float]) -> Block:
    """Blocks in rows of so many columns, each in a cell of `cell_mm`."""
    rows = [list(blocks[start : start + columns]) for start in range(0, len(blocks), columns)]
    rows[-1] += [""] * (columns - len(rows[-1]))
    made = Table(rows, colWidths=[cell_mm[0] * mm] * columns, rowHeights=[cell_mm[1] * mm] * len(rows), hAlign="LEFT")
    sides = ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING")
    made.setStyle([(side, (0, 0), (-1, -1), 0) for side in sides])
    return made


def together(blocks: Sequence[Block]) -> Block:
    """Blocks that stay on one page where they can."""
    return KeepTogether(list(blocks))


def gap(height_mm: float) -> Block:
    """Empty room."""
    return Spacer(1, height_mm * mm)


def new_page() -> Block:
    """The rest starts on a new page."""
    return PageBreak()


def document(blocks: Sequence[Block], *, size: PageSize | LargePage, name: str, note: str = "", measured: bool = True) -> bytes:
    """The blocks as a PDF with these fonts only; the same blocks give the same bytes.

    `name` stands at the foot of each page, and `note` above it where there is one. Where nothing on it is `measured` by, it has
    no bars.
    """
    out = BytesIO()
    width, height = size.value
    room = room_mm(size)
    made = BaseDocTemplate(out, pagesize=(width * mm, height * mm), title=name, author="", initialFontName=PLAIN, invariant=1)
    sides = {f"{side}Padding": 0 for side in ("left", "right", "top", "bottom")}
    frame = Frame(MARGIN_MM * mm, BELOW_MM * mm, room[0] * mm, room[1] * mm, id="page", **sides)

    def foot(canvas: Any, page: Any) -> None:
        draw_marks(canvas, _foot(name, page.page, width, note, measured=measured))

    made.addPageTemplates([PageTemplate(id="page", frames=[frame], onPage=foot)])
    made.build(list(blocks))
    return out.getvalue()


def _foot(name: str, number: int, width: float, note: str, *, measured: bool) -> list[Mark]:
    """The page's number, and a bar of 100 mm and one of 4 in: measure one before you measure from the page."""
    marks: list[Mark] = []
    for y, length, words in ((16.0, 100.0, "100 mm"), (10.0, 101.6, "4 in")) if measured else ():
        bar = ((MARGIN_MM, y), (MARGIN_MM + length, y))
        ticks = tuple(((x, y - 1.2), (x, y + 1.2)) for x, _ in bar)
        marks += [Lines((bar,), Pen.PLAIN), Lines(ticks, Pen.PLAIN), Words(words, (MARGIN_MM + length + 2.0, y), 3.0)]
    right = width - MARGIN_MM
    short = name if len(name) <= 30 else f"{name[:29]}…"
    marks += [Words("Print at 100 %; check a bar with a rule", (MARGIN_MM, 19.8), 2.6)] if measured else []
    marks += [
        Words(visible(f"{short}, page {number}"), (right, 10.0), 3.0, Anchor.END),
    ]
    for line, words in enumerate(note.split(" · ") if note else ()):  # one above the other: side by side they run into the bar
        marks.append(Words(visible(words), (right, 16.0 + 3.8 * line), 2.6, Anchor.END))
    return marks


def _safe(words: str) -> str:
    return escape(whole_lengths(visible(words)), quote=False)
