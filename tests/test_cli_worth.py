"""`remnants worth`: what the stock cost and what it is worth today."""

from datetime import timedelta

import pytest

from remnants.actions import open_catalogue
from remnants.cli import options, worth
from tests.commands import Remnants
from tests.stock_values import SIGNED
from tests.unshared_cut import cut_half_off


def test_cost_and_worth_are_told_by_style_branch_age_and_supplier(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "100", "--length", "100", "--cost", "120.50 EUR", "--supplier", "Invented Mill")
    remnants.log("--tag", "R-2", "--width", "10", "--length", "60", "--cost", "9.50 EUR")  # under 12 in: worth nothing
    remnants.log("--tag", "R-3", "--width", "50", "--length", "50", "--cost", "3000 JPY", "--received-on", "2019-01-01")
    remnants.log("--tag", "R-4", "--width", "50", "--length", "50")
    told = remnants.ok("worth")
    # 10,000 + 600 + 2,500 + 2,500 square inches over 144
    assert "4 pieces, 108.3 ft²: cost 130.00 EUR, 3,000 JPY, worth 120.50 EUR, 3,000 JPY; of 1 no cost is told" in told
    assert "Kept is what holds 12 in × 18 in." in told
    for words in ("Invented Mill", "not told", "the shop", "under 3 months", "2 years and over"):
        assert words in told
    alone = remnants.ok("worth", "--by", "supplier")
    assert "Invented Mill" in alone and "under 3 months" not in alone
    remnants.ok("rules", "keep_short=60 in", "keep_long=60 in")
    assert "worth 120.50 EUR, 0 JPY;" in remnants.ok("worth")


def test_branches_have_sums_of_their_own_and_age_goes_by_the_day_of_delivery(
    remnants: Remnants, monkeypatch: pytest.MonkeyPatch
) -> None:
    remnants.ok("branch", "South", "--new")
    remnants.ok("branch", "North", "--new")
    remnants.log("--tag", "R-1", "--cost", "10 EUR", "--place", "North Bay 2")
    remnants.log("--tag", "R-2", "--cost", "5 EUR", "--place", "Bay 2")
    rows = [line.split() for line in remnants.ok("worth", "--by", "branch").splitlines()]
    assert [(row[0], row[1], row[2]) for row in rows if row and row[0] in ("North", "South")] == [
        ("North", "10.00", "EUR"),
        ("South", "5.00", "EUR"),
    ]
    now = options.now()
    monkeypatch.setattr(worth, "now", lambda: now + timedelta(days=100))
    assert "3 to 6 months" in remnants.ok("worth", "--by", "age")


def test_pieces_that_were_cut_before_a_cut_handed_costs_on_are_told_until_their_cost_is_corrected(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1", "--width", "100", "--length", "100", "--cost", "120.50 EUR")
    assert "before a cut handed costs on" not in remnants.ok("worth")
    with open_catalogue(remnants.catalogue, write=True) as catalogue:
        cut_half_off(catalogue, "R-1", SIGNED)
    told = remnants.ok("worth")
    assert (
        "1 of these pieces was cut before a cut handed costs on: it still stands at all that was paid, 120.50 EUR, which" in told
    )
    assert told.rstrip().endswith("Correct the cost to what is left's share: R-1.")
    remnants.ok("correct", "R-1", "--cost", "100 EUR")
    assert "before a cut handed costs on" not in remnants.ok("worth")


def test_an_empty_shop_is_told_so_too(remnants: Remnants) -> None:
    remnants.log("--tag", "R-1")
    remnants.ok("discard", "R-1")
    assert "0 pieces" in remnants.ok("worth")
