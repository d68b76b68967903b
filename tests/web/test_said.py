"""A question in one line on the pages: what was understood, what is tapped, and on to the answer."""

import html
import re
from urllib.parse import quote

import pytest

from tests.web.conftest import House
from tests.web.test_patch import visible

CLOSET = "hall 36 x 33, wall left and right, pile to the door; harrow twist; closet 84 x 40 pile to the right"


def heard(house: House, words: str, name: str = "Wim", /, more: str = "") -> str:
    browser = house.browser(name)
    page = browser.get(f"/patch/said?words={quote(words)}{more}")
    if page.status_code == 303:
        page = browser.get(page.location)
    assert page.status_code == 200, page.text
    return page.text


def fields(page: str) -> dict[str, str]:
    (form,) = re.findall(r'<form method="post" action="/patch">(.*?)</form>', page, flags=re.DOTALL)
    return {html.unescape(name): html.unescape(text) for name, text in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}


def test_the_start_page_asks_in_one_line(house: House) -> None:
    start = house.browser("Wim").get("/").text
    assert 'action="/patch/said"' in start and "Ask in one line" in start
    assert house.browser("Wim").get(f"/patch/said?said={quote(CLOSET)}").status_code == 200


def test_what_was_understood_is_seen_and_goes_on_to_the_answer(house: House) -> None:
    page = heard(house, CLOSET)
    told = visible(page)
    assert "closet: pile to the right" in told and "down the drawing, the door drawn at the bottom" in told
    assert 'role="img"' in page, "a picture of it"
    asked = fields(page)
    assert (asked["width"], asked["length"], asked["pile"], asked["style"]) == ("36 in", "33 in", "180", "Harrow Twist")
    assert (asked["laid_width"], asked["laid_pile"], asked["laid_room"]) == ("84 in", "90", "closet")
    browser = house.browser("Wim")
    answer = browser.post("/patch", data=asked | {"made_by": "Wim"})
    assert answer.status_code == 303
    assert re.search(r"Yes, (in one piece|joined)", browser.get(answer.location).text)


def test_what_is_missing_is_told_with_one_tap_each_and_then_it_can_be_asked(house: House) -> None:
    page = heard(house, "hall 36 x 33; closet 84 x 40")
    assert "Can it be made?" not in page
    assert {"pile up", "closet pile down", "any carpet"} <= set(re.findall(r'name="more" value="([^"]+)"', page))
    for tap in ("pile up", "closet pile down", "any carpet"):
        words = html.unescape(re.findall(r'name="words" value="([^"]*)"', page)[-1])
        page = heard(house, words, more=f"&more={quote(tap)}")
    assert "Can it be made?" in page
    assert (fields(page)["pile"], fields(page)["laid_pile"]) == ("0", "180")


def test_a_word_taken_wrongly_is_taken_back(house: House) -> None:
    page = heard(house, CLOSET, more=f"&without={quote('wall left and right')}")
    assert "wall left" not in visible(page)
    assert "edge_1" not in fields(page), "all sides are seams again"


def test_what_is_not_understood_stays_in_view(house: House) -> None:
    assert "Not understood: dragonfruit" in visible(heard(house, "hall 36 x 33, pile up, dragonfruit; harrow twist"))


def test_how_many_and_how_worn_go_on_to_the_answer_too(house: House) -> None:
    page = heard(house, "2 patches 20 x 10, pile up, worn 2; harrow twist")
    browser = house.browser("Wim")
    answer = browser.post("/patch", data=fields(page) | {"made_by": "Wim"})
    assert answer.status_code == 303
    told = visible(browser.get(answer.location).text)
    assert "(1 of 2)" in told and "(2 of 2)" in told
    assert fields(page)["worn"] == "2"


def test_a_patch_that_cant_be_is_told_where_it_was_said(house: House) -> None:
    page = house.browser("Wim").get(f"/patch/said?words={quote('hall 9000 km x 3 in, pile up, 99999 m x 3; harrow twist')}")
    assert page.status_code == 400
    assert "In one line" in page.text


def test_carpet_that_lies_here_is_logged_only_by_those_who_may(house: House) -> None:
    page = heard(house, CLOSET, "Lou")
    assert "laid_width" not in fields(page)
    assert "logged by people who may work" in visible(page)


@pytest.mark.parametrize("words", ["", "x" * 2_000, "<script>alert(1)</script> 36 x 33"])
def test_nonsense_is_told_plainly(house: House, words: str) -> None:
    page = house.browser("Wim").get(f"/patch/said?words={quote(words)}")
    assert page.status_code in (200, 400)
    assert "<script>alert" not in page.text


def test_programs_are_told_what_a_line_says(house: House) -> None:
    told = house.browser("Wim").get(f"/api/ask?unit=in&words={quote(CLOSET)}").get_json()
    assert (told["job"]["patches"][0]["pile"], told["pieces"][0]["width"], told["ask"]) == (180, 84, [])
    assert {"words": "harrow twist", "of": "", "key": "style", "meaning": "Harrow Twist"} in told["heard"]
