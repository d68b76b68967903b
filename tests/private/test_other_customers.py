"""The law: whatever is made for one customer's job holds no word of another customer."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_job import Fitted, fit_job
from remnants.actions.keep_job import hold_job
from remnants.actions.log_pieces import log_pieces
from remnants.actions.make_sheet import SheetWish, fonts, make_sheet, own_texts
from remnants.actions.why_not import why_not_of
from remnants.exchange import answer_json, read_job
from remnants.model import Kind, Verdict
from remnants.report.customer import customer_text
from remnants.report.cut_tags import tags_pdf
from remnants.report.diagram import write_svgs
from remnants.report.job_csv import job_csv
from remnants.report.plain import fit_text
from remnants.report.sheet import customer_pdf, sheet_pdf
from remnants.units import Unit
from tests.report.sheets import pages
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

MARK = "Quillmark"
"""Stands in every private field of the other customer's pieces."""
TODAY = date(2031, 5, 4)


def others(**told: Any) -> list[Any]:
    """What the other customer has: in an attic, in a closet, and a remnant of the shop's that lies with them."""
    place, room, reference = f"{MARK} Row 12, {MARK} attic", f"{MARK} den", f"{MARK}-9"
    private = {"place": place, "room": room, "customer": reference, **told}
    return [
        a_piece("K-1", 50, 50, kind=Kind.KEPT, **private),
        a_piece("L-1", 50, 50, kind=Kind.LAID, **private | {"hidden": True}),
        a_piece("R-9", 50, 50, **private | {"place": f"{MARK} loft"}),
        a_piece("K-2", 9, 9, kind=Kind.KEPT, **private),
    ]


OURS = a_piece("R-1", 25, 60)
CLOSET = a_piece("L-5", 45, 16, kind=Kind.LAID, place="Alder Court 7, hall closet")


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        log_pieces(opened, a_stock(*others(), OURS, CLOSET, styles=(a_style(repeat=None),)), signed=SIGNED)
        opened_for = ask("Velder Loop", 3, 3, job=f"{MARK} Row 12, den", may_use=["other customers"], use=["K-2"])
        hold_job(opened, fit_job(opened, opened_for, today=TODAY), until=date(2031, 6, 1), signed=SIGNED)
        shelf = ask("Velder Loop", 3, 3, job=f"{MARK} Row 12, hall", use=["R-7"])
        log_pieces(opened, a_stock(a_piece("R-7", 30, 30), styles=(a_style(repeat=None),)), signed=SIGNED)
        hold_job(opened, fit_job(opened, shelf, today=TODAY), until=date(2031, 6, 1), signed=SIGNED)
        yield opened


def ask(style: str, width: float, length: float, **told: Any) -> Any:
    patch = {"name": "hall", "width": width, "length": length, "pile": 0, "edges": ["seam", "wall", "transition", "seam"]}
    asked = {"unit": "in", "job": "Alder Court 7, hall", "style": style, "min_part": 4, "patches": [patch], **told}
    return read_job(json.dumps(asked))


def everything(fitted: Fitted) -> Iterator[tuple[str, str]]:
    """Every output of a job, as text."""
    plan, job = fitted.plan, fitted.job
    yield "answer", json.dumps(answer_json(plan), ensure_ascii=False)
    yield "text", fit_text(plan, job, fitted.pieces, fitted.styles, unit=Unit.IN, width=200, styled=False)
    yield "notes", "\n".join(fitted.notes)
    yield "lines", job_csv(plan, unit=Unit.IN)
    yield from write_svgs(plan, job, pieces=fitted.pieces, styles=fitted.styles, unit=Unit.IN).items()
    yield from customers_own(fitted)
    if any(patch.parts for patch in plan.patches):
        sheet = make_sheet(fitted, SheetWish(own_texts(), unit=Unit.IN))
        yield "sheet", text_of(sheet_pdf(sheet, fonts()))
        yield "tags", text_of(tags_pdf(sheet, fonts()))


def customers_own(fitted: Fitted) -> Iterator[tuple[str, str]]:
    """What is made for the customer to read."""
    yield (
        "customer's text",
        customer_text(fitted.plan, fitted.job, pieces=fitted.pieces, texts=own_texts(), unit=Unit.IN),
    )
    if any(patch.parts for patch in fitted.plan.patches):
        yield "customer's page", text_of(customer_pdf(make_sheet(fitted, SheetWish(own_texts(), unit=Unit.IN)), fonts()))


