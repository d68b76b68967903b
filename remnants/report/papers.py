"""Three papers of an order, each for one reader: the customer's quote, the supplier's order, the installer's drawings."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from remnants.estimating import ROLL, Floors
from remnants.estimating.quote import Quote, QuoteLine
from remnants.estimating.roll_lengths import write_roll_length
from remnants.materials.cautions import Caution
from remnants.model.house_plan import CarpetPlan
from remnants.model.money import Per
from remnants.model.order_plan import OrderPlan
from remnants.model.price_list import Priced
from remnants.report.board import Paper
from remnants.report.flow import Block, bullets, caution, document, drawing_block, gap, heading, table, text, title, together
from remnants.report.order_view import room_drawing
from remnants.report.page import PageSize, room_mm
from remnants.report.pdf import Fonts, register
from remnants.report.plan_pages import key_blocks
from remnants.report.rolls_text import rolls_apart
from remnants.units import Unit, write_area, write_length

__all__ = [
    "PRICED",
    "OrderPaper",
    "called",
    "dated",
    "floors_pdf",
    "quote_pdf",
    "quote_rows",
    "stock_told",
    "supplier_pdf",
    "unpriced_told",
]

PRICED: Mapping[Priced, str] = {
    Priced.CARPET: "Carpet",
    Priced.UNDERLAY: "Underlay",
    Priced.STRIP: "Tack strip",
    Priced.TAPE: "Seam tape",
    Priced.BAR: "Door bar",
    Priced.LABOUR: "Laying",
    Priced.STAIRS: "Stairs (each step)",
    Priced.UPLIFT: "Old carpet taken up",
    Priced.VISIT: "Visit",
}
"""What is priced, as a customer reads it."""

BY: Mapping[Per, str] = {Per.M2: "m²", Per.FT2: "ft²", Per.YD2: "yd²", Per.M: "m", Per.FT: "ft", Per.YD: "yd", Per.EACH: ""}

TALLEST_MM = 110.0
"""Of a room, so that two go on a page."""


@dataclass(frozen=True)
class OrderPaper:
    """What the papers are made of: the order's name, the plan of each carpet, the reader's unit, the foot, the revision it is."""

    name: str
    parts: tuple[CarpetPlan, ...]
    unit: Unit
    day: str = ""
    note: str = ""
    revision: str = ""


def quote_pdf(paper: OrderPaper, quoted: Quote, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The customer's quote: what is laid where, each line with quantity and price, tax and total. No cut, margin or tag."""
    register(fonts)
    return _made(paper, f"Quote: {paper.name}", list(_quote(paper, quoted, room_mm(size)[0])), size, measured=False)


