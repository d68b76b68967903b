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


def test_a_manager_sets_a_styles_own_size_and_takes_it_back(house: House) -> None:
    maud, lou = house.browser("Maud"), house.browser("Lou")
    told = {"style": "Velder Loop", "least_short": "1 m", "least_long": "1 m"}
    assert "No style has one." in maud.get("/rules").text and "Styles with a size" not in lou.get("/rules").text
    assert lou.post("/rules/sizes", data=told).status_code == 403
    assert maud.post("/rules/sizes", data=told).status_code == 303
    for page in (maud.get("/rules").text, lou.get("/rules").text):
        assert "Velder Loop: kept if it holds" in page and "3&#39; 3 3/8&#34;" in page and "set by Maud on 2 Mar 2026" in page
    assert maud.post("/rules/sizes", data={"style": "Velder Loop"}).status_code == 303
    assert "No style has one." in maud.get("/rules").text


def test_a_styles_size_that_is_none_is_told_at_its_field_and_changes_nothing(house: House) -> None:
    maud = house.browser("Maud")
    page = maud.post("/rules/sizes", data={"style": "Velder Loop", "least_short": "1 m", "least_long": "wide"})
    assert page.status_code == 422 and 'href="#least_long">Kept from: longer side' in page.text and 'value="wide"' in page.text
    assert "say of which style" in maud.post("/rules/sizes", data={"least_short": "1 m"}).text
    assert "no style is called" in maud.post("/rules/sizes", data={"style": "None Such", "least_short": "1 m"}).text
    assert "No style has one." in maud.get("/rules").text
