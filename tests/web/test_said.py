"""A question in one line on the pages: what was understood, what is tapped, and on to the answer."""

import html
import json
import re
from urllib.parse import quote, urlencode

import pytest

from remnants.exchange.sentence import Tap, read_sentence
from remnants.units import Unit, parse_length
from remnants_web.said import changed, example_in
from tests.sentences import NAMES
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


def taps(page: str) -> dict[str, str]:
    """What each tap of the page says, and what it sends."""
    found = re.findall(r'<button name="tap" value="([^"]+)"(?: aria-label="([^"]+)")?>([^<]+)</button>', page)
    return {html.unescape(label or text): html.unescape(value) for value, label, text in found}


def tapped(house: House, page: str, label: str) -> str:
    """The page after a tap."""
    words = html.unescape(re.findall(r'name="words" value="([^"]*)"', page)[-1])
    return heard(house, words, more=f"&tap={quote(taps(page)[label])}")


def fields(page: str) -> dict[str, str]:
    (form,) = re.findall(r'<form method="post" action="/patch">(.*?)</form>', page, flags=re.DOTALL)
    return {html.unescape(name): html.unescape(text) for name, text in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}


def test_the_start_page_asks_in_one_line(house: House) -> None:
    start = house.browser("Wim").get("/").text
    assert 'action="/patch/said"' in start and "Ask in one line" in start
    assert house.browser("Wim").get(f"/patch/said?said={quote(CLOSET)}").status_code == 200


@pytest.mark.parametrize("unit", Unit)
def test_the_example_is_in_the_unit_that_one_reads_and_can_be_asked_as_it_stands(unit: Unit) -> None:
    asked = read_sentence(example_in(unit), Unit.IN if unit is Unit.FT else unit, NAMES)
    assert asked.ask == ()
    (hall,) = asked.job["patches"]
    assert 800 < parse_length(hall["width"], Unit(asked.job["unit"])) < 1000


def test_what_was_understood_is_seen_and_goes_on_to_the_answer(house: House) -> None:
    page = heard(house, CLOSET)
    told = visible(page)
    assert "closet: pile to the right" in told and "down the drawing, the door drawn at the bottom" in told
    assert 'role="img"' in page, "a picture of it"
    asked = fields(page)
    assert (asked["width"], asked["length"], asked["pile"], asked["style"]) == ("36 in", "33 in", "180", "Harrow Twist")
    (closet,) = json.loads(asked["beside"])["pieces"]
    assert (closet["width"], closet["pile"], closet["room"]) == (84, 90, "closet")
    browser = house.browser("Wim")
    answer = browser.post("/patch", data=asked | {"made_by": "Wim"})
    assert answer.status_code == 303
    assert re.search(r"Yes, (in one piece|joined)", browser.get(answer.location).text)


def test_what_is_missing_is_told_with_one_tap_each_and_then_it_can_be_asked(house: House) -> None:
    page = heard(house, "hall 36 x 33; closet 84 x 40; harrow twist")
    assert "Can it be made?" not in page
    assert "Any carpet" in taps(heard(house, "hall 36 x 33, pile up"))
    assert {"Pile up", "Closet pile down"} <= taps(page).keys()
    for tap in ("Pile up", "Closet pile down"):
        page = tapped(house, page, tap)
    assert "Can it be made?" in page
    assert (fields(page)["pile"], json.loads(fields(page)["beside"])["pieces"][0]["pile"]) == ("0", 180)


def test_the_side_of_the_window_is_told_with_one_tap(house: House) -> None:
    page = heard(house, "hall 36 x 33, pile to the window; harrow twist")
    assert "which side the window is on" in visible(page)
    assert fields(tapped(house, page, "Window is left"))["pile"] == "270"


def test_a_word_taken_wrongly_is_taken_back_and_the_rest_stays_as_it_was_typed(house: House) -> None:
    page = tapped(house, heard(house, f"job Alder Court 7; {CLOSET}"), "Not wall left and right")
    assert "wall left" not in visible(page)
    assert "edge_1" not in fields(page), "all sides are seams again"
    assert fields(page)["job"] == "Alder Court 7"


def test_what_is_said_twice_is_taken_back_where_it_was_tapped() -> None:
    words = "hall 20 x 20, pile up; closet 60 x 40, pile up"
    assert changed(words, Tap("", "pile up", words.rindex("pile"))) == "hall 20 x 20, pile up; closet 60 x 40"
    assert changed(words, Tap("pile down", "pile up", words.index("pile"))) == "hall 20 x 20, pile down; closet 60 x 40, pile up"
    assert changed("Thirty by Ten; Oak", Tap("20", "30", 0)) == "20 by 10; oak"
    assert changed(words, Tap("", "gone")) == words


