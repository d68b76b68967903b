"""At the racks, in a real browser: a scanner counts a place; a piece that came back is logged by keyboard alone."""

import base64
import io
import re
from dataclasses import replace

from PIL import Image
from playwright.sync_api import Page, expect

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.actions.show_piece import show_piece
from remnants.geometry import Outline, rectangle
from remnants.ledger import Stage
from remnants.model import Kind
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.browser.conftest import DESK, PHONE, Shop, box_of, pile_up
from tests.web.browser.test_everybody import BROKEN

CHOSEN = """() => new Promise((told) => {
  const reader = new FileReader();
  reader.onload = () => told(reader.result);
  reader.readAsDataURL(document.getElementById('photo').files[0]);
})"""
"""The photograph that is to be sent, as an address that holds its bytes; one by one they would take a minute to come out."""


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


PRESS_S = 0.28
"""One key press of an average typist, seconds (keystroke-level model, Card, Moran and Newell 1980; from memory)."""


class Keys:
    """A keyboard that counts its presses."""

    def __init__(self, page: Page) -> None:
        self.page, self.presses = page, 0

    def __call__(self, *texts: str) -> None:
        """Types each text; `Tab` and `Enter` are keys."""
        for text in texts:
            if text in ("Tab", "Enter"):
                self.page.keyboard.press(text)
                self.presses += 1
            else:
                self.page.keyboard.type(text)
                self.presses += len(text)

    def tab_to(self, name: str) -> None:
        for _ in range(20):
            if self.page.evaluate("document.activeElement.name") == name:
                return
            self("Tab")
        raise AssertionError(f"the tab key does not reach {name}")


def test_a_piece_that_came_back_is_logged_by_keyboard_alone_in_under_fifteen_seconds(shop: Shop) -> None:
    """Style, colour, lot, two sizes and the place by keys alone; a misspelt style is put right by one key more."""
    page = shop.page("Wim", viewport=DESK)
    page.goto("/log")
    expect(page.get_by_label("Style")).to_be_focused()
    keys = Keys(page)
    keys("harow tw", "Tab", "slate", "Tab", "771")
    keys.tab_to("width")
    keys("36", "Tab", "50")
    keys.tab_to("pile")
    keys(" ")
    keys.tab_to("place")
    keys("bay 8", "Enter")
    expect(page.get_by_text("No style is called “harow tw”")).to_be_visible()
    expect(page.get_by_role("radio", name="Harrow Twist")).to_be_focused()
    keys("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Logged as R-0003 Harrow Twist")
    assert keys.presses * PRESS_S < 15, f"{keys.presses} presses"
    shop.complaints[:] = [told for told in shop.complaints if "422" not in told]  # the question was answered with that status


def test_the_next_piece_of_the_same_carpet_takes_its_two_sizes_and_a_handful_of_keys(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log?logged=R-0001&style=Harrow+Twist&colour=Slate&lot=771&place=Bay+8&kind=remnant&pile=90")
    expect(page.get_by_role("link", name="Log the next one here")).to_be_focused()
    keys = Keys(page)
    keys("Enter")
    expect(page.get_by_label("Across", exact=True).first).to_be_focused()
    keys("24", "Tab", "40", "Enter")
    expect(page.locator(".note .tag")).not_to_have_text("R-0001")  # which the page it came from tells
    assert keys.presses == 7
    tag = page.locator(".note .tag").inner_text()
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        piece = show_piece(catalogue, tag).piece
        assert (piece.place, piece.colour, piece.lot, piece.pile_deg) == ("Bay 8", "Slate", "771", 90)
    page.goto("/log")
    expect(page.get_by_label("Place")).to_have_value("Bay 8")
    with page.expect_download() as coming:
        page.goto("/racks/Bay 8")
        page.get_by_text("Print the tags of this place").click()
        page.get_by_role("button", name="Tags as PDF").click()
    assert coming.value.suggested_filename == "tags.pdf"


def test_long_sizes_wrap_and_the_field_for_a_place_keeps_its_width(shop: Shop) -> None:
    """An odd piece of many words on a narrow phone, and the form that asks for a place."""
    outline = ((0, 0), (143.9375, 0), (143.9375, 71.4375), (40, 71.4375), (40, 131.9375), (0, 131.9375))
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        piece = a_piece("R-0900", outline=outline, kind=Kind.REMNANT, place="The far rack beside the loading dock")
        holes = tuple(rectangle(50, 50, (300 * step + 200, 200)).ring for step in range(3))
        log_pieces(catalogue, a_stock(replace(piece, outline=Outline(piece.outline.ring, holes))), signed=SIGNED)
    page = shop.page("Wim", viewport={"width": 320, "height": 700})
    place = "The far rack beside the loading dock"
    for path in ("/find?words=velder", f"/racks/{place}", f"/count/{place}"):
        page.goto(path)
        assert "R-0900" in page.content()
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        assert page.evaluate(BROKEN) == [], path
    page.goto("/count")
    assert box_of(page.locator("#place"))["width"] > 120


def test_a_large_photograph_is_made_small_and_bare_on_the_phone_before_it_is_sent(shop: Shop) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # stands on its side
    exif[0x010E] = "taken at home"
    out = io.BytesIO()
    Image.effect_noise((4000, 3000), 60).convert("RGB").save(out, "JPEG", quality=95, exif=exif)
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/log")
    page.wait_for_load_state("networkidle")
    field = page.get_by_label("Photograph")
    field.set_input_files({"name": "big.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()})
    expect(page.get_by_role("button", name="Log it")).to_be_enabled()
    page.wait_for_function("document.getElementById('photo').files[0].name === 'photograph.jpg'")
    sent = base64.b64decode(page.evaluate(CHOSEN).partition(",")[2])
    assert len(sent) < len(out.getvalue()) / 3
    with Image.open(io.BytesIO(sent)) as small:
        assert small.size == (1200, 1600), "upright"
        assert not small.getexif()
    page.get_by_label("Style").fill("Velder Loop")
    page.get_by_label("Across", exact=True).first.fill("30")
    page.get_by_label("Up", exact=True).first.fill("40")
    pile_up(page)
    page.get_by_role("button", name="Log it").click()
    expect(page.get_by_role("status").first).to_contain_text("Logged as")
    page.locator(".note .tag").click()
    shown = page.get_by_role("img", name=re.compile("^Photograph 1 of R-"))
    expect(shown).to_be_visible()
    page.wait_for_function("document.querySelector('img.photo').naturalHeight > 0")
    assert shown.evaluate("img => [img.naturalWidth, img.naturalHeight]") == [960, 1280]
