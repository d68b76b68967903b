"""A plan that was kept, proved anew: by the pieces that it names alone, as by all that there are."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remnants.actions import open_catalogue
from remnants.actions.change_piece import discard_piece
from remnants.actions.fit_job import fit_job
from remnants.actions.fitted import Fitted
from remnants.actions.log_pieces import log_pieces
from remnants.actions.make_sheet import held_plan, kept_plan
from remnants.errors import StockChanged
from remnants.model import Kind, MayUse, Plan
from remnants.store import pieces, styles
from tests.actions.test_fit_job import a_job
from tests.stock_values import SIGNED, a_piece, a_stock, a_style
from tests.thorough import share

TAGS = ("R-1", "R-2", "R-3", "H-1")


def cut_from(plan: Plan, tag: str) -> Plan:
    """The plan as somebody may have changed it in its file: cut from another piece."""
    patches = tuple(replace(made, parts=tuple(replace(part, piece=tag) for part in made.parts)) for made in plan.patches)
    return replace(plan, patches=patches)


def told(prove: Callable[[], Fitted]) -> str:
    """What is said against a plan, empty where it holds."""
    try:
        prove()
    except StockChanged as refused:
        return str(refused)
    return ""


@given(width=st.sampled_from([20, 30, 200]), gone=st.sampled_from(["", *TAGS]), cut=st.sampled_from(["", *TAGS, "R-9"]))
@settings(max_examples=share(36), deadline=None)
def test_by_the_pieces_that_it_names_a_plan_holds_where_it_does_by_all_of_them(width: float, gone: str, cut: str) -> None:
    with TemporaryDirectory() as folder, open_catalogue(Path(folder) / "stock.db", write=True) as catalogue:
        made = (a_piece("R-1"), a_piece("R-2", 36, 30), a_piece("R-3", 200, 300), a_piece("H-1", style="Harrow Twist"))
        log_pieces(catalogue, a_stock(*made, styles=(a_style(repeat=None, row_mm=None), a_style("Harrow Twist"))), signed=SIGNED)
        job = a_job(width=width)
        fitted = fit_job(catalogue, job)
        plan = cut_from(fitted.plan, cut) if cut else fitted.plan
        if gone:
            discard_piece(catalogue, gone, signed=SIGNED)
        by_named = told(lambda: kept_plan(catalogue, plan, fitted.job))
        there = {standing.piece.tag: standing.piece for standing in pieces.on_hand(catalogue)}
        by_name = styles.all_styles(catalogue)
        assert by_named == told(lambda: held_plan(plan, fitted.job, by_tag=there, by_name=by_name))
        used = {part.piece for answer in plan.patches for part in answer.parts}
        assert by_named or used <= set(kept_plan(catalogue, plan, fitted.job).pieces)


def test_only_the_pieces_that_a_plan_names_are_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page of a held job read every piece of the stock each time it was opened: 3 s at 100,000."""
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        made = (a_piece("R-2", 36, 30), a_piece("H-1", style="Harrow Twist"), a_piece("L-1", 38, 32, kind=Kind.LAID))
        log_pieces(catalogue, a_stock(*made, styles=(a_style(repeat=None, row_mm=None), a_style("Harrow Twist"))), signed=SIGNED)
        fitted = fit_job(catalogue, a_job())
        floor = fit_job(catalogue, replace(a_job(), use=("L-1",), may_use=frozenset(MayUse)))
        held = kept_plan(catalogue, floor.plan, floor.job)
        assert set(held.pieces) == {"R-2", "H-1", "L-1"}, "the hole in a floor may be filled from any"
        monkeypatch.setattr("remnants.store.pieces.on_hand", None)
        assert set(kept_plan(catalogue, fitted.plan, fitted.job).pieces) == {"R-2"}
