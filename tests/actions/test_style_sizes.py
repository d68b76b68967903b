"""Least sizes of a style's own: they go before the shop's wherever one asks what is kept."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from remnants.actions import Catalogue, open_catalogue
from remnants.actions.age_stock import Ground, age_stock
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import cut_plan
from remnants.actions.log_pieces import log_pieces
from remnants.actions.order_rooms import by_shop_rules
from remnants.actions.shop_rules import change_rules, rules_in_force
from remnants.actions.stock_worth import stock_worth
from remnants.actions.style_sizes import change_sizes
from remnants.errors import BadInput, NotFound
from remnants.exchange import read_job
from remnants.exchange.rooms import read_rooms
from remnants.ledger import Signed
from remnants.model import Style
from remnants.model.money import Money
from remnants.rules import KeepRule
from remnants.units import Unit
from tests.stock_values import SIGNED, a_piece, a_stock

IN = 25.4
MAUD = Signed("Maud", SIGNED.at)
DAY = SIGNED.at.date()
WOOL, LOOP = "Ambrey Wool", "Velder Loop"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Catalogue]:
    """Of a wool and of a loop, a strip of 12 x 14 in and a plain piece of 30 x 30 in each; the shop keeps 12 x 18 in."""
    with open_catalogue(tmp_path / "stock.db", write=True) as catalogue:
        for number, style in ((1, WOOL), (3, LOOP)):
            strip, square = a_piece(f"R-{number}", 12, 14), a_piece(f"R-{number + 1}", 30, 30, cost=Money(1000, "EUR"))
            pieces = (replace(strip, style=style), replace(square, style=style))
            log_pieces(catalogue, a_stock(*pieces, styles=[Style(style)]), signed=SIGNED)
        yield catalogue


def of_its_own(catalogue: Catalogue) -> None:
    """Of the wool 12 x 12 in is kept, of the loop 40 x 40."""
    for style, side in ((WOOL, "12 in"), (LOOP, "40 in")):
        change_sizes(catalogue, style, {"keep_short": side, "keep_long": side}, unit=Unit.IN, signed=MAUD)


def too_small(catalogue: Catalogue) -> set[str]:
    listed = age_stock(catalogue, now=SIGNED.at + timedelta(days=1)).listed
    return {each.standing.piece.tag for each in listed if Ground.SMALL in each.grounds}


def test_what_is_too_small_and_what_stock_is_worth_heed_the_styles_own_size(shop: Catalogue) -> None:
    assert too_small(shop) == {"R-1", "R-3"}
    assert stock_worth(shop, today=DAY).all.worth == (Money(2000, "EUR"),)
    of_its_own(shop)
    assert too_small(shop) == {"R-3", "R-4"}, "strips of the wool are kept, squares of the loop are not"
    found = stock_worth(shop, today=DAY)
    assert found.all.worth == (Money(1000, "EUR"),), "what the wool's square cost"
    assert found.keep.words(Unit.IN) == "12 in × 18 in; of Ambrey Wool 12 in × 12 in; of Velder Loop 40 in × 40 in"


@pytest.mark.parametrize(("style", "tag", "kept"), [(WOOL, "R-2", True), (LOOP, "R-4", False)])
def test_what_a_cut_leaves_is_kept_by_the_styles_own_size(shop: Catalogue, style: str, tag: str, *, kept: bool) -> None:
    """30 x 30 in, of which 30 x 16 are cut: 30 x 14 in are left."""
    of_its_own(shop)
    change_rules(shop, {"keep_short": "20 in", "keep_long": "20 in"}, unit=Unit.IN, signed=MAUD)
    patch = {"name": "hall", "width": 28, "length": 14, "pile": 0, "edges": "seam"}
    asked = {"unit": "in", "job": "Alder Court 7", "style": style, "allowance": {"seam": 1}, "patches": [patch]}
    fitted = fit_job(shop, read_job(json.dumps(asked)), today=DAY)
    assert [left.usable for left in fitted.plan.leftovers] == [kept]
    booked = cut_plan(shop, fitted, signed=SIGNED)
    assert (tag in booked.used_up) is not kept


def test_an_order_keeps_what_its_style_keeps_however_it_is_written(shop: Catalogue) -> None:
    of_its_own(shop)
    rooms = {"unit": "in", "roll": {"width": 144}, "rooms": [{"name": "den", "width": 100, "length": 100}]}
    for style, side in (("velder loop", 40), ("Veldr Loop", 40), ("Ambrey Wool", 12)):
        asked = by_shop_rules(shop, read_rooms(json.dumps(rooms | {"style": style})), today=DAY)
        assert asked.rules.keep.sides_mm == pytest.approx((side * IN, side * IN)), style
    asked = by_shop_rules(shop, read_rooms(json.dumps(rooms | {"style": "Other Twist"})), today=DAY)
    assert asked.rules.keep == KeepRule()


def test_one_side_alone_leaves_the_other_to_the_shop_and_usual_gives_it_back(shop: Catalogue) -> None:
    change_sizes(shop, LOOP, {"keep_long": "1 m"}, unit=Unit.IN, signed=MAUD)
    assert rules_in_force(shop, today=DAY).least.of(LOOP) == KeepRule(304.8, 1000.0)
    (told,) = rules_in_force(shop, today=DAY).sizes_set()
    assert (told.style, told.who, told.at) == (LOOP, "Maud", SIGNED.at)
    change_sizes(shop, LOOP, {"keep_long": "usual"}, unit=Unit.IN, signed=MAUD)
    assert rules_in_force(shop, today=DAY).sizes_set() == ()


@pytest.mark.parametrize(
    ("style", "changes", "told"),
    [
        ("Velder", {"keep_short": "1 m"}, "no style is called 'Velder'"),
        (LOOP, {"keep_short": "1 m", "hold_days": "3"}, "hold_days: it holds for all styles alike"),
        (LOOP, {"keep_short": "1 m", "keep_long": "9 m"}, "keep_long: '9 m' is out of bounds"),
    ],
)
def test_what_is_none_is_refused_and_changes_nothing(shop: Catalogue, style: str, changes: dict[str, str], told: str) -> None:
    with pytest.raises((NotFound, BadInput), match=told):
        change_sizes(shop, style, changes, unit=Unit.IN, signed=MAUD)
    assert rules_in_force(shop, today=DAY).of_styles == ()


def test_no_more_styles_than_lists_can_bear(shop: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("remnants.actions.style_sizes.STYLES_WITH_SIZES", 1)
    change_sizes(shop, LOOP, {"keep_long": "1 m"}, unit=Unit.IN, signed=MAUD)
    with pytest.raises(BadInput, match="1 styles have"):
        change_sizes(shop, WOOL, {"keep_long": "1 m"}, unit=Unit.IN, signed=MAUD)
    assert {each.style for each in rules_in_force(shop, today=DAY).of_styles} == {LOOP}
