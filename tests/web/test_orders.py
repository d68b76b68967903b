"""Orders are saved from their page, revised, and told with what changed; papers name the revision that they are of."""

import re

from tests.web.conftest import House
from tests.web.test_order import LOUNGE, PRICED, printed

SAVED = LOUNGE | PRICED | {"key": "k-1"}


def test_an_order_is_saved_from_its_page_and_its_next_revision_is_compared(house: House) -> None:
    """A lounge of 14 x 16 ft, then of 14 x 18 ft with a hall of 9 x 14 ft beside it."""
    wim = house.browser("Wim")
    page = wim.get("/order", query_string=LOUNGE | PRICED).text
    assert 'action="/orders/save"' in page and "Revision of order" in page
    assert wim.post("/orders/save", data=SAVED).headers["Location"] == "/orders/1"
    more = SAVED | {"key": "k-2", "revises": "1", "why": "hall too", "length_1": "18 ft"}
    assert wim.post("/orders/save", data=more | {"name_2": "hall", "width_2": "9 ft", "length_2": "14 ft"}).status_code == 303
    told = re.sub(r"<[^>]+>", "", wim.get("/orders/1").text).replace("&#39;", "'")
    for words in ("Revision 2", "Against revision 1", "hall added, 9' x 14'", "lounge 14' x 18', before 14' x 16'", "hall too"):
        assert words in told
    assert re.search(r"quoted [\d,.]+ EUR, before [\d,.]+ EUR", told)
    assert "Elm End 4" in wim.get("/orders").text


def test_what_is_saved_is_worked_out_again_and_its_papers_name_the_revision(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/orders/save", data=SAVED)
    asked = re.search(r'name="rooms_file" value="([^"]*)"', wim.get("/orders/1").text)
    assert asked
    again = {"rooms_file": asked[1].replace("&#34;", '"').replace("&#39;", "'"), "revises": "1"}
    page = wim.post("/order", data=again).text
    assert 'name="revises" value="1"' in page and '<input type="hidden" name="revises" value="1">' in page, "a change keeps it"
    for name in ("supplier", "ticket", "floors", "house"):
        told = " ".join(text for text, _ in printed(wim.post(f"/order/{name}.pdf", data=again).data))
        assert "Order 1, revision 1" in told
    other = wim.post("/order/floors.pdf", data=SAVED | {"revises": "1", "length_1": "18 ft"})
    assert "revision" not in " ".join(text for text, _ in printed(other.data))


def test_only_people_who_work_save_and_what_cannot_be_is_told(house: House) -> None:
    lou = house.browser("Lou")
    assert lou.post("/orders/save", data=SAVED).status_code == 403
    assert 'action="/orders/save"' not in lou.get("/order", query_string=LOUNGE).text
    assert "No order is saved yet" in lou.get("/orders").text
    for number in ("7", "9" * 30):
        assert lou.get(f"/orders/{number}").status_code == 404
    wim = house.browser("Wim")
    for wrong, code in (("x", 422), ("9" * 30, 422), ("7", 404)):
        assert wim.post("/orders/save", data=SAVED | {"revises": wrong}).status_code == code