def text_of(pdf: bytes) -> str:
    return " ".join(page.text for page in pages(pdf))


@pytest.mark.parametrize(
    ("asked", "verdict"),
    [
        (ask("Velder Loop", 20, 20), Verdict.WHOLE),
        (ask("Velder Loop", 40, 11), Verdict.WHOLE),  # from the closet, which is made good
        (ask("Velder Loop", 38, 20), Verdict.JOINED),
        (ask("Velder Loop", 48, 48), Verdict.NONE),  # a piece of the other customer would do
        (ask("Velder Loop", 80, 80), Verdict.NONE),
        (ask("Harrow", 20, 20), Verdict.NONE),
        (ask("Velder Loop", 20, 20, house=f"{MARK[:-1]} Row 12"), Verdict.WHOLE),
    ],
)
def test_nothing_made_for_a_customer_holds_a_word_of_another(catalogue: Catalogue, asked: Any, verdict: Verdict) -> None:
    fitted = fit_job(catalogue, asked, today=TODAY)
    assert fitted.plan.verdict is verdict, fitted.plan.patches[0].reason
    assert [name for name, text in everything(fitted) if MARK.casefold() in text.casefold()] == []


def test_what_would_help_and_why_a_piece_is_not_the_choice_name_nobody(catalogue: Catalogue) -> None:
    job = ask("Velder Loop", 44, 44)
    fitted = fit_job(catalogue, job, today=TODAY, ways=True)
    assert "other customers" in {change.kind.value for each in fitted.bargains.found for change in each.changes}
    for tag in ("K-1", "L-1", "R-9", "K-2", "R-7"):
        why = why_not_of(catalogue, job, tag, fitted.plan, today=TODAY)
        told = answer_json(fitted.plan, fitted.ways, bargains=fitted.bargains, measure=fitted.measure, why_not=why)
        assert MARK.casefold() not in json.dumps(told, ensure_ascii=False).casefold(), why.sentence


def test_a_note_on_a_patch_is_told_to_who_cuts_and_not_to_the_customer(catalogue: Catalogue) -> None:
    job = ask("Velder Loop", 20, 20)
    noted = replace(job, patches=tuple(replace(patch, note="mind the cat") for patch in job.patches))
    fitted = fit_job(catalogue, noted, today=TODAY)
    told = [name for name, text in everything(fitted) if "mind the cat" in text]
    assert told == ["text", "patch-hall.svg", "sheet"]
    sheet = dict(everything(fitted))["sheet"]
    assert sheet.count("mind the cat") == 1, "on the patch's page, and not on the customer's"


@pytest.mark.parametrize("tag", ["K-1", "L-1", "R-9"])
def test_what_a_customer_reads_names_nobody_even_where_another_gave_carpet(catalogue: Catalogue, tag: str) -> None:
    asked = ask("Velder Loop", 40, 40, may_use=["other customers", "other houses"], use=[tag])
    fitted = fit_job(catalogue, asked, today=TODAY)
    assert {part.piece for patch in fitted.plan.patches for part in patch.parts} == {tag}
    told = dict(customers_own(fitted))
    assert [name for name, text in told.items() if MARK.casefold() in text.casefold()] == []
    page = told["customer's text"]
    assert "somebody else let us have" in page
    assert "you kept" not in page and "your own floor" not in page and "The rest of" not in page


def test_a_patch_that_stays_open_beside_one_that_asking_fills_names_nobody(catalogue: Catalogue) -> None:
    """44 in are made from what the other customer has, 80 in from nothing; the nearest miss is theirs too."""
    two = [{"name": name, "width": side, "length": side, "pile": 0} for name, side in (("hall", 44), ("den", 80))]
    fitted = fit_job(catalogue, ask("Velder Loop", 1, 1, patches=two), today=TODAY, ways=True)
    (bargain,) = fitted.bargains.found
    assert bargain.sentence == "Ask another customer for a piece kept with them, and K-1 makes hall; den stays open."
    told = answer_json(fitted.plan, fitted.ways, bargains=fitted.bargains)
    assert MARK.casefold() not in json.dumps(told, ensure_ascii=False).casefold()
