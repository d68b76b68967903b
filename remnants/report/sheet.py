"""The sheet that goes to the floor as one PDF: cover, order of work, a page for each donor and patch, templates, customer."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from remnants.errors import NoPlan
from remnants.materials.cuts import cuts_of
from remnants.materials.lifting import piece_load
from remnants.materials.needs import Need, Stuff, needs_of
from remnants.materials.steps import Setting, Step, steps_of
from remnants.model import Job, Piece, Plan
from remnants.model.patch_attributes import PATCH_MORE
from remnants.report.code import code_area
from remnants.report.customer import Texts, customer_text
from remnants.report.flow import (
    Block,
    beside,
    bullets,
    caution,
    document,
    gap,
    heading,
    marks_block,
    new_page,
    table,
    text,
    title,
    together,
)
from remnants.report.needs_text import amount_text, strip_lines
from remnants.report.page import PageSize, room_mm
from remnants.report.pdf import Fonts, register
from remnants.report.plan_pages import PlanDrawn, patch_blocks, plan_pages
from remnants.report.templates import Tile, templates_of, tiles
from remnants.report.wording import VERDICTS, consents, extent_text, piece_line, sentence, spare_lines, where_text

__all__ = ["Backfill", "Sheet", "customer_pdf", "sheet_pdf"]

QR_MM = 26.0
_SILENT: Mapping[str, Any] = {attribute.field: attribute.usual for attribute in PATCH_MORE}
"""A patch without what is for the shop's own people."""


@dataclass(frozen=True)
class Backfill:
    """What may fill the holes in laid donors: a plan of its own, its job, and what is left to cut from, by tag."""

    plan: Plan
    job: Job
    pieces: Mapping[str, Piece]


@dataclass(frozen=True)
class Sheet:
    """What a sheet is made from. `link` is what the QR code holds; `backfill` goes with donors that are laid.

    `note` stands at the foot of each page, as that the data are invented.
    """

    plan: Plan
    job: Job
    setting: Setting
    texts: Texts
    link: str = ""
    backfill: Backfill | None = None
    note: str = ""


