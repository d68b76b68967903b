"""Damage put in with a finger, an outline taken with one tap: the patch proposed, on a phone."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import CDPSession, FloatRect, Page, expect

from tests.web.browser.conftest import PHONE, Shop, box_of

ROOM = "/propose?style=Harrow+Twist&shape=rectangle&width=70&length=120&room=hall&door_1=1&door_from_1=20&door_width_1=30&pile=0"
FINGER_PX = 44


class Floor:
    """The room on the screen, and a finger on it. Its sides are 70 in and 120 in."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.finger: CDPSession = page.context.new_cdp_session(page)
        page.locator(".floor-place .pad").scroll_into_view_if_needed()
        self.box: FloatRect = box_of(page.locator(".floor"))

    def at(self, right_in: float, up_in: float) -> tuple[float, float]:
        box = self.box
        return box["x"] + box["width"] * right_in / 70, box["y"] + box["height"] * (1 - up_in / 120)

    def touch(self, *path: tuple[float, float]) -> None:
        """Down at the first point, along the others, and up."""
        for kind, point in zip(("touchStart", *["touchMove"] * (len(path) - 1)), path, strict=True):
            self.finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": point[0], "y": point[1]}]})
        self.finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def told(self, number: int) -> list[float]:
        """How far it lies from the left and lower walls, how wide and long it is, in inches."""
        names = ("x", "y", "width", "length")
        return [inches(self.page.locator(f"#damage_{name}_{number}").input_value()) for name in names]


def inches(text: str) -> float:
    feet, _, rest = text.rpartition("' ")
    figures = [float(part) if "/" not in part else 0.5 for part in rest.replace("in", "").replace('"', "").split()]
    return 12 * float(feet or 0) + sum(figures)


@pytest.fixture
def floor(shop: Shop) -> Iterator[Floor]:
    page = shop.page("Wim", viewport=PHONE, has_touch=True)
    page.goto(ROOM)
    yield Floor(page)


def near(told: list[float], wanted: list[float]) -> bool:
    return all(abs(a - b) <= 1.5 for a, b in zip(told, wanted, strict=True))


def test_damage_is_put_in_with_a_finger_and_an_outline_taken_with_one_tap(floor: Floor) -> None:
    page, hint = floor.page, floor.page.locator(".floor-place .pad-hint")
    floor.touch(floor.at(30, 50))
    expect(hint).to_have_text("Now tap the opposite corner.")
    floor.touch(floor.at(20, 60))
    assert near(floor.told(1), [20, 50, 10, 10]), "two corners, in whichever order"
    grips = [box_of(page.locator(f"[data-at=grip{corner}]")) for corner in ("00", "10", "11", "01")]
    assert all(min(grip["width"], grip["height"]) >= FINGER_PX for grip in grips)
    apart = (grips[1]["x"] - grips[0]["x"], grips[0]["y"] - grips[3]["y"])
    assert min(apart) >= FINGER_PX, "a finger has each grip for itself, however small the place"
    middle = (grips[2]["x"] + FINGER_PX / 2, grips[2]["y"] + FINGER_PX / 2)
    by = floor.box["width"] * 10 / 70
    floor.touch(middle, (middle[0] + by / 2, middle[1]), (middle[0] + by, middle[1]))
    assert near(floor.told(1), [20, 50, 20, 10]), "the upper right corner went 10 in to the right"
    floor.touch(floor.at(10, 90), floor.at(15, 95), floor.at(25, 105))
    assert near(floor.told(2), [10, 90, 15, 15]), "a second place, dragged"
    page.locator("[data-at=damage2]").focus()
    page.keyboard.press("Shift+ArrowDown")
    assert near(floor.told(2), [10, 84, 15, 15]), "and moved by keyboard, twelve half inches"
    for name in ("x", "y", "width", "length"):
        page.locator(f"#damage_{name}_2").fill("")
    page.locator("#damage_width_1").fill("10")
    page.get_by_role("button", name="Propose where it ends").tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("to choose from")
    page.wait_for_load_state("load")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    page.get_by_role("link", name=re.compile("^Take this outline ?: The best")).tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Yes")
    expect(page.get_by_role("button", name=re.compile("^Hold for")).first).to_be_visible()


def test_the_floor_follows_what_is_typed_and_is_gone_where_the_room_is_not_known(floor: Floor) -> None:
    page = floor.page
    page.locator("#damage_width_1").fill("10")
    page.locator("#damage_length_1").fill("10")
    page.locator("#damage_x_1").fill("60")
    page.locator("#damage_y_1").fill("110")
    wanted, found = floor.at(65, 115), box_of(page.locator("[data-at=damage1]"))
    assert abs(found["x"] + found["width"] / 2 - wanted[0]) < 2, "in the upper right corner"
    page.locator("#damage_from_x_1").select_option("right")
    found = box_of(page.locator("[data-at=damage1]"))
    assert abs(found["x"] + found["width"] / 2 - floor.at(5, 0)[0]) < 2, "60 in from the right wall is at the left one"
    page.locator("#pile_by").select_option("door_1")
    expect(page.locator(".floor-place .pile")).to_have_attribute("transform", re.compile(r"rotate\(180\)"))
    page.get_by_label("not known").first.check()
    expect(page.locator(".floor-place")).to_be_hidden()
    expect(page.locator("#damage_width_1")).to_be_visible()
