"""In the hand: few taps, a keypad for the tape, handles that a thumb hits and nothing covers."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.thorough import some
from tests.web.browser.conftest import Shop, box_of

PHONE = {"width": 360, "height": 640}
THUMB = 44


class Hand:
    """Counts what a finger does: taps, and characters by the keypad or the keyboard."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.characters = page, 0, 0

    def tap(self, what: str) -> None:
        self.page.locator(what).first.tap()
        self.taps += 1

    def keys(self, *told: str) -> None:
        for each in told:
            self.page.locator(".keypad").get_by_role("button", name=each, exact=True).tap()
        self.characters += len(told)


def on_phone(shop: Shop, path: str) -> Page:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto(path)
    page.wait_for_function("document.documentElement.classList.contains('scripted')")
    return page


def test_can_the_closet_patch_the_hall_is_asked_with_few_taps_and_characters(shop: Shop) -> None:
    """It took 18 taps and 49 characters. The carpet is the one that was asked for last on this phone."""
    page = on_phone(shop, "/patch/answer?style=Harrow+Twist&colour=Slate&lot=771&width=20&length=10&pile=0")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    page.goto("/")
    hand = Hand(page)
    hand.tap("a:has-text('Can the closet patch the hall?')")
    hand.tap("button:has-text('Harrow Twist, Slate, 771')")
    hand.tap("#width")
    hand.keys("3", "6", "By: the next length", "3", "3")
    hand.tap("label:has([name=pile][value='180'])")
    hand.tap("#laid_width")
    hand.keys("8", "4", "By: the next length", "3", "7", "1/2")
    hand.tap("label:has([name=laid_pile][value='0'])")
    hand.tap("button:has-text('Can it be made?')")
    expect(page.get_by_role("heading", level=1)).to_have_text("Yes, in one piece", timeout=60_000)  # however busy the machine
    expect(page.get_by_text("Counted for this answer alone, and not logged: closet.")).to_be_visible()
    assert hand.taps < 8 and hand.characters < 15, (hand.taps, hand.characters)


def test_what_was_told_last_is_offered_with_one_tap_and_never_taken_untold(shop: Shop) -> None:
    page = on_phone(
        shop, "/patch/answer?style=Harrow+Twist&name=hall&room=Ground+floor&seam=1/2&wall=2&width=20&length=10&pile=0"
    )
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    page.wait_for_function("localStorage.getItem('typed Wim allowances')")
    page.goto("/patch")
    room = page.get_by_role("button", name="hall, Ground floor")
    expect(room).to_be_visible()
    assert {page.locator(f"#{name}").input_value() for name in ("style", "name", "room", "seam", "wall")} == {""}
    room.tap()
    assert [page.locator(f"#{name}").input_value() for name in ("name", "room", "seam")] == ["hall", "Ground floor", ""]
    expect(room).to_have_count(0)
    page.get_by_text("Allowances and parts").tap()
    page.get_by_role("button", name="At a seam 1/2, At a wall 2").tap()
    assert [page.locator(f"#{name}").input_value() for name in ("seam", "wall", "transition")] == ["1/2", "2", ""]


def test_the_keypad_stands_under_its_field_and_the_keyboard_is_one_key_away(shop: Shop) -> None:
    page = on_phone(shop, "/patch?length=14")
    page.locator(".keypad").wait_for(state="attached")  # it comes after the page; until then a finger gets the phone's keyboard
    pad, field = page.locator(".keypad"), page.locator("#width")
    field.tap()
    expect(pad).to_be_visible()
    expect(field).to_be_in_viewport(ratio=1)
    assert box_of(field)["y"] + box_of(field)["height"] <= box_of(pad)["y"]
    small = [
        each.get_attribute("aria-label")
        for each in pad.get_by_role("button").all()
        if min(box_of(each)["width"], box_of(each)["height"]) < THUMB
    ]
    assert not small
    hand = Hand(page)
    hand.keys("3", "feet", "2", "1/2")
    expect(field).to_have_value("3' 2 1/2")
    expect(page.locator(".pad tspan").first).to_have_text("3' 2 1/2\"")
    hand.keys("Take the last one back", "Sixteenths", "5/16")
    expect(field).to_have_value("3' 2 5/16")
    hand.keys("Metric", "By: the next length", "9", "6", ".", "5", "centimetres")
    expect(page.locator("#length")).to_have_value("96.5 cm")
    hand.keys("The phone's keyboard")
    expect(pad).to_be_hidden()
    expect(page.locator("#length")).to_be_focused()
    assert page.locator("#length").get_attribute("inputmode") is None
    page.keyboard.type("!")
    expect(page.locator("#length")).to_have_value("96.5 cm!")


