"""The page where rooms are drawn: what its form tells is drawn, checked and led into the order."""

import json
import re
from html import unescape

from tests.web.conftest import House

FORM = {
    "name_1": "Lounge",
    "width_1": "14 ft",
    "length_1": "16 ft",
    "door_1": "right",
    "door_from_1": "3 ft",
    "door_width_1": "32",
    "name_2": "Hall",
    "width_2": "4 ft",
    "length_2": "16 ft",
    "x_2": "14 ft",
    "wall_between": "4 1/2",
    "roll_width": "12 ft",
}


def page(house: House, **fields: str) -> tuple[int, str]:
    answer = house.browser("Wim").get("/order/draw", query_string=FORM | fields)
    return answer.status_code, unescape(answer.text)


def test_rooms_are_drawn_their_doorway_opens_both_and_the_order_takes_them(house: House) -> None:
    status, text = page(house)
    assert status == 200 and text.count('<polygon class="plan-room"') == 2 and text.count('class="plan-door"') == 2
    assert "Nothing overlaps, and every doorway leads to a room." in text
    found = re.search(r'name="rooms_file" value="(.*?)">', house.browser("Wim").get("/order/draw", query_string=FORM).text)
    assert found
    file = json.loads(unescape(found[1]))
    lounge, hall = file["rooms"]
    assert lounge["doorways"] == [{"edge": 1, "from": 36, "width": 32, "depth": 4.5, "to": "Hall"}]
    assert hall["doorways"] == [{"edge": 3, "from": 124, "width": 32, "to": "Lounge"}]
    order = house.browser("Wim").post("/order", data={"rooms_file": json.dumps(file)})
    assert order.status_code == 200 and "Order " in order.text


def test_what_overlaps_is_told_and_a_slip_at_its_field(house: House) -> None:
    status, text = page(house, x_2="13 ft")
    assert status == 200 and "Lounge and Hall overlap by 16.0 ft²: move one of them" in text.replace("\N{NO-BREAK SPACE}", " ")
    status, text = page(house, x_2="over there")
    assert status == 422 and 'id="x_2-fault"' in text
    status, text = page(house, door_1="across")
    assert status == 422 and 'id="door_1-fault"' in text


def test_an_empty_form_is_shown_without_a_fault(house: House) -> None:
    answer = house.browser("Wim").get("/order/draw")
    assert answer.status_code == 200 and "On to the order" not in answer.text
    assert "Draw the rooms and push them together" in house.browser("Wim").get("/order").text
