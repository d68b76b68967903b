"""The answer on a phone: two screens to read it, tell it and book it; what is looked up is folded. With scripts or without."""

import pytest
from playwright.sync_api import Page, expect

from remnants.actions import open_catalogue
from remnants.actions.photos import add_photo
from tests.stock_values import SIGNED
from tests.web.browser.conftest import Shop, box_of
from tests.web.test_photos import a_photo

SCREEN = 640
HALL = "/patch/answer?style=Velder+Loop&lot=4471-B&width=36&length=33&pile=0&job=Fern+Row+2&edge_0=wall&edge_1=seam"
JOINED = "/patch/answer?style=Velder+Loop&colour=Oatmeal&width=60&length=16&pile=0&job=Fern+Row+2"


@pytest.fixture(scope="module", autouse=True)
def photographed(running: Shop) -> None:
    """The donors have a photograph each, which stands beside their tags."""
    with open_catalogue(running.catalogue, write=True) as catalogue:
        for tag in ("R-0001", "R-0002"):
            add_photo(catalogue, tag, a_photo(), signed=SIGNED)


def on_phone(shop: Shop, address: str, *, scripts: bool = True) -> Page:
    page = shop.page("Wim", viewport={"width": 360, "height": SCREEN}, has_touch=True, java_script_enabled=scripts)
    page.goto(address)
    return page


@pytest.mark.parametrize("scripts", [True, False])
def test_a_yes_is_read_told_and_booked_within_two_screens(shop: Shop, scripts: bool) -> None:
    """It was 9.4 screens high at first: Hold above the drawings, the drawing 57 px wide, a list of what was tried."""
    page = on_phone(shop, HALL, scripts=scripts)
    photo, tag = box_of(page.locator(".thumb-photo").first), box_of(page.locator("a.tag").first)
    assert photo["width"] >= 44 and abs(photo["y"] - tag["y"]) < 16, "beside the tag"
    hold, cut = (page.get_by_role("button", name=name) for name in ("Hold for 14 days", "Cut: book it now"))
    for button in (hold, cut):
        box = box_of(button)
        assert box["y"] + box["height"] < SCREEN and box["height"] >= 44, "where the thumb is, on the first screen already"
    drawing, told = box_of(page.locator(".drawing svg").first), box_of(page.get_by_text("Tell the customer").first)
    assert drawing["width"] >= 350 and drawing["y"] < SCREEN / 2
    assert drawing["y"] + drawing["height"] < told["y"] < 2 * SCREEN
    assert box_of(page.get_by_text("Order of work"))["y"] > told["y"]
    for folded in (
        "Order of work",
        "What will be seen",
        "Why this, and how exact",
        "How it lies in the room",
        "Why not another piece?",
    ):
        expect(page.locator("details", has_text=folded).last).not_to_have_attribute("open", "")
    assert page.evaluate("document.documentElement.scrollHeight") < 4 * SCREEN


def test_a_joined_patch_shows_both_its_cuts_and_what_to_tell_begins_within_two_screens(shop: Shop) -> None:
    page = on_phone(shop, JOINED)
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, joined")
    steps = page.locator(".way > .pictures .key b").all_inner_texts()
    assert [step for step in steps if step.isdigit()] == ["1", "2"] and steps[0] == "K1", "the knife's strokes, then the cuts"
    told, hold = box_of(page.get_by_text("Tell the customer").first), box_of(page.get_by_role("button", name="Hold for 14 days"))
    assert told["y"] < 2 * SCREEN and hold["y"] < SCREEN
    expect(page.locator(".way > .pictures .thumb-photo")).to_have_count(1)


TWO_DONORS = JOINED.replace("width=60&length=16", "width=70&length=18") + "&use=R-0001,+R-0002&wall=0&max_parts=2"


def test_two_donors_stand_beside_each_other_so_that_what_to_tell_is_on_the_second_screen(shop: Shop) -> None:
    """One below the other, two drawings with their steps pushed it to the third: 1,853 px down at first."""
    page = on_phone(shop, TWO_DONORS)
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, joined")
    donors = page.locator(".way > .pictures > .cut")
    expect(donors).to_have_count(2)
    first, second = box_of(donors.nth(0)), box_of(donors.nth(1))
    assert first["y"] == second["y"] and first["width"] == second["width"] >= 350, "each as wide as the phone"
    assert max(box["y"] + box["height"] for box in (first, second)) < 2 * SCREEN
    told, hold = box_of(page.get_by_text("Tell the customer").first), box_of(page.get_by_role("button", name="Hold for 14 days"))
    assert told["y"] < 2 * SCREEN and hold["y"] < SCREEN
    assert page.evaluate("document.documentElement.scrollWidth") == 360, "the page itself moves down alone"
    page.get_by_role("navigation", name="Pieces to cut").get_by_role("link", name="R-0002").tap()
    expect(page.locator("#cut-2 .drawing svg")).to_be_in_viewport(ratio=0.5)
    assert abs(box_of(donors.nth(1))["x"]) < 2
    assert min(page.evaluate(FIGURES)) >= 12


FIGURES = """[...document.querySelectorAll(".drawing svg text:not([transform])")].filter((text) => text.checkVisibility())
  .map((text) => parseFloat(text.getAttribute("font-size")) * text.getScreenCTM().a)"""
COVERED = """() => {
  const mark = document.activeElement, box = mark.getBoundingClientRect();
  const top = document.elementFromPoint(box.left + box.width / 2, box.top + Math.min(box.height, innerHeight) / 2);
  return mark.closest(".thumb, .menu") || !top?.closest(".thumb, .menu") ? "" : mark.outerHTML.slice(0, 120);
}"""


def test_the_figures_on_the_drawing_can_be_read_on_a_phone(shop: Shop) -> None:
    sizes = on_phone(shop, HALL).evaluate(FIGURES)
    assert len(sizes) > 3 and min(sizes) >= 12


def test_what_has_the_focus_is_not_under_the_buttons_at_the_foot(shop: Shop) -> None:
    """WCAG 2.2, 2.4.11."""
    page = on_phone(shop, HALL)
    for _ in range(24):
        page.keyboard.press("Tab")
        assert not page.evaluate(COVERED)
