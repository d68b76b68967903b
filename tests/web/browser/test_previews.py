"""A repair seen before it is made: the picture first, its seams once they are ticked, on a phone and by keyboard."""

from urllib.parse import urlencode

from playwright.sync_api import expect

from remnants.actions import open_catalogue
from remnants.actions.flat_photos import keep_flat
from remnants_web.settings import utc_now
from tests.photo.test_preview import flats
from tests.web.browser.conftest import PHONE, Shop
from tests.web.test_measured import ROOM, made, outline
from tests.web.test_previews import STRIPE, rack_corners


def test_the_seams_of_a_repair_show_once_they_are_ticked(shop: Shop) -> None:
    with open_catalogue(shop.catalogue, write=True) as catalogue:
        rack, hall = (keep_flat(catalogue, "Wim", each, now=utc_now()) for each in (flats()[1], made()))
    page = shop.page("Wim", viewport=PHONE)
    page.goto(f"/measure/{rack}?{urlencode({'corners': rack_corners(), 'on': 'log'})}")
    page.get_by_label("Style", exact=True).fill(STRIPE)
    page.locator("input[name=pile][value='0']").check()
    page.get_by_label("Keep that picture").check()
    page.get_by_role("button", name="Log it").last.click()
    expect(page.get_by_role("status").first).to_contain_text("Logged as")
    asked = {"on": "propose", "measure": "propose", "typed": urlencode(ROOM | {"style": STRIPE})}
    page.goto(f"/measure/{hall}?{urlencode(outline() | asked)}")
    page.get_by_role("button", name="Propose where it ends").click()
    page.get_by_role("link", name="Take this outline").first.click()

    picture = page.get_by_role("img", name="from above, the new carpet laid into the photograph")
    expect(picture).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    seams, tick = picture.locator(".seams"), page.get_by_label("Show the seams of")
    expect(seams).to_be_hidden()
    tick.focus()
    page.keyboard.press("Space")
    expect(seams).to_be_visible()
    assert seams.locator("circle").count() == seams.locator("text").count() > 0
