"""A job is cut from what it may use: the shop's own, this house's, and what it says."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_job import Fitted, fit_job, fit_offer, offer_in_hand
from remnants.actions.log_pieces import log_pieces
from remnants.actions.make_sheet import SheetWish, make_sheet, own_texts
from remnants.errors import BadInput
from remnants.exchange import Stock, answer_json, read_answer, read_job
from remnants.model import Job, Kind, Piece, Verdict
from remnants.report.customer import customer_text
from remnants.report.diagram import drawings
from remnants.report.plain import fit_text
from remnants.report.sheet_words import sheet_words
from remnants.units import Unit
from tests.stock_values import SIGNED, a_piece, a_stock, a_style

ATTIC = a_piece("K-1", 31, 21, kind=Kind.KEPT, place="Finch Row 12, attic", customer="C-9")
"""Snugger than anything else: it would be taken if its belonging played no part."""
LIVING_ROOM = a_piece("L-1", 32, 22, kind=Kind.LAID, place="Alder Court 7, living room")
ANOTHERS_CLOSET = a_piece("L-2", 31, 21, kind=Kind.LAID, place="Finch Row 12, closet")
CLOSET = a_piece("L-3", 33, 23, kind=Kind.LAID, place="Alder Court 7, hall closet")
SHELF = a_piece("R-1", 60, 60)


def a_job(**told: Any) -> Job:
    patch = {"name": "hall", "width": 30, "length": 20, "pile": 0, "edges": "free"}
    return read_job(json.dumps({"unit": "in", "job": "Alder Court 7, hall", "style": "Velder Loop", "patches": [patch], **told}))


def fitted(*pieces: Piece, **told: Any) -> Fitted:
    stock = a_stock(*pieces, styles=(a_style(repeat=None),))
    job = a_job(**told)
    return fit_offer(offer_in_hand(stock, job), job)


def donors(found: Fitted) -> set[str]:
    return {part.piece for patch in found.plan.patches for part in patch.parts}


def passed_over(found: Fitted) -> dict[str, str]:
    return {passed.piece: passed.reason for passed in found.plan.passed_over}


def test_the_shops_shelf_is_cut_and_nobody_elses_carpet() -> None:
    found = fitted(ATTIC, LIVING_ROOM, ANOTHERS_CLOSET, SHELF)
    assert donors(found) == {"R-1"}
    told = passed_over(found)
    assert told["K-1"].startswith("kept with another customer") and told["L-2"].startswith("laid in another house")
    assert told["L-1"].startswith("laid in this house where it is seen")
    assert "Finch" not in str(told) and "C-9" not in str(told)


def test_what_would_not_match_anyhow_is_told_so() -> None:
    other = a_piece("K-4", kind=Kind.KEPT, place="Finch Row 12, attic", colour="Claret")
    assert passed_over(fitted(other, SHELF, colour="Oatmeal"))["K-4"].startswith("another colour")


def test_the_jobs_own_closet_may_always_be_cut() -> None:
    assert donors(fitted(CLOSET)) == {"L-3"}


@pytest.mark.parametrize(
    ("piece", "allowance"), [(ATTIC, "other customers"), (LIVING_ROOM, "in view"), (ANOTHERS_CLOSET, "other houses")]
)
def test_what_is_left_alone_is_cut_where_the_job_says_so(piece: Piece, allowance: str) -> None:
    assert fitted(piece).plan.verdict is Verdict.NONE
    assert donors(fitted(piece, may_use=[allowance])) == {piece.tag}


ASKED = [
    (ATTIC, "other customers", "kept with C-9, who must be asked first", ""),
    (
        LIVING_ROOM,
        "in view",
        "so the customer must be asked first",
        "L-1 left a hole that everybody sees: fill",
    ),
    (
        ANOTHERS_CLOSET,
        "other houses",
        "whose people must be asked first",
        "L-2 left a hole in a floor of another house: fill it as agreed",
    ),
]


@pytest.mark.parametrize(("piece", "allowance", "told", "after"), ASKED)
def test_whom_to_ask_is_told_to_the_shop_first_and_never_to_the_customer(
    piece: Piece, allowance: str, told: str, after: str
) -> None:
    """Terminal, sheet, drawing, steps and answer file; an answer file names nobody."""
    found = fitted(piece, may_use=[allowance])
    sheet = make_sheet(found, SheetWish(own_texts(), backfill=False))
    first, *_, last = sheet_words(sheet).steps
    assert first.title == "Ask first" and told in first.lines[0]
    assert after in " ".join(last.lines)
    text = " ".join(fit_text(found.plan, found.job, found.pieces, found.styles).split())
    assert told in text and "kept with the customer" not in text
    (donor, _) = drawings(found.plan, found.job, pieces=found.pieces, styles=found.styles)
    assert "asked first" in str(donor) and "kept with the customer" not in str(donor)
    answer = answer_json(found.plan)
    (asking,) = answer["asking"]
    assert (asking["piece"], asking["may_use"]) == (piece.tag, allowance)
    assert "asked first" in asking["told"] and "C-9" not in asking["told"]
    assert read_answer(json.dumps(answer)).asking == found.plan.asking
    page = customer_text(found.plan, found.job, pieces=found.pieces, texts=own_texts(), unit=Unit.IN)
    assert "asked first" not in page and "C-9" not in page and "Finch" not in page


def test_where_nobody_has_to_be_asked_nothing_is_said_of_it() -> None:
    found = fitted(SHELF)
    assert "asking" not in answer_json(found.plan)
    assert "asked first" not in fit_text(found.plan, found.job, found.pieces, found.styles)


def test_a_no_tells_what_asking_would_help_and_names_nobody() -> None:
    short = fitted(ATTIC).plan.short[0].reason
    assert short.endswith("A piece kept with another customer would do: ask them first.")
    assert "Finch" not in short and "C-9" not in short
    assert fitted(LIVING_ROOM).plan.patches[0].reason.endswith("would do: ask whether it may be lifted.")
    # too small to help, and a floor of another house is nobody's to offer
    for useless in (a_piece("K-2", 10, 10, kind=Kind.KEPT, place="Finch Row 12, attic"), ANOTHERS_CLOSET):
        assert "would do" not in fitted(useless).plan.short[0].reason


def test_what_matches_and_is_left_alone_is_not_called_missing() -> None:
    assert "Nothing in stock that the job may use matches" in fitted(ANOTHERS_CLOSET).plan.short[0].reason


def test_what_is_avoided_gives_nothing_and_a_tag_nobody_has_is_told_with_the_nearest() -> None:
    assert donors(fitted(SHELF, CLOSET, avoid=["l-3"])) == {"R-1"}
    with pytest.raises(BadInput, match=r"avoid\[0\]: no piece has the tag 'R-01'; the nearest are R-1"):
        fitted(SHELF, avoid=["R-01"])


def test_a_house_that_nothing_lies_in_is_told() -> None:
    assert any("Alder Cuort 7" in note for note in fitted(CLOSET, SHELF, house="Alder Cuort 7").notes)
    assert not any("house" in note for note in fitted(CLOSET, SHELF, house="Alder Court 7").notes)


def test_what_is_taken_for_this_houses_is_told() -> None:
    nobody_says = a_piece("K-3", kind=Kind.KEPT, place="attic")
    assert any(note.startswith("K-3: taken for this house's") for note in fitted(nobody_says).notes)
    assert not any("taken for" in note for note in fitted(SHELF, nobody_says, avoid=["K-3"]).notes)


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        stock = Stock((a_style(repeat=None),), (ATTIC, LIVING_ROOM, ANOTHERS_CLOSET, SHELF))
        log_pieces(opened, stock, signed=SIGNED)
        yield opened


def test_the_catalogue_is_asked_the_same_way(catalogue: Catalogue) -> None:
    assert donors(fit_job(catalogue, a_job())) == {"R-1"}
    assert donors(fit_job(catalogue, a_job(avoid=["R-1"], may_use=["other customers"]))) == {"K-1"}
    with pytest.raises(BadInput, match="nearest are R-1"):
        fit_job(catalogue, a_job(avoid=["R-11"]))
    assert any("Finch Row 13" in note for note in fit_job(catalogue, a_job(house="Finch Row 13")).notes)


def test_a_hidden_floor_is_kept_as_it_was_told(catalogue: Catalogue) -> None:
    told = a_piece("L-9", kind=Kind.LAID, place="Alder Court 7, landing", hidden=True)
    log_pieces(catalogue, a_stock(told, styles=(a_style(repeat=None),)), signed=SIGNED)
    assert donors(fit_job(catalogue, a_job(avoid=["R-1"]))) == {"L-9"}


NARROW = a_piece("R-2", 20, 60)
"""Makes no patch whole: 20 in of the 30 in across."""


def test_what_must_be_used_is_used() -> None:
    assert donors(fitted(SHELF, CLOSET, use=["r-1"])) == {"R-1"}
    found = fitted(SHELF, NARROW, use=["R-2"])
    assert "R-2" in donors(found) and found.plan.verdict is Verdict.JOINED
    assert found.plan.patches[0].reason.startswith("The job says to use R-2. ")
    assert "No one piece" not in found.plan.patches[0].reason
    assert donors(fitted(SHELF, NARROW, CLOSET, use=["R-2", "L-3"])) == {"R-2", "L-3"}


def test_pins_find_their_patches() -> None:
    hall, den = ({"name": name, "width": 30, "length": 20, "pile": 0, "edges": "free"} for name in ("hall", "den"))
    big = a_piece("R-9", 200, 200)
    found = fitted(big, SHELF, NARROW, patches=[hall, den], use=["R-1", "R-2"])
    assert {"R-1", "R-2"} <= donors(found) and not found.plan.short


@pytest.mark.parametrize(
    ("piece", "why"),
    [
        (a_piece("R-8", 3, 3), "no way was found to cut R-8 (27 in short across the pile"),
        (a_piece("R-8", style="Harrow Twist"), "R-8 is not used: another style"),
        (a_piece("R-8", kind=Kind.KEPT, place="Finch Row 12, attic"), "R-8 is not used: kept with another customer"),
    ],
)
def test_what_must_be_used_and_can_not_is_told_with_the_reason(piece: Piece, why: str) -> None:
    found = fitted(SHELF, piece, use=["R-8"])
    assert donors(found) == {"R-1"}
    assert any(why in note for note in found.notes), found.notes
    assert why[3:] in found.plan.patches[0].reason, "an answer file has no notes"


def test_a_tag_that_no_piece_has_can_not_be_used() -> None:
    with pytest.raises(BadInput, match=r"use\[0\]: no piece has the tag 'K-12'; the nearest are"):
        fitted(SHELF, ATTIC, use=["K-12"])
    with pytest.raises(BadInput, match="say one of the two"):
        a_job(use=["R-1"], avoid=["r-1"])


def test_a_no_with_a_pin_is_told_in_full() -> None:
    found = fitted(a_piece("R-8", 3, 3), use=["R-8"])
    assert found.plan.verdict is Verdict.NONE
    assert "no way was found to cut R-8" in found.plan.short[0].reason.lower().replace("r-8", "R-8")


def test_the_customer_reads_seams_that_are_alike_once_and_each_line_begins_with_a_capital() -> None:
    found = fitted(SHELF, patches=[{"name": "hall", "width": 30, "length": 20, "pile": 0, "edges": "seam"}])
    page = customer_text(found.plan, found.job, pieces=found.pieces, texts=own_texts(), unit=Unit.IN)
    assert "- Hall (30 in × 20 in) is filled in one piece" in page and "- Hall is seamed to your carpet all round" in page
    assert page.count("2 seams with the floor, ") == 2 and "Seam with the floor" not in page
    assert "- 2 seams with the floor, 20 in each: " in page
