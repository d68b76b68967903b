"""The installer's drawing of the whole house on one sheet: the rooms, what the signs mean, and every cut by its number."""

from collections.abc import Iterator, Sequence

from remnants.estimating import ROLL
from remnants.model.house_plan import CarpetPlan
from remnants.report.drawing import shifted
from remnants.report.flow import Block, document, drawing_block, gap, marks_block, taken_mm, text, title
from remnants.report.flow import table as set_table
from remnants.report.house_places import are_placed
from remnants.report.house_view import HouseDrawn, house_drawing, legend
from remnants.report.page import LARGER, PageSize, room_mm
from remnants.report.papers import OrderPaper, called, dated
from remnants.report.pdf import Fonts, register
from remnants.report.wording import scale_text
from remnants.units import Unit, is_imperial, write_length

__all__ = ["house_pdf"]

LARGEST_SCALE = {False: 75.0, True: 64.0}
"""Up to so many mm of floor for one of paper a plan is read at arm's length, in metric and in feet (our own)."""

LEAST_MM = 60.0
"""A drawing lower than this is none: the paper is too small for what is told on it."""

LIST_MM = 88.0
"""Width of one column of the list of cuts."""


def house_pdf(paper: OrderPaper, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """One sheet for the installer, on the paper asked for or the next larger that it can be read on; then laid across or not.

    The numbers are those of the cut ticket. The same house gives the same bytes.
    """
    register(fonts)
    head = f"The house: {paper.name}"
    tried = [(page, *_sheet(paper, head, room_mm(page))) for page in LARGER[size]]
    readable = (page_and for page_and in tried if _readable(page_and[2], paper.unit))
    page, blocks, _ = next(readable, None) or min(tried, key=lambda each: _how_bad(each[2]))
    return document(blocks, size=page, name=head, note=paper.note)


def _readable(drawn: HouseDrawn | None, unit: Unit) -> bool:
    return drawn is not None and not drawn.left_out and drawn.drawing.scale <= LARGEST_SCALE[is_imperial(unit)]


def _how_bad(drawn: HouseDrawn | None) -> tuple[float, float]:
    return (len(drawn.left_out), drawn.drawing.scale) if drawn else (float("inf"), 0.0)


def _sheet(paper: OrderPaper, head: str, room: tuple[float, float]) -> tuple[list[Block], HouseDrawn | None]:
    """What stands on the sheet, and the drawing; none where the words leave it no room."""
    words = [title(head), *dated(paper)]
    below = list(_below(paper, room[0]))
    left = room[1] - taken_mm([*words, *below], room[0]) - 4.0
    if left < LEAST_MM:
        below = list(_below(paper, room[0], listed=False))
        left = room[1] - taken_mm([*words, *below], room[0]) - 4.0
    drawn = house_drawing(paper.parts, paper.unit, name=paper.name, room=(room[0], left - 8.0 * len(paper.parts)))
    scale = [text(f"{scale_text(drawn.drawing.scale, paper.unit).capitalize()}.", small=True)]
    lines = [*drawn.told, *_without_room(drawn.left_out)]
    told = [text(" ".join(lines), small=True)] if lines else []
    blocks = [*words, *scale, drawing_block(drawn.drawing), gap(2), *told, *below]
    fits = taken_mm(blocks, room[0]) <= room[1]
    return blocks, drawn if fits else None


def _without_room(numbers: Sequence[str]) -> list[str]:
    """What is said of numbers that stand nowhere on the drawing."""
    told = f"There is no room here for {', '.join(numbers)}: see the drawings of the rooms."
    return [told] if numbers else []


def _below(paper: OrderPaper, wide: float, *, listed: bool = True) -> Iterator[Block]:
    stock = any(each.source != ROLL for part in paper.parts for each in part.plan.placed)
    marks, _ = legend(stock=stock)
    yield marks_block([shifted(mark, 0.5, 3.2) for mark in marks], (wide, 6.4))
    if len(paper.parts) > 1:
        letters = [f"{chr(ord('A') + index)}: {called(part)}" for index, part in enumerate(paper.parts)]
        yield text("; ".join(letters) + ".", small=True)
    if not are_placed(paper.parts):
        yield text("The rooms stand side by side, not where they lie in the house. Up is the same way in all.", small=True)
    if listed:
        yield from _cuts(paper.parts, paper.unit, wide)
    else:
        yield text("The sizes of the cuts stand on the cut ticket and the drawings of the rooms.", small=True)


def _cuts(parts: Sequence[CarpetPlan], unit: Unit, wide: float) -> Iterator[Block]:
    """Every cut by its number, in as many columns as go side by side."""
    rows = []
    for part in parts:
        numbers = part.plan.cut_numbers
        for each in sorted(part.plan.placed, key=lambda one: numbers[one.cut.name]):
            size = f"{write_length(each.cut.width_mm, unit)} x {write_length(each.cut.length_mm, unit)}"
            source = f", {each.source}" if each.source != ROLL else ""
            rows.append((str(numbers[each.cut.name]), f"{each.cut.name}{source}", size))
    if not rows:
        return
    across = max(1, int(wide / LIST_MM))
    deep = -(-len(rows) // across)
    columns = [rows[start : start + deep] for start in range(0, len(rows), deep)]
    empty = ("", "", "")
    lines = [sum((column[at] if at < len(column) else empty for column in columns), ()) for at in range(deep)]
    heads = ("cut", "for", "wide x long") * len(columns)
    yield set_table(heads, lines, (1.0, 3.6, 3.2) * len(columns), wide * len(columns) / across)