def test_a_colour_that_is_not_there_is_changed_with_one_tap(house: House) -> None:
    page = heard(house, "hall 20 x 20, pile up; harrow twist crimson")
    assert "Can it be made?" not in page, "another colour is never cut instead"
    assert "Leave out crimson" in taps(page)
    assert "Can it be made?" in tapped(house, page, "Leave out crimson")


def test_what_is_not_understood_stays_in_view(house: House) -> None:
    page = heard(house, "hall 36 x 33, pile up, dragonfruit; harrow twist")
    assert "What is meant by dragonfruit" in visible(page)
    assert "Can it be made?" not in page


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


def answered(house: House, words: str, name: str = "Wim") -> str:
    """The answer to what a line asks."""
    browser = house.browser(name)
    answer = browser.post("/patch", data=fields(heard(house, words, name)) | {"made_by": name})
    return browser.get(answer.location).text


def log_form(page: str) -> dict[str, str]:
    """What the page sends to log the carpet that it counted."""
    form = re.findall(r'action="/patch/said/log">(.*?)</form>', page, flags=re.DOTALL)[0]
    return {html.unescape(name): html.unescape(text) for name, text in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}


def test_the_closet_counts_for_the_answer_and_is_logged_by_nobody_but_who_says_so(house: House) -> None:
    wim = house.browser("Wim")
    for _ in range(2):
        page = answered(house, f"{CLOSET}; not O-0007")
        assert "not logged: closet" in visible(page) and "Fetch closet" in visible(page)
    assert wim.get("/pieces/L-0002").status_code == 404, "asking logs nothing"
    assert "Hold for" not in page, "what is in no catalogue can't be held"
    sent = log_form(page)
    refused = wim.post("/patch/said/log", data=sent)
    assert "in which house" in html.unescape(refused.text), "a floor of no house would be offered to every job"
    logged = wim.post("/patch/said/log", data=sent | {"house": "Birch Row 3"})
    answer = visible(wim.get(logged.location).text)
    assert "Logged as L-0002" in answer and "Hold for" in answer
    card = visible(wim.get("/pieces/L-0002").text)
    assert "Birch Row 3" in card and "771" not in card, "no dye lot is guessed"


def test_the_same_floor_told_again_is_never_logged_twice(house: House) -> None:
    wim, words = house.browser("Wim"), f"job Birch Row 3; {CLOSET}; lot 771; not O-0007"
    for _ in range(2):
        page = answered(house, words)
        assert "L-0002" not in visible(page), "the floor counts once, as it was told now"
        sent = log_form(page)
        assert "house" not in sent, "its house is the job's"
        logged = wim.post("/patch/said/log", data=sent)
        assert logged.status_code == 303, visible(logged.text)
    assert wim.get("/pieces/L-0002").status_code == 200
    assert wim.get("/pieces/L-0003").status_code == 404


def test_who_may_look_is_answered_with_the_closet_and_may_not_log_it(house: House) -> None:
    page = answered(house, f"{CLOSET}; not O-0007", "Lou")
    assert "must be logged by people who may work" in visible(page)
    assert house.browser("Lou").post("/patch/said/log", data={"asked": "", "made_by": "Lou"}).status_code == 403


@pytest.mark.parametrize(
    "beside",
    ["{", "[]", '{"pieces": []}', '{"unit": "in", "pieces": [{"tag": "O-0007"}]}', '{"unit": 3, "pieces": [{}]}', "x" * 9000],
)
def test_carpet_that_nobody_can_have_told_is_refused(house: House, beside: str) -> None:
    asked = fields(heard(house, CLOSET)) | {"beside": beside}
    page = house.browser("Wim").get(f"/patch/answer?{urlencode(asked)}")
    assert page.status_code == 422


@pytest.mark.parametrize("words", ["", "x" * 2_000, "<script>alert(1)</script> 36 x 33"])
def test_nonsense_is_told_plainly(house: House, words: str) -> None:
    page = house.browser("Wim").get(f"/patch/said?words={quote(words)}")
    assert page.status_code in (200, 400)
    assert "<script>alert" not in page.text


def test_programs_are_told_what_a_line_says(house: House) -> None:
    told = house.browser("Wim").get(f"/api/ask?unit=in&words={quote(CLOSET)}").get_json()
    assert (told["job"]["patches"][0]["pile"], told["pieces"][0]["width"], told["ask"]) == (180, 84, [])
    assert {"words": "harrow twist", "of": "", "key": "style", "meaning": "Harrow Twist"} in told["heard"]
