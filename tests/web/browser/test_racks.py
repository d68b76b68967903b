"""At the racks, in a real browser: a scanner counts a place; a piece that came back is logged by keyboard alone."""

from playwright.sync_api import Page, expect

from remnants.actions import open_catalogue
from remnants.actions.show_piece import show_piece
from remnants.ledger import Stage
from tests.web.browser.conftest import PHONE, Shop


def scan(page: Page, tag: str) -> None:
    """What a scanner does: types fast, then Enter."""
    page.keyboard.type(tag)
    page.keyboard.press("Enter")


def test_a_scanner_counts_a_place_and_what_was_scanned_survives_a_closed_page(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/count/Bay 3")
    expect(page.get_by_label("Scan or type a tag")).to_be_focused()
    scan(page, "r-0001")
    expect(page.get_by_role("status").last).to_have_text("r-0001: here. 1 of 2 seen.")
    scan(page, "X-77")
    expect(page.get_by_role("status").last).to_contain_text("X-77: no piece has this tag")
    scan(page, "O-0007")
    expect(page.get_by_role("status").last).to_contain_text("O-0007: by the book at Bay 1; booking moves it here")
    page.get_by_role("checkbox").nth(1).click()
    expect(page.get_by_label("Scan or type a tag")).to_be_focused()  # so that the scanner can go on
    page.get_by_role("checkbox").nth(1).click()
    page.goto("/racks")
    page.goto("/count/Bay 3")
    expect(page.get_by_label("Tags seen")).to_have_value("r-0001\nX-77\nO-0007\n")
    expect(page.get_by_role("checkbox").first).to_be_checked()
    scan(page, "R-0001")
    expect(page.get_by_role("status").last).to_contain_text("seen already")
    page.get_by_role("button", name="Compare with the book").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Bay 3: 1 of 2 seen")
    page.get_by_role("button", name="Book this count").click()
    expect(page.get_by_text("The count is booked")).to_be_visible()
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        assert show_piece(catalogue, "R-0002").standing.stage is Stage.MISSING
    page.goto("/count/Bay 3")
    expect(page.get_by_label("Tags seen")).to_have_value("")


def test_a_piece_that_came_back_is_logged_by_keyboard_alone_and_the_next_needs_two_fields(shop: Shop) -> None:
    """Style, two sizes and the place are typed; for the next piece of the same carpet only the sizes."""
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    for field, text in (("style", "Harrow Twist"), ("width", "3 ft"), ("length", "50"), ("place", "Bay 8")):
        page.locator(f"#{field}").focus()
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Logged as R-0003")
    expect(page.get_by_label("Style")).to_have_value("Harrow Twist")
    expect(page.get_by_label("Place")).to_have_value("Bay 8")
    for field, text in (("width", "2 ft"), ("length", "40")):
        page.locator(f"#{field}").focus()
        page.keyboard.type(text)
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Logged as R-0004")
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        assert show_piece(catalogue, "R-0004").piece.place == "Bay 8"
