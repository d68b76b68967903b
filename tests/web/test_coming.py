"""What an order leaves is promised from its page, seen by who looks for it, and taken in with one tap or put right."""

import re

from tests.web.conftest import House
from tests.web.test_order import LOUNGE

SAVED = LOUNGE | {"style": "Velder Loop", "colour": "Oatmeal", "name_1": "hall", "width_1": "7 ft", "key": "k-1"}


def numbers(page: str) -> list[str]:
    """Those of the leftovers that may be taken in."""
    return re.findall(r'action="/promised/(\d+)"', page)


def test_it_is_promised_seen_and_taken_in_with_its_sizes_put_right(house: House) -> None:
    wim, lou = house.browser("Wim"), house.browser("Lou")
    assert wim.post("/orders/save", data=SAVED).status_code == 303
    assert wim.post("/orders/1/promise", data={"key": "k-2"}).status_code == 303
    page = wim.get("/orders/1").text
    (number,) = numbers(page)
    assert "nobody can cut it yet" in page and numbers(lou.get("/orders/1").text) == []
    found = lou.get("/find", query_string={"words": "velder oatmeal"}).text
    assert "Promised by orders, not to be cut yet" in found and "from order 1" in found
    wrong = wim.post(f"/promised/{number}", data={f"width_{number}": "wide", "key": "k-3"})
    assert wrong.status_code == 422 and f'id="width_{number}-fault"' in wrong.text and 'value="wide"' in wrong.text
    taken = wim.post(f"/promised/{number}", data={f"width_{number}": "4 ft", f"place_{number}": "Bay 3", "key": "k-4"})
    assert taken.status_code == 303 and re.fullmatch(r"/pieces/O-\d+", taken.headers["Location"])
    piece = wim.get(taken.headers["Location"]).text
    assert "Bay 3" in piece and "4&#39;" in piece
    page = wim.get("/orders/1").text
    assert "Received as" in page and "was cut by revision" not in page
    wim.post("/orders/save", data=SAVED | {"width_1": "8 ft", "revises": "1", "key": "k-7"})
    assert "Order 1 was cut by revision 1" in wim.get("/orders/1").text
    assert wim.post(f"/promised/{number}", data={"key": "k-5"}).status_code == 409
    assert wim.post(f"/promised/{'9' * 30}", data={"key": "k-6"}).status_code == 404


def test_it_is_called_off_with_its_order_and_only_by_people_who_work(house: House) -> None:
    wim, lou = house.browser("Wim"), house.browser("Lou")
    wim.post("/orders/save", data=SAVED)
    wim.post("/orders/1/promise", data={"key": "k-2"})
    for path in ("/orders/1/promise", "/orders/1/call-off", "/promised/1"):
        assert lou.post(path, data={"key": "k"}).status_code == 403
    assert wim.post("/orders/1/call-off", data={"key": "k-3"}).status_code == 303
    assert "Called off." in wim.get("/orders/1").text
    assert "Promised" not in lou.get("/find", query_string={"words": "velder oatmeal"}).text
    full = SAVED | {"width_1": "11 ft 9", "key": "k-4"}
    wim.post("/orders/save", data=full)
    refused = wim.post("/orders/2/promise", data={"key": "k-5"})
    assert refused.status_code == 409 and "leaves nothing of its rolls" in refused.text