def supplier_pdf(paper: OrderPaper, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The supplier's order: which carpet, how wide, which lengths of which roll. No customer's room, no price."""
    register(fonts)
    return _made(paper, f"Order: {paper.name}", list(_supplier(paper, room_mm(size)[0])), size, measured=False)


def floors_pdf(paper: OrderPaper, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The installer's drawings: every room with its cuts' numbers, seams, doorways and pile, and which cut comes from where."""
    register(fonts)
    return _made(paper, f"Floors: {paper.name}", list(_floors(paper, room_mm(size))), size)


def _made(paper: OrderPaper, head: str, blocks: list[Block], size: PageSize, *, measured: bool = True) -> bytes:
    return document([title(head), *dated(paper), *blocks], size=size, name=head, note=paper.note, measured=measured)


def dated(paper: OrderPaper) -> list[Block]:
    """The revision and the day under a paper's title."""
    told = ". ".join(filter(None, (paper.revision, paper.day)))
    return [text(f"{told}.", small=True)] if told else []


def quote_rows(quoted: Quote) -> list[tuple[str, str, str, str]]:
    """What, how much, at which price, and the amount of each line."""
    return [
        (", ".join((PRICED[line.what], *filter(None, [line.style]))), _quantity(line), str(line.price), str(line.amount))
        for line in quoted.lines
    ]


def unpriced_told(quoted: Quote) -> str:
    """What the job takes and the quote leaves out, with commas between; "" for nothing."""
    several = any(line.style for line in quoted.lines)
    words = {what: PRICED[what].lower() for what in quoted.unpriced}
    if Priced.CARPET in words and several:
        words[Priced.CARPET] = ", ".join(f"carpet {style}".strip() for style in quoted.without)
    return ", ".join(words.values())


def stock_told(plans: Iterable[OrderPlan], unit: Unit) -> str:
    """What is cut from stock, which no quote prices: `8.00 m² from R-1, R-2`; "" for nothing. Never for customers."""
    cut = [placed for plan in plans for placed in plan.placed if placed.source != ROLL]
    area = sum(placed.cut.width_mm * placed.cut.length_mm for placed in cut)
    return f"{write_area(area, unit)} from {', '.join(sorted({placed.source for placed in cut}))}" if cut else ""


def _quantity(line: QuoteLine) -> str:
    return f"{float(line.quantity):.2f} {BY[line.by]}" if BY[line.by] else f"{float(line.quantity):.0f}"


def _quote(paper: OrderPaper, quoted: Quote, wide: float) -> Iterator[Block]:
    for part in paper.parts:
        name = called(part)
        yield heading(f"{name[:1].upper()}{name[1:]}" if name else "Laid in")
        rooms = [f"{room.name}: {_size(room.outline.bounds, paper.unit)}" for room in part.asked.rooms]
        flights = [(flight.name, flight.steps + len(flight.winders)) for flight in part.asked.stairs]
        rooms += [f"{name}: {steps} step{'s' * (steps != 1)}" for name, steps in flights]
        yield from bullets(rooms)
    yield heading("What it comes to")
    rows = [*quote_rows(quoted), ("Sum", "", "", str(quoted.net))]
    if quoted.tax_percent:
        rows.append((f"Tax, {float(quoted.tax_percent):g} %", "", "", str(quoted.tax)))
    rows.append(("Total", "", "", str(quoted.total)))
    yield table(("", "how much", "each", "amount"), rows, (3.0, 1.5, 1.5, 1.5), wide, ends=True)
    yield gap(2)
    if quoted.unpriced:
        yield text(f"Not in this price: {unpriced_told(quoted)}.")
    seams = sum(len(part.plan.seams) for part in paper.parts)
    found = "a good seam is tight and neat, and can still be found"
    yield text(f"It is laid with {seams} seam{'s' * (seams != 1)}; {found}." if seams else "It is laid without a seam.")


def called(part: CarpetPlan) -> str:
    """A carpet by what it is called in the house, and by its style, colour and lot."""
    told = _carpet(part.asked)
    return f"{part.carpet} ({told})" if part.carpet and told and part.carpet not in told else told or part.carpet


def _carpet(floors: Floors) -> str:
    wanted = floors.wanted
    return ", ".join(part for part in (wanted.style, wanted.colour, f"lot {wanted.lot}" if wanted.lot else "") if part)


def _size(box: tuple[float, float, float, float], unit: Unit) -> str:
    return f"{write_length(box[2] - box[0], unit)} x {write_length(box[3] - box[1], unit)}"


def _supplier(paper: OrderPaper, wide: float) -> Iterator[Block]:
    for part in paper.parts:
        yield heading(_carpet(part.asked) or part.carpet or "Carpet as agreed")
        yield from _ordered(part, paper.unit, wide)


def _ordered(part: CarpetPlan, unit: Unit, wide: float) -> Iterator[Block]:
    plan = part.plan
    if not plan.taken:
        yield text("Stock gives all of it: nothing is ordered.")
        return
    yield text(f"Width: {write_roll_length(plan.roll.width_mm, unit)}.")
    lot = part.asked.wanted.lot or "any, all of one"
    rows = [(each.name or "one", each.lot or lot, write_roll_length(each.ordered_mm, unit)) for each in plan.taken]
    yield table(("roll", "dye lot", "length, uncut"), rows, (2.0, 2.0, 2.0), wide)
    yield gap(2)
    yield text(f"In all {write_roll_length(plan.ordered_mm, unit)}.")
    lots = {each.lot for each in plan.taken}
    if len(plan.taken) > 1 and len(lots) == 1:
        yield text("All of one dye lot, rolls whose numbers follow one another.")
    yield text("Each length in one piece. Name the dye lot and the roll's number on the label of each.")
    repeat = plan.roll.repeat
    if repeat:
        across, along = (write_length(each, unit) for each in (repeat.across_mm, repeat.along_mm))
        yield text(f"Pattern repeat {across} across, {along} along.")


def _floors(paper: OrderPaper, room: tuple[float, float]) -> Iterator[Block]:
    yield text("The numbers are those on the backs of the cuts. Up is the same way in every room.")
    for part in paper.parts:
        yield from _laid(part, paper.unit, room)
    if any(each.source != ROLL for part in paper.parts for each in part.plan.placed):
        yield text("A cut from stock is named with its tag: check the tag before you lay it.")
    yield from (caution(each.value.text, small=True) for each in (Caution.OLD_FLOOR, Caution.KNIFE, Caution.IRON, Caution.PINS))


def _laid(part: CarpetPlan, unit: Unit, room: tuple[float, float]) -> Iterator[Block]:
    plan, numbers = part.plan, part.plan.cut_numbers
    first = [heading(f"Carpet: {called(part)}")] if part.carpet else []
    first += bullets(rolls_apart(plan))
    rooms = {each.name: each for each in plan.floors.rooms}
    sheet = Paper(room[0], TALLEST_MM, 0.5, keyed=False)
    for laying in plan.layings:
        if laying.room in rooms:
            drawing = room_drawing(rooms[laying.room], laying, plan.placed, numbers, unit=unit, paper=sheet)
            yield together([*first, drawing_block(drawing), *key_blocks(drawing)])  # no heading stays behind on the page before
            first = []
    yield from first
    stairs = [each for each in plan.placed if each.cut.net is None]
    if stairs:
        yield heading("Stairs")
        cells = [
            (str(numbers[each.cut.name]), each.cut.name, f"{each.cut.steps}", each.source or "roll",
             f"{write_length(each.cut.width_mm, unit)} x {write_length(each.cut.length_mm, unit)}")
            for each in stairs
        ]  # fmt: skip
        yield table(("cut", "for", "steps", "from", "size"), cells, (1.0, 3.0, 1.0, 2.0, 3.0), room[0])