def sheet_pdf(sheet: Sheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The whole sheet as a PDF. The same sheet gives the same bytes.

    Raises NoPlan when the plan cuts nothing, NotFound when a donor is not among the pieces, BadFile when a text template
    names what there is not.
    """
    if not any(answer.parts for answer in sheet.plan.patches):
        raise NoPlan(f"the plan for {sheet.job.name} cuts nothing, so there is no sheet to make; fit the job from other stock")
    register(fonts)
    room = room_mm(size)
    blocks = [*_cover(sheet, room[0]), *_work(sheet), *_pictures(sheet.plan, sheet.job, sheet.setting, room)]
    if sheet.backfill:
        blocks += _backfill(sheet.backfill, sheet.setting, room)
    blocks += _templates(sheet, room)
    blocks += [new_page(), *_customer(sheet)]
    return document(blocks, size=size, name=sheet.job.name, note=sheet.note)


def customer_pdf(sheet: Sheet, fonts: Fonts, *, size: PageSize = PageSize.A4) -> bytes:
    """The customer's page alone. Raises as `sheet_pdf` for a template."""
    register(fonts)
    return document([*_customer(sheet), *_as_it_lies(sheet, room_mm(size))], size=size, name=sheet.job.name, note=sheet.note)


def _cover(sheet: Sheet, room: float) -> Iterator[Block]:
    plan, job, setting = sheet.plan, sheet.job, sheet.setting
    yield _titled_with_code(job.name, sheet.link or f"job {job.name}", room)
    yield text(f"{VERDICTS[plan.verdict].capitalize()}.")
    if plan.asking:
        yield together([heading("Ask first"), *bullets(consents(plan, setting.pieces))])
    rows = [
        (patch.name, extent_text(patch.ring, setting.unit), VERDICTS[answer.verdict].capitalize(), answer.reason)
        for patch, answer in zip(job.patches, plan.patches, strict=True)
    ]
    yield table(("patch", "net size", "can it be made?", "why"), rows, (3, 3, 3, 7), room)
    yield gap(1.5)
    yield from (text(line) for line in spare_lines(plan, job, setting.unit))
    yield heading("Donors")
    yield table(("piece", "what it is", "where", "about"), list(_donor_rows(sheet)), (2, 5, 4, 2), room)
    needs = needs_of(plan, job, rules=setting.rules, fixing=setting.fixing, unit=setting.unit)
    yield heading("Materials")
    yield table(
        ("what", "how much", "because", "source of the figure"), [_need_row(need, setting) for need in needs], (3, 3, 6, 5), room
    )
    for need in needs:
        if need.stuff is Stuff.STRIP:
            yield together([heading("Cut the strip"), *bullets(strip_lines(need, setting.unit))])


def _titled_with_code(name: str, link: str, room: float) -> Block:
    return beside(title(name), marks_block((code_area(link, QR_MM),), (QR_MM, QR_MM)), room, QR_MM)


def _donor_rows(sheet: Sheet) -> Iterator[tuple[str, ...]]:
    setting = sheet.setting
    for tag in dict.fromkeys(cut.piece for cut in cuts_of(sheet.plan)):
        piece = setting.pieces[tag]
        load = piece_load(piece, setting.styles.get(piece.style), setting.rules)
        where = where_text(piece, sheet.plan.asking)
        heavy = ", two people" if load.heavy else ""
        yield tag, f"{piece_line(piece)}, {extent_text(piece.outline.ring, setting.unit)}", where, f"{load.mass_kg:.1f} kg{heavy}"


def _need_row(need: Need, setting: Setting) -> tuple[str, str, str, str]:
    sources = "; ".join(f"{figure.value:g} {figure.unit}: {figure.source}" for figure in need.figures) or "measured"
    return need.stuff, amount_text(need, setting.unit), need.how, sources


def _work(sheet: Sheet) -> Iterator[Block]:
    yield new_page()
    yield title("Order of work")
    for number, step in enumerate(steps_of(sheet.plan, sheet.job, sheet.setting), start=1):
        yield from _step(number, step)


def _step(number: int, step: Step) -> Iterator[Block]:
    first, *rest = bullets(step.lines, "☐")
    yield together([heading(f"{number}. {step.title}"), *(caution(each.value.text) for each in step.cautions), first])
    yield from rest


def _pictures(plan: Plan, job: Job, setting: Setting, room: tuple[float, float]) -> Iterator[Block]:
    return plan_pages(PlanDrawn(plan, job, setting.pieces, setting.styles), unit=setting.unit, room=room)


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
        f"Full-size template for {tile.template.patch}, cut {numbers}: {place}. Heavy: net; dashed: cut. Seen from above. "
        "Lay neighbours over one another so that crosses of one name meet."
    )


def _backfill(backfill: Backfill, setting: Setting, room: tuple[float, float]) -> Iterator[Block]:
    plan, job = backfill.plan, backfill.job
    yield new_page()
    yield title("Backfill of the laid donor")
    yield text("What may fill the holes that the cuts leave on the donor's own floor, from the rest of the stock.")
    for patch, answer in zip(job.patches, plan.patches, strict=True):
        yield heading(f"{patch.name}: {VERDICTS[answer.verdict].lower()}")
        yield text(sentence(answer.reason))
        if answer.match is not None:
            yield text(sentence(f"match: {answer.match.sentence}"))
    if any(answer.parts for answer in plan.patches):
        yield from _pictures(plan, job, replace(setting, pieces=backfill.pieces), room)
    else:
        yield text("Nothing in stock fills them: agree with the customer what does.")


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


def _as_it_lies(sheet: Sheet, room: tuple[float, float]) -> Iterator[Block]:
    if any(answer.parts for answer in sheet.plan.patches):
        bare = {tag: replace(piece, place="", room="", customer="") for tag, piece in sheet.setting.pieces.items()}
        plan = replace(sheet.plan, patches=tuple(replace(answer, reason="") for answer in sheet.plan.patches), asking=())
        job = replace(sheet.job, patches=tuple(replace(patch, **_SILENT) for patch in sheet.job.patches))
        drawn = PlanDrawn(plan, job, bare, sheet.setting.styles)
        space, first, *rest = patch_blocks(drawn, unit=sheet.setting.unit, room=room)
        yield together([heading("How it lies"), space, first])
        yield from rest
