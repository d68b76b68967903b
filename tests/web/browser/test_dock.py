"""The dock in a real browser: a scanner faster than the shop, a lost signal, and the field that is always ready."""

from playwright.sync_api import Page, Route, expect

from remnants.actions import open_catalogue
from remnants.actions.show_piece import history_of
from remnants.ledger import Act
from tests.web.browser.conftest import PHONE, Shop, box_of


def scan(page: Page, text: str) -> None:
    """What a scanner does: types fast, then Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def acts_of(shop: Shop, tag: str) -> list[Act]:
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        return [entry.act for entry in history_of(catalogue, tag).entries]


def test_scans_wait_their_turn_a_lost_signal_loses_none_and_the_field_is_always_ready(shop: Shop) -> None:
    page, signal = shop.page("Wim", viewport=PHONE), ["there"]

    def sent(route: Route) -> None:  # from the first on: the browser still lets one by just after it was told to ask
        if signal:
            route.continue_()
        else:
            route.abort()

    page.route("**/dock/move", sent)
    page.goto("/dock/move")
    field, answer = page.get_by_label("Scan a piece, or another rack"), page.locator("#dock-answer")
    expect(field).to_be_focused()
    for text in ("Bay 1", "R-0001", "Bay 3", "O-0007"):  # one upon the other: each rack counts for what follows it
        scan(page, text)
    expect(answer).to_contain_text("O-0007 moved to Bay 3")
    expect(page.locator("#dock-done")).to_contain_text("R-0001 moved to Bay 1")
    expect(field).to_be_focused()
    assert box_of(field)["height"] >= 60 and page.evaluate("document.documentElement.scrollWidth") <= 360

    signal.clear()
    scan(page, "R-0001")
    scan(page, "R-0002")
    expect(page.locator("#dock-waits")).to_contain_text("Not written yet: R-0001, R-0002")
    signal.append("there")
    page.reload()  # what waited is kept on the device, and goes to the rack that was last scanned
    expect(answer).to_contain_text("R-0002 lies at Bay 3 already")
    assert acts_of(shop, "R-0001") == [Act.RECEIVED, Act.MOVED, Act.MOVED]

    page.evaluate("document.activeElement.blur()")
    scan(page, "X-404")
    scan(page, "R-0001")
    expect(answer).to_contain_text("Scan the rack first")
    expect(page.locator("#dock-missed li")).to_have_count(2)
    page.get_by_role("link", name="Go on at Bay 3").wait_for(state="detached")
    shop.complaints[:] = [told for told in shop.complaints if "422" not in told and "ERR_FAILED" not in told]
