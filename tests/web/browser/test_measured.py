"""Corners in a flattened photograph: one tap finds them, finger and keyboard move them under a magnifier, and they go on."""

import re

import pytest
from playwright.sync_api import expect

from remnants.actions import open_catalogue
from remnants.actions.flat_photos import keep_flat
from remnants_web.settings import utc_now
from tests.web.browser.conftest import PHONE, Shop, box_of
from tests.web.test_measured import made


def test_one_tap_finds_the_burn_and_each_corner_moves_under_a_magnifier(shop: Shop) -> None:
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        number = keep_flat(catalogue, "Wim", made(), now=utc_now())
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto(f"/measure/{number}?measure=propose&typed=style%3DHarrow%2BTwist")
    drawing, corners, lines = page.locator(".traced svg"), page.locator("#corners"), page.locator(".trace-lines")
    box, (left, bottom), scale = box_of(drawing), made().flat.corner_mm, made().flat.px_per_mm
    across, down = made().flat.size
    burn = {"x": (225.0 - left) * scale, "y": down - (15.0 - bottom) * scale}
    drawing.tap(position={"x": burn["x"] * box["width"] / across, "y": burn["y"] * box["width"] / across})
    expect(lines).to_contain_text("95 times of 100")
    expect(page.locator(".traced text").first).to_have_text(re.compile(r"±"))
    before = corners.input_value().splitlines()
    assert len(before) >= 4, "and it is seen from near"
    assert float(str(drawing.get_attribute("viewBox")).split()[2]) < across

    grip = page.locator(".traced .grip").first
    grip.focus()
    page.keyboard.press("ArrowLeft")
    expect(page.locator(".loupe")).to_be_visible()
    after = corners.input_value().splitlines()
    moved = float(before[0].split(",")[0]) - float(after[0].split(",")[0])
    assert moved * 25.4 * scale == pytest.approx(1.0, abs=0.05), "by one pixel of the picture"
    assert after[1:] == before[1:]
    expect(lines).to_contain_text("95 times of 100")  # no length stood there meanwhile

    spot = box_of(page.locator(".traced .grip .spot").nth(1))
    page.mouse.move(spot["x"] + 1, spot["y"] + 1)
    page.mouse.down()
    page.mouse.move(spot["x"] + 41, spot["y"] + 31, steps=4)
    expect(lines.locator("li")).to_have_count(0)
    expect(page.locator(".traced text")).to_have_count(0)
    page.mouse.up()
    dragged = corners.input_value().splitlines()
    assert dragged[1] != after[1] and dragged[2:] == after[2:]
    page.get_by_role("button", name="Undo").click()
    assert corners.input_value().splitlines()[1] == after[1]
    page.locator(".traced .grip").nth(1).focus()
    page.keyboard.press("Delete")
    assert len(corners.input_value().splitlines()) == len(before) - 1
    page.get_by_role("button", name="Undo").click()

    page.get_by_role("button", name="It is damage").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Where should the patch end?")
    expect(page.get_by_label(re.compile("Its outline is from a photograph, ±"))).to_be_checked()
    assert page.locator("#style").input_value() == "Harrow Twist"


def test_a_refusal_leaves_the_photograph_chosen(shop: Shop) -> None:
    page = shop.page("Wim", viewport=PHONE)
    page.goto("/measure")
    page.locator("#photo").set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    page.get_by_role("button", name="Make it flat").click()
    expect(page.locator("#flatten-told")).to_contain_text("no picture that can be read")
    assert page.locator("#photo").evaluate("field => field.files.length") == 1
    shop.complaints.clear()  # the browser notes each refusal
