"""Where a person typed on a page or in one line, no refusal speaks of a file: its keys and their numbers are nobody's words."""

import html
import re
from collections.abc import Iterator

import pytest

from remnants.limits import SENTENCE
from tests.web.conftest import Browser, House
from tests.web.crawl import read_page

KEY_PATH = re.compile(r"\b[a-z_]+\[\d+\]|\[\d+\]\.|\b(?:patches|pieces|rooms|edges|doorways|allowance|repeat)\.[a-z]")
WRONG = ("-3", "0", "99999999 ft", "1e999", "x", "9" * 400, "0, 0\n10, 10\n10, 0\n0, 10", '{"unit": "in"}', "[[]]", "\u202ehall")
PATCH = {"style": "Harrow Twist", "width": "40", "length": "14", "pile": "90", "job": "Alder Court 7"}
CLOSET = {"laid_width": "30", "laid_length": "40", "laid_pile": "0"}
FORMS = {
    "patch": ("/patch", PATCH | CLOSET),
    "ell": ("/patch", PATCH | {"shape": "ell", "ell_width": "60", "ell_length": "40", "out_width": "20", "out_length": "15"}),
    "corners": ("/patch", PATCH | {"shape": "corners", "corners": "0, 0\n40, 0\n40, 14"}),
    "round": ("/patch", PATCH | {"shape": "round", "across": "14"}),
    "log": ("/log", {"style": "Velder Loop", "width": "40", "length": "60", "pile": "0"}),
    "propose": ("/propose", PATCH | {"damage_width_1": "3", "damage_length_1": "3", "damage_x_1": "4", "damage_y_1": "4"}),
    "order": ("/order", {"roll_width": "12 ft", "name_1": "lounge", "width_1": "14 ft", "length_1": "16 ft"}),
}
SIZES = ("0 x 33", "99999999 ft x 33", "circle of 99999999 ft", "circle of 0", "L 60 x 40, notch 80 x 15 upper left", "36 x 33")
SAID = ("use R-9999", "leave out R-9999", "99 parts", "9999 patches", "seam 99999999 ft", "wall -3 in", f"job {'x' * 120}")
BESIDE = ("closet 99999999 ft x 30 pile up", "closet 0 x 30 pile up", "closet 60 x 30", "roll piece 1e999 x 3 pile up")


def refusals(page: str) -> list[str]:
    """What stands in the boxes that tell of faults, and what must still be told, without what was typed."""
    blocks = re.findall(r'id="(?:faults|missing)">(.*?)</(?:div|section)>', page, re.DOTALL)
    told = [html.unescape(re.sub(r"<[^>]*>", " ", block)) for block in blocks]
    return [re.sub(r"'[^']*'", "''", text) for text in told]


def fields_of(browser: Browser, path: str) -> Iterator[str]:
    for form in read_page(path, browser.get(path).text).forms:
        if form.method == "post" and form.action.partition("?")[0] == path:
            yield from form.fields


@pytest.mark.parametrize("form", FORMS)
def test_no_form_refuses_in_a_files_keys(house: House, form: str) -> None:
    """All fields wrong at once in each way, and each field by itself in one: whatever was found first hides nothing."""
    path, usual = FORMS[form]
    maud = house.browser("Maud")
    fields = list(dict.fromkeys((*fields_of(maud, path), *usual)))
    sent = [dict.fromkeys(usual, wrong) for wrong in WRONG] + [dict.fromkeys(fields, wrong) for wrong in WRONG]
    sent += [usual | {field: WRONG[at % len(WRONG)]} for at, field in enumerate(fields)]
    refused = 0
    for given in sent:
        answer = maud.post(path, data=given)
        told = refusals(answer.text)
        refused += bool(told)
        assert not [text for text in told if KEY_PATH.search(text)], given
    assert refused >= 15


def test_no_line_is_refused_in_a_files_keys(house: House) -> None:
    maud = house.browser("Maud")
    lines = [f"hall {size}, pile up; harrow twist" for size in SIZES]
    lines += [f"hall 36 x 33, pile up; harrow twist; {more}" for more in (*SAID, *BESIDE)]
    for line in lines:
        page = maud.get("/patch/said", query_string={"words": line[:SENTENCE]})
        told = refusals(page.text)
        assert not [text for text in told if KEY_PATH.search(text)], line
        assert page.status_code == 200 or (page.status_code == 400 and '<a href="#words">In one line</a>' in page.text), line
        assert "Can it be made?" in page.text or told, line
        form = next((one for one in read_page("/", page.text).forms if one.action == "/patch"), None)
        if form and "Can it be made?" in page.text:
            answer = maud.post("/patch", data=form.fields)
            assert not [text for text in refusals(answer.text) if KEY_PATH.search(text)], line