SHAPES = {
    "strip": "width=120&length=8",
    "pole": "width=3&length=90",
    "ell": "shape=ell&ell_width=48&ell_length=36&out_width=12&out_length=10",
    "thin ell": "shape=ell&ell_width=48&ell_length=36&out_width=44&out_length=33&notch=ll",
    "round": "shape=round&across=14",
    "small notch": "shape=ell&ell_width=90&ell_length=60&out_width=4&out_length=3&notch=ul",
    "six corners": "shape=corners&corners=0,0;40,0;40,14;21,15;20,30;0,14",
}
HANDLES = """() => [...document.querySelectorAll(".pad .grip, .pad .tag-reach, .pad .pile-reach")].map((mark) => {
  const { left, top, right, bottom } = mark.getBoundingClientRect();
  const own = document.elementFromPoint((left + right) / 2, (top + bottom) / 2) === mark;
  return { name: mark.dataset.at, box: [left, top, right, bottom], own };
})"""


def test_every_handle_is_as_large_as_a_thumb_and_none_lies_over_another(shop: Shop) -> None:
    """The sides of a narrow strip, and the inner corner of an L, could not be tapped: arrow and corners lay over them."""
    page = on_phone(shop, "/away")
    for shape, query in SHAPES.items():
        page.goto(f"/patch?pile=90&{query}")
        page.wait_for_function("document.documentElement.classList.contains('scripted')")
        page.locator(".pad").scroll_into_view_if_needed()
        page.locator(".pad").evaluate("(pad) => pad.scrollIntoView({ block: 'center' })")
        handles = page.evaluate(HANDLES)
        assert len(handles) >= 3, shape
        look_at(shape, handles)


def look_at(shape: str, handles: list[dict[str, Any]]) -> None:
    """Each is large enough and shown, and none lies over another."""
    for at, one in enumerate(handles):
        left, top, right, bottom = one["box"]
        assert min(right - left, bottom - top) >= THUMB - 0.5 and one["own"], (shape, one, "is covered, or smaller than a thumb")
        for other in handles[at + 1 :]:
            over = (
                min(right, other["box"][2]) - max(left, other["box"][0]),
                min(bottom, other["box"][3]) - max(top, other["box"][1]),
            )
            assert min(over) <= 0.5, (shape, one["name"], other["name"])


def test_the_pile_is_told_by_the_side_that_it_lays_towards(shop: Shop) -> None:
    """Nothing is assumed until then; the side is a doorway on the drawing."""
    page = on_phone(shop, "/patch?width=40&length=14&edge_1=transition&edge_2=seam")
    expect(page.locator("[name=pile]:checked")).to_have_count(0)
    page.locator("[data-at=edge1]").tap()
    page.get_by_role("button", name="The pile lays towards this doorway").tap()
    expect(page.locator("[name=pile]:checked")).to_have_value("90")


NOTCHES = {"ur": (36, 26), "ul": (12, 26), "lr": (36, 10), "ll": (12, 10)}


@pytest.mark.parametrize("notch", some(tuple(NOTCHES)))
def test_an_l_has_its_notch_at_any_corner_on_the_drawing_and_in_the_answer(shop: Shop, notch: str) -> None:
    inner = NOTCHES[notch]
    query = f"style=Velder+Loop&shape=ell&ell_width=48&ell_length=36&out_width=12&out_length=10&notch={notch}&pile=0"
    page = on_phone(shop, f"/patch?{query}")
    right, up = (f"{inch} in" if inch < 36 else "3' 0\"" for inch in inner)
    expect(page.get_by_label(f"{right} right, {up} up")).to_have_count(1)
