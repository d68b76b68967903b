"""A technician photographs a repair on the phone: made small there, shown beside each other, also with no signal meanwhile."""

import io

from PIL import Image
from playwright.sync_api import Page, expect

from tests.web.browser.conftest import Shop, box_of
from tests.web.browser.test_everybody import AXE, faults

ASKED = "/patch/answer?style=Velder+Loop&lot=4471-B&width=36&length=33&pile=0&job=Gorse+End+4&edge_0=wall&edge_1=seam"


BOXES = "[...document.querySelectorAll('.before-after img')].map((one) => one.getBoundingClientRect().toJSON())"
"""Where they lie at one moment: the page may still be going to where one was."""
THERE = "[...document.querySelectorAll('.before-after img')].every((one) => one.naturalWidth === 640)"


def large() -> bytes:
    exif = Image.Exif()
    exif[0x010E] = "taken at home"
    out = io.BytesIO()
    Image.effect_noise((2400, 1800), 60).convert("RGB").save(out, "JPEG", quality=90, exif=exif)
    return out.getvalue()


def keep(page: Page, moment: str, photo: bytes, words: str = "") -> None:
    page.get_by_label(f"{moment} the repair").check()
    page.get_by_label("Photograph", exact=True).set_input_files({"name": "big.jpg", "mimeType": "image/jpeg", "buffer": photo})
    page.wait_for_function("document.getElementById('photo').files[0].name === 'photograph.jpg'")
    button = page.get_by_role("button", name="Keep the photograph")
    expect(button).to_be_enabled()
    page.get_by_label("A few words with it").fill(words)
    button.click()


def test_a_repair_is_photographed_before_and_after_on_a_phone(shop: Shop) -> None:
    page, photo = shop.page("Wim", viewport={"width": 360, "height": 740}, has_touch=True, bypass_csp=True), large()
    page.goto(ASKED)
    page.get_by_role("button", name="Hold for 14 days").first.click()
    page.wait_for_url("**/jobs/J-*")
    keep(page, "before", photo, "Burn beside the window")
    before = page.get_by_role("img", name="Before the repair, photograph 1")
    expect(before).to_be_visible()
    assert page.url.endswith("#photographs"), "one goes on where one was"

    before.scroll_into_view_if_needed()
    page.wait_for_function(THERE)
    page.wait_for_load_state("networkidle")

    page.context.set_offline(True)
    keep(page, "after", photo)
    expect(page.locator("#waiting")).to_contain_text("1 (a photograph)")
    page.context.set_offline(False)
    expect(page.locator("#went")).to_contain_text("Sent, and done: a photograph")
    page.reload()
    after = page.get_by_role("img", name="After the repair, photograph 1")
    expect(after).to_be_visible()
    left, right = page.evaluate(BOXES)
    assert left["x"] + left["width"] <= right["x"] and left["y"] == right["y"], "beside each other"
    before.scroll_into_view_if_needed()
    page.wait_for_function(THERE)
    assert box_of(before)["width"] == left["width"], "its room was kept before it came"
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    page.evaluate(AXE)
    assert faults(page) == []
