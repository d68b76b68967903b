"""An order on paper: figures side by side, cuts, seams, what is left over, roll, rooms and repairs drawn, cautions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.table import Table

from remnants.estimating import OrderPlan
from remnants.materials.cautions import Caution
from remnants.report.board import Paper
from remnants.report.drawing import Drawing
from remnants.report.flow import Block, bullets, caution, document, drawing_block, heading, new_page, text, title
from remnants.report.order_text import OrderParts
from remnants.report.order_view import order_drawings
from remnants.report.page import PageSize, room_mm
from remnants.report.pdf import Fonts, register
from remnants.report.plan_pages import PlanDrawn, key_blocks, plan_pages
from remnants.report.tables import table_block
from remnants.units import Unit

__all__ = ["CarpetSheet", "OrderSheet", "order_pdf"]

TALLEST_MM = (170.0, 130.0, 100.0, 70.0)
"""Heights tried for the carpet on its page until dimensions and heading go on it too."""


@dataclass(frozen=True)
class CarpetSheet:
    """One carpet's tables, the plan to draw, and notes (what names were taken for, how repairs are made).

    `carpet` is what it is called, "" for a house's only one; `repairs` are the plans from stock, drawn as on a job's sheet.
    """

    carpet: str
    parts: OrderParts
    plan: OrderPlan
    notes: tuple[str, ...] = ()
    repairs: tuple[PlanDrawn, ...] = ()


@dataclass(frozen=True)
class OrderSheet:
    """What the paper holds: each carpet's order, and of several what all come to in `total`.

    `note` stands at the foot of each page, as that the data are invented.
    """

    name: str
    carpets: tuple[CarpetSheet, ...]
    unit: Unit
    day: str = ""
    note: str = ""
    total: Table | None = None


def order_pdf(sheet: OrderSheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The order as a PDF. The same order gives the same bytes."""
    register(fonts)
    return document(list(_blocks(sheet, room_mm(size))), size=size, name=sheet.name, note=sheet.note)


def _blocks(sheet: OrderSheet, room: tuple[float, float]) -> Iterator[Block]:
    for index, carpet in enumerate(sheet.carpets):
        if index:
            yield new_page()
        yield title(", ".join(filter(None, (sheet.name, carpet.carpet))))
        if sheet.total is not None and not index:
            yield heading("In all")
            yield table_block(sheet.total, room[0])
        yield from _of_carpet(sheet, carpet, room)


def _of_carpet(sheet: OrderSheet, carpet: CarpetSheet, room: tuple[float, float]) -> Iterator[Block]:
    parts = carpet.parts
    yield text(f"{parts.headline[:1].upper()}{parts.headline[1:]}." + (f" Worked out on {sheet.day}." if sheet.day else ""))
    yield from bullets(carpet.notes)
    yield heading("Side by side")
    yield table_block(parts.figures, room[0])
    yield from (text(line) for line in parts.said)
    named = (
        ("Choices, all from the roll", parts.choices),
        ("Cuts", parts.cuts),
        ("Seams", parts.seams),
        ("Left over", parts.leftovers),
        ("Other roll widths", parts.widths),
    )
    for words, each in named:
        if each:
            yield heading(words)
            yield table_block(each, room[0])
    if not parts.seams:
        yield text("No seams.")
    yield from (text(passed, small=True) for passed in parts.passed_over)
    yield from (caution(each.value.text) for each in (Caution.TWO_PEOPLE, Caution.ROLLS, Caution.OLD_FLOOR, Caution.KNIFE))
    yield text(
        "How a seam will show is judged by trade habit, not measured. Local codes and licensed practice come first.", small=True
    )
    for drawing in _fitting(carpet.plan, sheet.unit, room):
        yield new_page()
        yield drawing_block(drawing)
        yield from key_blocks(drawing)
    for repair in carpet.repairs:
        if any(answer.parts for answer in repair.plan.patches):
            yield from plan_pages(repair, unit=sheet.unit, room=room, above=f"Repair from stock: {repair.job.name}")


def _fitting(plan: OrderPlan, unit: Unit, room: tuple[float, float]) -> Sequence[Drawing]:
    """Each drawing as tall as goes on a page with its heading and dimensions."""
    best: list[Drawing] = []
    for tallest in TALLEST_MM:
        paper = Paper(room[0], tallest, 0.5, keyed=False)
        made = order_drawings(plan, unit=unit, paper=paper)
        best = [old if old.height_mm <= room[1] - 10 else new for old, new in zip(best or made, made, strict=True)]
        if all(each.height_mm <= room[1] - 10 for each in best):
            break
    return best
