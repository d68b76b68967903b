"""Asking the catalogue for a job: names forgiven, donors left out, nothing changed."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_job import Fitted, fit_job, fit_offer, offer_of
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_job
from remnants.model import Finish, Job, Verdict
from tests.stock_values import SIGNED, a_piece, a_stock, a_style


def a_job(style: str = "Velder Loop", width: float = 30, length: float = 20) -> Job:
    patch = {"name": "hall", "width": width, "length": length, "pile": 0}
    return read_job(json.dumps({"unit": "in", "job": "Alder Court 7", "style": style, "patches": [patch]}))


def donors(fitted: Fitted) -> set[str]:
    return {part.piece for patch in fitted.plan.patches for part in patch.parts}


@pytest.fixture
def catalogue(tmp_path: Path) -> Iterator[Catalogue]:
    with open_catalogue(tmp_path / "stock.db", write=True) as opened:
        pieces = (a_piece("R-1"), a_piece("R-2", 36, 30), a_piece("H-1", style="Harrow Twist"))
        log_pieces(opened, a_stock(*pieces, styles=(a_style(repeat=None, row_mm=None), a_style("Harrow Twist"))), signed=SIGNED)
        yield opened


def test_a_misspelt_style_is_found_and_told(catalogue: Catalogue) -> None:
    fitted = fit_job(catalogue, a_job("veldr loop"))
    assert fitted.plan.verdict is Verdict.WHOLE
    assert donors(fitted) == {"R-2"}, "the smaller of the two spares more"
    assert "Velder Loop" in fitted.notes[0]


def test_what_is_left_out_is_not_cut(catalogue: Catalogue) -> None:
    assert donors(fit_job(catalogue, a_job(), without={"R-2"})) == {"R-1"}
    assert fit_job(catalogue, a_job(), without={"R-1", "R-2"}).plan.verdict is Verdict.NONE


def test_leaving_pieces_out_of_an_offer_is_asking_without_them(catalogue: Catalogue) -> None:
    offer = offer_of(catalogue, a_job())
    for tags in ((), ("R-2",), ("R-1", "R-2")):
        assert fit_offer(offer.but(tags), a_job()) == fit_job(catalogue, a_job(), without=tags)


def test_a_style_that_nobody_has_fits_nothing_and_says_so(catalogue: Catalogue) -> None:
    fitted = fit_job(catalogue, a_job("Quorl"))
    assert fitted.plan.verdict is Verdict.NONE and "Quorl" in fitted.plan.short[0].reason


def test_a_pattern_is_not_ignored_without_a_word(catalogue: Catalogue) -> None:
    """Nobody told where the pattern lies in the room: it isn't met at the seams with the floor, and the answer says so."""
    job = a_job("Harrow Twist")
    told = [note for note in fit_job(catalogue, job).notes if "pattern of Harrow Twist" in note]
    assert len(told) == 1 and told[0].startswith("hall: ") and "lower left corner" in told[0]
    (patch,) = job.patches
    walled = replace(job, patches=(replace(patch, edges=(Finish.WALL,) * 4),))
    for other in (walled, replace(job, patches=(replace(patch, motif=(0.0, 0.0)),)), a_job()):
        assert not [note for note in fit_job(catalogue, other).notes if "pattern" in note]


def test_no_style_asks_for_any(catalogue: Catalogue) -> None:
    assert fit_job(catalogue, a_job(""), without={"R-1", "R-2"}).plan.verdict is Verdict.WHOLE


def test_asking_changes_nothing(catalogue: Catalogue) -> None:
    before = list(catalogue.query("SELECT * FROM piece"))
    fit_job(catalogue, a_job())
    assert list(catalogue.query("SELECT * FROM piece")) == before
