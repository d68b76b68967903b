"""The shop's rules on a page: everybody reads them, a manager changes them."""

from tests.web.conftest import House


def test_everybody_reads_them_and_a_manager_changes_them(house: House) -> None:
    lou, maud = house.browser("Lou"), house.browser("Maud")
    assert "A leftover is kept if it holds" in lou.get("/rules").text
    assert "A manager can change them." in lou.get("/rules").text
    assert lou.post("/rules", data={"hold_days": "3"}).status_code == 403
    assert maud.post("/rules", data={"hold_days": "3", "keep_short": "14 in"}).status_code == 303
    assert "<dd>3 days<br>" in lou.get("/rules").text
    assert "set by Maud on" in maud.get("/rules").text


def test_the_button_says_how_long_a_hold_lasts(house: House) -> None:
    house.browser("Maud").post("/rules", data={"hold_days": "3"})
    asked = {"style": "Velder Loop", "shape": "rectangle", "width": "20 in", "length": "10 in", "pile": "0"}
    assert "Hold for 3 days" in house.browser("Wim").get("/patch/answer", query_string=asked).text


def test_what_is_out_of_bounds_is_told_at_its_field_and_nothing_changes(house: House) -> None:
    maud = house.browser("Maud")
    page = maud.post("/rules", data={"hold_days": "900", "old_days": "100"})
    assert page.status_code == 422
    assert "give 1 day to 366 days" in page.text
    assert 'value="900"' in page.text
    assert "set by" not in maud.get("/rules").text


def test_an_empty_field_brings_a_rule_back(house: House) -> None:
    maud = house.browser("Maud")
    maud.post("/rules", data={"hold_days": "3"})
    maud.post("/rules", data={"hold_days": ""})
    assert "set by" not in maud.get("/rules").text
