"""The cut ticket on paper, for the warehouse: each roll on a page of its own, with its lengths, its cuts and the roll drawn."""

from collections.abc import Iterator
from dataclasses import dataclass

from remnants.estimating import Taken
from remnants.materials.cautions import Caution
from remnants.model.house_plan import CarpetPlan
from remnants.report.board import Paper
from remnants.report.flow import Block, caution, document, drawing_block, gap, heading, new_page, taken_mm, text, title, together
from remnants.report.order_view import roll_drawing
from remnants.report.page import PageSize, room_mm
from remnants.report.pdf import Fonts, register
from remnants.report.tables import table_block
from remnants.report.ticket_text import RollTicket, from_stock, ticket
from remnants.units import Unit

__all__ = ["TicketSheet", "ticket_pdf"]

HEIGHTS_MM = (170.0, 130.0, 100.0, 80.0, 60.0, 45.0, 35.0)
"""Heights tried for the roll, the tallest first, until it goes on the page of its tables."""


@dataclass(frozen=True)
class TicketSheet:
    """What the ticket holds: the order's name, the plan of each carpet, and what is to be said beside it."""

    name: str
    parts: tuple[CarpetPlan, ...]
    unit: Unit
    day: str = ""
    note: str = ""
    revision: str = ""


def ticket_pdf(sheet: TicketSheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The ticket as a PDF, a page for each roll where it goes on one. The same ticket gives the same bytes."""
    register(fonts)
    blocks: list[Block] = []
    for part in sheet.parts:
        blocks += [new_page()] if blocks else []
        blocks += _of_carpet(sheet, part, room_mm(size))
    return document(blocks, size=size, name=f"Cut ticket, {sheet.name}", note=sheet.note)


def _of_carpet(sheet: TicketSheet, part: CarpetPlan, room: tuple[float, float]) -> list[Block]:
    blocks: list[Block] = []
    for index, (taken, told) in enumerate(zip(part.plan.taken, ticket(part.plan, sheet.unit), strict=True)):
        blocks += [new_page()] if index else []
        blocks += _page(sheet, part, (taken, told), room)
    if not blocks:
        named = f"{part.carpet}: stock" if part.carpet else "Stock"
        blocks = [title(f"Cut ticket: {sheet.name}"), text(f"{named} gives all of it: no roll is cut.")]
    pieces = from_stock(part.plan, sheet.unit)
    if pieces:
        shown = [heading("Cut from stock"), table_block(pieces, room[0]), gap(2), caution(Caution.KNIFE.value.text, small=True)]
        blocks.append(together(shown))
    return blocks


def _page(sheet: TicketSheet, part: CarpetPlan, of: tuple[Taken, RollTicket], room: tuple[float, float]) -> list[Block]:
    taken, told = of
    blocks = list(_words(sheet, part, told, room[0]))
    left = room[1] - taken_mm(list(_words(sheet, part, told, room[0])), room[0]) - 2.0
    drawn = [
        roll_drawing(part.plan, taken, sheet.unit, paper=Paper(room[0], height, 0.5, keyed=False, headed=False), crosscuts=True)
        for height in HEIGHTS_MM
    ]
    fitting = next((drawing for drawing in drawn if drawing.height_mm <= left), None)
    return [*blocks, *([drawing_block(fitting)] if fitting else [new_page(), drawing_block(drawn[0])])]


def _words(sheet: TicketSheet, part: CarpetPlan, told: RollTicket, wide: float) -> Iterator[Block]:
    yield title(f"Cut ticket: {sheet.name}")
    name = f"{part.carpet}: {told.name}" if part.carpet else f"{told.name[:1].upper()}{told.name[1:]}"
    yield text(
        f"{name}." + (f" {sheet.revision}." if sheet.revision else "") + (f" Worked out on {sheet.day}." if sheet.day else "")
    )
    yield from (text(line) for line in told.first)
    yield heading("Lengths off the roll, in order")
    yield table_block(told.lengths, wide)
    yield heading("Then from each length")
    yield table_block(told.cuts, wide)
    yield heading("The knife, stroke by stroke")
    yield table_block(told.strokes, wide)
    yield gap(2)
    yield from (caution(each.value.text, small=True) for each in (Caution.TWO_PEOPLE, Caution.ROLLS, Caution.KNIFE))
    yield text("Mark each cut's number on its back. The pile of every cut lies as it does on the roll.", small=True)
