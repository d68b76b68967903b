"""A refusal speaks of the form: under the field's own name, with a link to it, and of the figure as it was typed."""

import html
import re
from typing import NamedTuple

import pytest

from tests.web.conftest import House

LONG = "x" * 600
PIECE = {"style": "Velder Loop", "colour": "Oatmeal", "lot": "4471-B", "width": "40", "length": "60", "pile": "0"}
PATCH = {"style": "Harrow Twist", "width": "40", "length": "14", "pile": "90", "job": "Alder Court 7"}
CLOSET = PATCH | {"laid_width": "30", "laid_length": "40", "laid_pile": "0"}
ROOMS = {"roll_width": "12 ft", "name_1": "lounge", "width_1": "14 ft", "length_1": "16 ft"} | {
    "name_2": "hall",
    "width_2": "4 ft",
    "length_2": "9 ft",
}
DOOR = ROOMS | {"door_1": "left", "door_from_1": "1", "door_width_1": "30"}
STAIRS = ROOMS | {"steps": "3", "stair_width": "3 ft", "stair_tread": "10", "stair_riser": "7"}


class Refusal(NamedTuple):
    """A line of what is wrong: the field that its link leads to, what it calls that, and what it says."""

    field: str
    called: str
    what: str


def refusals(page: str) -> list[Refusal]:
    block = re.search(r'id="faults">(.*?)</div>', page, re.DOTALL)
    assert block, "nothing is refused"
    lines = re.findall(r'<li><a href="#([^"]*)">(.*?)</a>: (.*?)</li>', block[1], re.DOTALL)
    assert len(lines) == block[1].count("<li>"), "each names a field"
    return [Refusal(*map(html.unescape, line)) for line in lines]


def label(page: str, field: str) -> str:
    """What the form itself calls the field."""
    patterns = (rf'<label for="{field}">(.*?)</label>', rf'<fieldset[^>]*id="{field}"[^>]*>\s*<legend[^>]*>(.*?)</legend>')
    found = next((found for pattern in patterns if (found := re.search(pattern, page))), None)
    assert found, f"the form has no field {field}"
    return html.unescape(found[1])


def refused(house: House, path: str, sent: dict[str, str]) -> Refusal:
    """The one thing that is refused, called as the field that is at fault is."""
    page = house.browser("Maud").post(path, data=sent)
    assert page.status_code == 422
    (told,) = refusals(page.text)
    own = label(page.text, told.field)
    assert told.called in (own, f"Room {told.field[-1]}, {own[:1].lower()}{own[1:]}")
    assert "mm'" not in told.what, "nobody typed millimetres"
    return told


@pytest.mark.parametrize(
    ("path", "usual", "wrong"),
    [
        ("/log", PIECE, {"new_tag": "R-0001"}),
        ("/log", PIECE, {"new_tag": LONG}),
        ("/log", PIECE, {"pile": "x"}),
        ("/log", PIECE, {"lot": LONG}),
        ("/patch", PATCH, {"name": LONG}),
        ("/patch", PATCH, {"edge_2": "x"}),
        ("/patch", PATCH, {"max_parts": "9"}),
        ("/patch", PATCH, {"house": "Alder Court 7, hall"}),
        ("/patch", PATCH, {"use": "R-0001", "avoid": "R-0001"}),
        ("/patch", CLOSET, {"laid_pile": "x"}),
        ("/order", ROOMS, {"roll_lot": LONG}),
        ("/order", ROOMS, {"amount": "3", "currency": "?"}),
        ("/order", ROOMS, {"amount": "3", "currency": "EUR", "per": "x"}),
        ("/order", ROOMS, {"name_2": "lounge"}),
        ("/order", ROOMS, {"name_2": LONG}),
        ("/order", ROOMS, {"use_2": "repair", "name_2": LONG}),
        ("/order", ROOMS, {"held": "J-0900"}),
        ("/order", ROOMS, {"corner_1": "x"}),
        ("/order", ROOMS | {"pile_1": "0"}, {"pile_2": "x"}),
        ("/order", DOOR, {"door_to_1": "cellar"}),
        ("/order", DOOR | {"door_to_1": "hall", "pile_1": "0", "pile_2": "90"}, {"pile_1": "180"}),
        ("/order", STAIRS, {"stair_joins": "attic"}),
        ("/order", STAIRS, {"steps": "0"}),
    ],
    ids=lambda value: ",".join(value)[:40] if isinstance(value, dict) and len(value) < 3 else "",
)
def test_what_is_wrong_is_told_under_the_fields_own_name(
    house: House, path: str, usual: dict[str, str], wrong: dict[str, str]
) -> None:
    assert refused(house, path, usual | wrong).field in wrong


@pytest.mark.parametrize(
    ("path", "usual", "wrong"),
    [
        ("/log", PIECE, {"width": "99999999 ft"}),
        ("/patch", PATCH, {"wall": "-3"}),
        ("/patch", PATCH, {"seam": "1 inchh"}),
        ("/order", ROOMS, {"width_1": "-4"}),
        ("/order", ROOMS, {"width_1": "99999999 ft"}),
        ("/order", ROOMS, {"use_2": "repair", "length_2": "99999999 ft"}),
        ("/order", ROOMS, {"roll_width": "-12 ft"}),
        ("/order", ROOMS | {"roll_width": ""}, {"roll_width_3": "-12 ft"}),
        ("/order", ROOMS, {"step": "-3"}),
        ("/order", ROOMS, {"trim_wall": "-3"}),
        ("/order", ROOMS | {"corner_1": "ur", "out_length_1": "5 ft"}, {"out_width_1": "15 ft"}),
        ("/order", DOOR, {"door_width_1": "-30"}),
        ("/order", STAIRS, {"stair_tread": "-10"}),
        ("/rules", {}, {"keep_short": "-3"}),
        ("/rules/sizes", {"style": "Velder Loop", "least_long": "1 m"}, {"least_short": "-3"}),
    ],
    ids=lambda value: ",".join(value)[:40] if isinstance(value, dict) and len(value) < 3 else "",
)
def test_a_figure_that_cannot_be_is_told_as_it_was_typed(
    house: House, path: str, usual: dict[str, str], wrong: dict[str, str]
) -> None:
    told = refused(house, path, usual | wrong)
    *_, (field, typed) = wrong.items()
    assert told.field == field
    assert f"'{typed}'" in told.what


def test_a_fault_of_a_file_that_was_sent_is_told_with_its_place_there(house: House) -> None:
    file = '{"unit": "in", "roll": {"width": -144}, "rooms": [{"name": "lounge", "width": 100, "length": 0}]}'
    page = house.browser("Maud").post("/order", data={"rooms_file": file}).text
    assert [(told.field, told.what) for told in refusals(page)] == [
        ("rooms_file", "roll.width: -144 is no size: give a length above zero"),
        ("rooms_file", "rooms[0].length: lounge: 0 is no size: give a length above zero"),
    ]


def test_a_shared_part_calls_a_field_as_the_page_at_hand_does_and_not_as_the_page_asked_first(house: House) -> None:
    """A part of several pages is compiled when the first of them is asked; it told that page's words on the others."""
    with house.app.test_request_context("/order"):
        shared = house.app.jinja_env.from_string("{{ 'use' | label }}")

    def told_on(path: str) -> str:
        with house.app.test_request_context(path):
            return shared.render()

    assert [told_on(path) for path in ("/order", "/patch", "/propose", "/order")] == ["Use", "Cut from", "Cut from", "Use"]
