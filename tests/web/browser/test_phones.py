"""A phone is calibrated by itself: photographs chosen at once are sent one by one, and what stands against one is said."""

import re

from playwright.sync_api import FilePayload, expect

from tests.web.browser.conftest import PHONE, Shop
from tests.web.test_phones import jpeg


def test_photographs_chosen_at_once_are_sent_one_after_the_other(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/measure")
    page.get_by_role("link", name="Calibrate a phone").click()
    names = ("good.jpg", "bare.jpg", "again.jpg")
    jpegs = (jpeg(), jpeg(told=False), jpeg())
    photos = zip(names, jpegs, strict=True)
    chosen: list[FilePayload] = [{"name": name, "mimeType": "image/jpeg", "buffer": photo} for name, photo in photos]
    page.locator("#photo").set_input_files(chosen)
    sent: list[int] = []
    page.on("response", lambda answer: sent.append(answer.status) if answer.request.method == "POST" else None)
    page.get_by_role("button", name="Add").click()
    told = page.locator("#phone-told")
    expect(told).to_contain_text("1 of 8 good; tilt the phone more")
    expect(page.locator("#phone-told + ul li")).to_have_count(2)
    expect(page.locator("#phone-told + ul li").first).to_have_text(re.compile(r"^bare\.jpg: the picture does not tell its phone"))
    expect(page.locator("#phone-told + ul")).to_contain_text("again.jpg: is there already")
    assert sent == [200, 422, 422]
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_role("button", name="Calibrate with 1").click()
    expect(page.get_by_role("alert")).to_contain_text("1 usable photograph and 6 are the least")
    shop.complaints[:] = [told for told in shop.complaints if "status of 422" not in told]
