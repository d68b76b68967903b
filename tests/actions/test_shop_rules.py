"""The shop's rules: set all together or not at all, and a year of its own patches in place of the size to keep."""

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_plan
from remnants.actions.log_pieces import log_pieces
from remnants.actions.shop_rules import change_rules, rules_in_force
from remnants.errors import BadInput
from remnants.exchange import read_job, read_stock
from remnants.ledger import Signed
from remnants.rules import ShopRules
from remnants.units import Unit
from tests.stock_values import SIGNED

IN = 25.4
DAY = SIGNED.at.date()


def a_shop(folder: Path) -> Path:
    path = folder / "stock.db"
    piece = {"tag": "R-1", "kind": "remnant", "style": "Velder Loop", "pile": 0, "width": 144, "length": 400}
    with open_catalogue(path, write=True) as catalogue:
        log_pieces(catalogue, read_stock(json.dumps({"unit": "in", "pieces": [piece]})), signed=SIGNED)
    return path


def cut(catalogue: Catalogue, name: str, width_in: float, length_in: float, *, days_ago: int = 0) -> None:
    patch = {"name": "hall", "width": width_in - 2, "length": length_in - 2, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": name, "style": "Velder Loop", "allowance": {"seam": 1}, "patches": [patch]}
    signed = Signed("Ana", SIGNED.at - timedelta(days=days_ago))
    cut_plan(catalogue, fit_job(catalogue, read_job(json.dumps(asked)), today=signed.at.date()), signed=signed)


def test_a_new_shop_works_by_what_is_usual(tmp_path: Path) -> None:
    with open_catalogue(a_shop(tmp_path), write=False) as catalogue:
        found = rules_in_force(catalogue, today=DAY)
    assert found.rules == ShopRules()
    assert "holds 12 in × 18 in" in found.keep_words(Unit.IN)


def test_rules_are_set_together_and_told_with_who_and_when(tmp_path: Path) -> None:
    with open_catalogue(a_shop(tmp_path), write=True) as catalogue:
        change_rules(catalogue, {"hold_days": "21", "keep_short": "14 in"}, unit=Unit.CM, signed=Signed("Maud", SIGNED.at))
        found = rules_in_force(catalogue, today=DAY)
        assert found.rules.hold_days == 21
        assert found.rules.keep.short_mm == pytest.approx(14 * IN)
        assert (found.own["hold_days"].who, found.own["hold_days"].at) == ("Maud", SIGNED.at)
        change_rules(catalogue, {"hold_days": "usual"}, unit=Unit.CM, signed=SIGNED)
        assert rules_in_force(catalogue, today=DAY).rules.hold_days == 14


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("hold_days", "0", "give 1 day to 366 days"),
        ("hold_days", "a week", "no number of days"),
        ("keep_short", "-3 in", "out of bounds"),
        ("keep_long", "9 m", "out of bounds"),
        ("keep_days", "3", "there is no such rule"),
    ],
)
def test_one_figure_that_is_none_leaves_all_rules_as_they_were(tmp_path: Path, name: str, text: str, told: str) -> None:
    with open_catalogue(a_shop(tmp_path), write=True) as catalogue:
        with pytest.raises(BadInput, match=told):
            change_rules(catalogue, {"old_days": "100", name: text}, unit=Unit.IN, signed=SIGNED)
        assert rules_in_force(catalogue, today=DAY).own == {}


def test_after_enough_patches_the_usual_one_must_be_cut_from_what_is_kept(tmp_path: Path) -> None:
    with open_catalogue(a_shop(tmp_path), write=True) as catalogue:
        change_rules(catalogue, {"patches_enough": "3"}, unit=Unit.IN, signed=SIGNED)
        cut(catalogue, "first", 20, 30)
        cut(catalogue, "second", 40, 24)
        before = rules_in_force(catalogue, today=DAY)
        assert (before.patches, before.usual) == (2, None)
        cut(catalogue, "third", 10, 90)
        keep = rules_in_force(catalogue, today=DAY).keep  # shorter sides 10, 20, 24; longer 30, 40, 90
        assert [keep.short_mm, keep.long_mm] == pytest.approx([20 * IN, 40 * IN])
        assert not keep.worth_keeping(19 * IN, 200 * IN)
        told = rules_in_force(catalogue, today=DAY).keep_words(Unit.IN)
        assert told == "A leftover is kept if it holds 20 in × 40 in: the usual one of the 3 patches cut within a year."


def test_what_was_cut_over_a_year_ago_does_not_count(tmp_path: Path) -> None:
    with open_catalogue(a_shop(tmp_path), write=True) as catalogue:
        change_rules(catalogue, {"patches_enough": "1"}, unit=Unit.IN, signed=SIGNED)
        cut(catalogue, "first", 20, 30)
        assert rules_in_force(catalogue, today=DAY).usual
        assert rules_in_force(catalogue, today=DAY + timedelta(days=366)).usual is None


def test_the_answer_and_the_cut_go_by_the_rules_of_the_shop(tmp_path: Path) -> None:
    with open_catalogue(a_shop(tmp_path), write=True) as catalogue:
        change_rules(catalogue, {"keep_short": "13 ft", "keep_long": "13 ft"}, unit=Unit.IN, signed=SIGNED)
        patch = {"name": "hall", "width": 30, "length": 20, "pile": 0, "edges": "seam"}
        job = read_job(json.dumps({"unit": "in", "job": "Alder Court 7", "style": "Velder Loop", "patches": [patch]}))
        fitted = fit_job(catalogue, job, today=date(2031, 5, 3))
        assert [left.usable for left in fitted.plan.leftovers] == [False] * len(fitted.plan.leftovers)
        assert cut_plan(catalogue, fitted, signed=SIGNED).used_up == ("R-1",)
