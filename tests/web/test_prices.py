"""The prices that the shop keeps: managers set them on a page, nobody else sees them, and quotes are made by them."""

import io
import json

from tests.test_cli_prices import SPRING
from tests.web.conftest import House
from tests.web.test_order import LOUNGE, printed

TYPED = {"price_list": "carpet, 20, m2\ncarpet, 31, m2, Ambry Plain", "currency": "EUR", "tax_percent": "19", "seen": "0"}


def test_a_manager_sets_them_and_sees_who_changed_what(house: House) -> None:
    maud = house.browser("Maud")
    assert "Put these in force" in maud.get("/prices").text
    assert maud.post("/prices", data=TYPED | {"key": "k-1"}).status_code == 303
    page = maud.get("/prices").text
    assert "carpet, 31.00, m2, Ambry Plain" in page and "the first list, 2 prices" in page
    file = {"file": (io.BytesIO(json.dumps(SPRING).encode()), "prices.json"), "seen": "1", "key": "k-2"}
    assert maud.post("/prices", data=file).status_code == 303
    assert "carpet 26.50 for m², before 20.00 for m²" in maud.get("/prices").text
    assert json.loads(maud.get("/prices/prices.json").text)["lines"][0]["amount"] == "26.5"


def test_a_list_that_another_changed_meanwhile_is_not_written_over(house: House) -> None:
    maud = house.browser("Maud")
    maud.post("/prices", data=TYPED | {"key": "k-1"})
    late = maud.post("/prices", data=TYPED | {"price_list": "carpet, 5, m2", "key": "k-2"})
    assert late.status_code == 409 and "since you looked at them" in late.text
    assert "20.00" in maud.get("/prices").text


def test_what_is_wrong_stands_at_its_field_and_what_was_typed_stays(house: House) -> None:
    maud = house.browser("Maud")
    for changes, field in (
        ({"price_list": "carpet 20"}, "price_list"),
        ({"currency": "XXQ"}, "currency"),
        ({"price_list": "bar, 3, each, Velder Loop"}, "price_list"),
    ):
        page = maud.post("/prices", data=TYPED | changes | {"key": "k"})
        assert page.status_code == 422 and f'id="{field}-fault"' in page.text
    bad = maud.post("/prices", data={"file": (io.BytesIO(b"\xff\x00"), "x.json"), "seen": "0", "key": "k-3"})
    assert bad.status_code == 422 and 'id="file-fault"' in bad.text


def test_nobody_but_managers_sees_them_and_quotes_are_made_by_them(house: House) -> None:
    house.browser("Maud").post("/prices", data=TYPED | {"margin_percent": "10", "key": "k-1"})
    lou = house.browser("Lou")
    assert lou.get("/prices").status_code == 403 and lou.get("/prices/prices.json").status_code == 403
    page = lou.get("/order", query_string=LOUNGE).text
    assert 'action="/order/quote.pdf"' in page and "20.00" not in page
    told = " ".join(text for text, _ in printed(lou.get("/order/quote.pdf", query_string=LOUNGE).data))
    assert "22.00 EUR" in told and "20.00 EUR" not in told and "10 %" not in told
