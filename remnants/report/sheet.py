"""What goes to the floor as one PDF: a bench card for each donor, lay and order of work, materials, templates, customer."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from remnants.errors import NoPlan
from remnants.materials.cuts import cuts_of
from remnants.materials.steps import Setting
from remnants.model import Job, Piece, Plan
from remnants.model.picture import RepairPicture
from remnants.report.bench_card import Carded, bench_cards
from remnants.report.customer import Texts, customer_text
from remnants.report.customer_view import customer_view
from remnants.report.flow import (
    Block,
    bullets,
    document,
    gap,
    heading,
    marks_block,
    new_page,
    picture_block,
    text,
    title,
    together,
)
from remnants.report.page import PageSize, room_mm
from remnants.report.pdf import Fonts, register
from remnants.report.plan_pages import PlanDrawn, patch_blocks
from remnants.report.templates import Tile, templates_of, tiles
from remnants.report.wording import VERDICTS, sentence
from remnants.report.work_pages import lay_blocks, work_blocks

__all__ = ["Backfill", "Sheet", "customer_pdf", "sheet_pdf"]

DRAWN = "a drawing, not a promise; the new carpet is laid into the photograph of the floor, seen from above"
TRUE = "New carpet is shown at its true size and as it will lie. Its shade is only as true as two photographs and a printer are."
PICTURE_WIDE, PICTURE_HIGH = 0.75, 0.5
"""The shares of a page's width and height that a picture of the repair takes at most."""


@dataclass(frozen=True)
class Backfill:
    """What may fill the holes in laid donors: a plan of its own, its job, and what is left to cut from, by tag."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]


@dataclass(frozen=True)
class Sheet:
    """What a sheet is made from. `link` is what the QR code holds; `backfill` goes with donors that are laid.

    `note` stands at the foot of each page, as that the data are invented. With `back` the cards are for cutting from the back.
    `repairs` are shown to the customer.
    """

    plan: Plan
    job: Job
    setting: Setting
    texts: Texts
    link: str = ""
    backfill: Backfill | None = None
    note: str = ""
    back: bool = False
    repairs: tuple[RepairPicture, ...] = ()


def sheet_pdf(sheet: Sheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The whole sheet as a PDF. The same sheet gives the same bytes.

    Raises NoPlan when the plan cuts nothing, NotFound when a donor is not among the pieces, BadFile when a text template
    names what there is not.
    """
    if not any(answer.parts for answer in sheet.plan.patches):
        raise NoPlan(f"the plan for {sheet.job.name} cuts nothing, so there is no sheet to make; fit the job from other stock")
    register(fonts)
    room = room_mm(size)
    drawn = PlanDrawn(sheet.plan, sheet.job, sheet.setting.pieces, sheet.setting.styles)
    blocks = [
        *bench_cards(Carded(sheet.plan, sheet.job, sheet.setting, sheet.link, sheet.back), room),
        *work_blocks(drawn, sheet.setting, room),
    ]
    if sheet.backfill:
        blocks += _backfill(sheet.backfill, sheet.setting, room, back=sheet.back)
    blocks += _templates(sheet, room)
    blocks += [new_page(), *_customer(sheet), *_as_it_may_look(sheet, room)]
    return document(blocks, size=size, name=sheet.job.name, note=sheet.note)


def customer_pdf(sheet: Sheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The customer's page alone. Raises as `sheet_pdf` for a template."""
    register(fonts)
    room = room_mm(size)
    blocks = [*_customer(sheet), *_as_it_may_look(sheet, room), *_as_it_lies(sheet, room)]
    return document(blocks, size=size, name=sheet.job.name, note=sheet.note)


def _templates(sheet: Sheet, room: tuple[float, float]) -> Iterator[Block]:
    piles = [patch.pile_deg for patch in sheet.job.patches]
    page = (room[0], room[1] - 16.0)
    for template in templates_of(cuts_of(sheet.plan), piles, sheet.setting.rules.template.value):
        for tile in tiles(template, page):
            yield new_page()
            yield text(_tile_words(tile), small=True)
            yield marks_block(tile.marks, page)


def _tile_words(tile: Tile) -> str:
    numbers = ", ".join(str(number) for number in tile.template.numbers)
    place = f"row {tile.row} of {tile.rows} from the bottom, column {tile.column} of {tile.columns}"
    return (
        f"Full-size template for {tile.template.patch}, cut {numbers}: {place}. Heavy: net; dashed: cut. "
        "Seen from the pile side; turn it over to cut from the back. "
        "Lay neighbours over one another so that crosses of one name meet."
    )


def _backfill(backfill: Backfill, setting: Setting, room: tuple[float, float], *, back: bool) -> Iterator[Block]:
    plan, job = backfill.plan, backfill.job
    said = list(_backfill_words(plan, job))
    yield new_page()
    if any(answer.parts for answer in plan.patches):
        filled = replace(setting, pieces=backfill.pieces)
        yield from bench_cards(Carded(plan, job, filled, back=back), room, said)
        yield from lay_blocks(PlanDrawn(plan, job, filled.pieces, filled.styles), filled, room)
    else:
        yield from said
        yield text("Nothing in stock fills them: agree with the customer what does.")


def _backfill_words(plan: Plan, job: Job) -> Iterator[Block]:
    yield title("Backfill of the laid donor")
    yield text("What may fill the holes that the cuts leave on the donor's own floor, from the rest of the stock.", small=True)
    for patch, answer in zip(job.patches, plan.patches, strict=True):
        yield heading(f"{patch.name}: {VERDICTS[answer.verdict].lower()}", small=True)
        match = answer.match.sentence if answer.match is not None and answer.match.sentence not in answer.reason else ""
        yield text(" ".join(sentence(told) for told in (answer.reason, f"match: {match}" if match else "") if told), small=True)


def _customer(sheet: Sheet) -> Iterable[Block]:
    setting = sheet.setting
    told = customer_text(sheet.plan, sheet.job, pieces=setting.pieces, texts=sheet.texts, unit=setting.unit)
    for line in told.splitlines():
        stripped = line.strip()
        if stripped.startswith("## "):
            yield heading(stripped[3:])
        elif stripped.startswith("# "):
            yield title(stripped[2:])
        elif stripped.startswith("- "):
            yield from bullets([stripped[2:]])
        elif stripped:
            yield text(stripped)
        else:
            yield gap(1.5)


def _as_it_may_look(sheet: Sheet, room: tuple[float, float]) -> Iterator[Block]:
    """Each repair as it was drawn, with its words on the same page."""
    for number, repair in enumerate(sheet.repairs):
        head = [heading("As it may look")] if number == 0 else []
        told = [sentence(f"{repair.patch}: {DRAWN}"), *map(sentence, repair.notes), TRUE]
        shown = picture_block(repair.picture, (room[0] * PICTURE_WIDE, room[1] * PICTURE_HIGH))
        yield together([*head, shown, gap(1.5), *(text(line, small=True) for line in told)])


def _as_it_lies(sheet: Sheet, room: tuple[float, float]) -> Iterator[Block]:
    if any(answer.parts for answer in sheet.plan.patches):
        seen = customer_view(sheet.plan, sheet.job, sheet.setting.pieces)
        drawn = PlanDrawn(seen.plan, seen.job, seen.pieces, sheet.setting.styles)
        space, first, *rest = patch_blocks(drawn, unit=sheet.setting.unit, room=room)
        yield together([heading("How it lies"), space, first])
        yield from rest
