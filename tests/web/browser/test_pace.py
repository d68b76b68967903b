"""The note of how long the form takes, as the phone makes it."""

from playwright.sync_api import expect

from remnants.actions import open_catalogue
from remnants.actions.field_paces import noted_paces
from remnants.actions.shop_rules import change_rules
from remnants.units import Unit
from tests.stock_values import SIGNED
from tests.web.browser.conftest import PHONE, Shop, pile_up


def test_taps_and_seconds_are_told_by_field_and_nothing_that_was_typed(shop: Shop) -> None:
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        change_rules(catalogue, {"note_pace": "yes"}, unit=Unit.IN, signed=SIGNED)
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto("/patch")
    style, across = page.get_by_label("Style"), page.get_by_label("Across", exact=True).first
    style.tap()
    style.fill("Harrow Twist")
    across.tap()
    across.fill("14")
    across.tap()
    page.get_by_label("Up", exact=True).first.fill("10")
    pile_up(page)
    page.get_by_role("button", name="Can it be made?").tap()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert "pace" not in page.url
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        taps = {pace.field: pace.taps for pace in noted_paces(catalogue)}
        change_rules(catalogue, {"note_pace": "usual"}, unit=Unit.IN, signed=SIGNED)
    assert (taps["style"], taps["width"]) == (1, 2)
    assert taps["form"] >= 4, "the button is one of them"
    assert shop.complaints == []
