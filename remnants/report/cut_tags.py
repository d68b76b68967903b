"""Tags to stick on: one for the back of each cut, one for each leftover until the catalogue gives it its own. Millimetres."""

from collections.abc import Iterator

from remnants.geometry.outline import rectangle
from remnants.materials.cuts import cuts_of
from remnants.report.board import SMALL_MM, Board, Frame
from remnants.report.code import code_area
from remnants.report.drawing import Area, Fill, Mark, Pen, Words
from remnants.report.flow import document, grid, marks_block
from remnants.report.lettering import wrapped
from remnants.report.marks import pile_arrow
from remnants.report.page import PageSize
from remnants.report.pdf import Fonts, register
from remnants.report.sheet import Sheet
from remnants.report.wording import extent_text, piece_line, size_text, turn_text

__all__ = ["tags_pdf"]

TAG_MM = (88.0, 50.0)
HEAD_MM = 5.5
CODE_MM = 18.0


def tags_pdf(sheet: Sheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The tags of a job, two beside one another, to cut apart."""
    register(fonts)
    tags = [marks_block(tuple(marks), TAG_MM) for marks in (*_cut_tags(sheet), *_leftover_tags(sheet))]
    return document([grid(tags, 2, TAG_MM)], size=size, name=f"{sheet.job.name}, tags", note=sheet.note)


def _cut_tags(sheet: Sheet) -> Iterator[list[Mark]]:
    unit = sheet.setting.unit
    for cut in cuts_of(sheet.plan):
        piece = sheet.setting.pieces[cut.piece]
        lines = (
            f"for {cut.patch}",
            f"from {cut.piece}: {piece_line(piece)}",
            f"{extent_text(cut.part.cut, unit)}, laid {turn_text(cut.part.turn_deg)}",
        )
        yield _tag(f"Cut {cut.number}", lines, f"{_link(sheet)} cut {cut.number}", piece.pile_deg)


def _leftover_tags(sheet: Sheet) -> Iterator[list[Mark]]:
    for left in sheet.plan.leftovers:
        if not left.usable:
            continue
        piece = sheet.setting.pieces[left.piece]
        lines = (piece_line(piece), f"holds {size_text(left.largest, sheet.setting.unit)}", "own tag: ______________")
        yield _tag(f"Rest of {left.piece}", lines, f"{_link(sheet)} rest of {left.piece}", piece.pile_deg)


def _link(sheet: Sheet) -> str:
    return sheet.link or f"job {sheet.job.name}"


def _tag(head: str, lines: tuple[str, ...], link: str, pile_deg: float) -> list[Mark]:
    """Heading and lines at the left; code and pile arrow at the right."""
    width, height = TAG_MM
    right = width - CODE_MM - 4.0
    board = Board(Frame((0.0, 0.0), 1.0, width, height))
    board.add(Area((rectangle(width - 1, height - 1, (0.5, 0.5)).ring,), Fill.NONE, Pen.THIN))
    board.add(code_area(link, CODE_MM, (right, 4.0)))
    pile_arrow(board, (right + CODE_MM / 2, height - 11.0), pile_deg, rows=False)
    y = height - 8.0
    for line in wrapped(head, HEAD_MM, right - 7.0, bold=True)[:2]:
        board.add(Words(line, (4.0, y), HEAD_MM, bold=True))
        y -= HEAD_MM * 1.4
    for text in lines:
        for line in wrapped(text, SMALL_MM, right - 7.0):
            if y > 3.0:
                board.add(Words(line, (4.0, y), SMALL_MM))
            y -= SMALL_MM * 1.5
    return board.marks
