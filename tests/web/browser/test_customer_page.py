"""The customer's page on a phone: a finger draws the name on the glass, and what was drawn is what is shown."""

import re
from datetime import timedelta

import pytest
from playwright.sync_api import expect

from remnants.actions import open_catalogue
from remnants.actions.customer_page import agreed_of, make_link
from remnants.actions.fit_job import fit_job
from remnants.actions.keep_job import hold_job
from remnants.exchange import read_job
from remnants.ledger import Signed
from remnants_web.settings import utc_now
from tests.web.browser.conftest import PHONE, Shop, box_of
from tests.web.browser.test_everybody import AXE, LOOKS, faults


@pytest.fixture
def path(shop: Shop) -> str:
    """The link to the page of a job that is held."""
    now = utc_now()
    patch = {"name": "hall", "width": 20, "length": 30, "pile": 0, "edges": ["seam", "wall", "seam", "seam"]}
    job = read_job({"unit": "in", "job": "Alder Court 7, hall", "style": "Velder Loop", "patches": [patch]})
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        fitted = fit_job(catalogue, job, today=now.date())
        number = hold_job(catalogue, fitted, until=now.date() + timedelta(days=9), signed=Signed("Wim", now)).number
        return f"/for/{make_link(catalogue, number, by='Wim', now=now)[0]}"


def test_a_name_is_drawn_on_the_glass_cleared_drawn_again_and_kept(shop: Shop, path: str) -> None:
    page = shop.page(viewport=PHONE, has_touch=True)
    page.goto(path)
    glass = page.locator("canvas.glass")
    glass.scroll_into_view_if_needed()
    assert page.evaluate("document.documentElement.scrollWidth") == 360
    assert box_of(page.get_by_role("button", name="Clear it"))["height"] >= 44
    finger, box = page.context.new_cdp_session(page), box_of(glass)

    def draw(*shares: tuple[float, float]) -> None:
        for at, (x, y) in enumerate(shares):
            point = {"x": box["x"] + box["width"] * x, "y": box["y"] + box["height"] * y}
            kind = "touchMove" if at else "touchStart"
            finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [point]})
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    draw((0.1, 0.9), (0.9, 0.9))
    page.get_by_role("button", name="Clear it").tap()
    expect(page.locator("[name=strokes]")).to_have_value("")
    draw((0.25, 0.5), (0.5, 0.25), (0.75, 0.5))
    draw((0.5, 0.75))
    page.evaluate(AXE)
    assert faults(page) == [] and page.evaluate(LOOKS) == []
    page.get_by_label("Your name", exact=True).fill("O. Testcase")
    page.get_by_role("button", name="I agree").tap()
    expect(page.get_by_role("heading", name="You agreed")).to_be_visible()
    expect(page.locator(".signature path")).to_have_attribute("d", re.compile(r"^M15\d 100L.*M30\d 15\dL"))
    with open_catalogue(shop.catalogue, write=False) as catalogue:
        (agreed,) = agreed_of(catalogue, "J-0001")
    across, *dots = agreed.strokes
    assert len(dots) == 1 and len(dots[0]) == 1
    assert [(round(x / 15) * 15, round(y / 10) * 10) for x, y in across] == [(150, 100), (300, 50), (450, 100)]
