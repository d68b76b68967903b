"""Finding, showing and logging pieces; hostile texts in every field."""

import pytest

from tests.web.conftest import House

HOSTILE = (
    "<script>alert(1)</script>",
    "'; DROP TABLE piece; --",
    '" OR 1=1 --',
    "{{7*7}}{% raw %}",
    "${7*7}",
    "../../etc/passwd",
    "%00\x00",
    "\u202etxet",
    "NEAR(a b) AND *",
    "a" * 5000,
    "😀" * 20,
)


def test_words_find_pieces_and_a_tag_goes_straight_to_its_piece(house: House) -> None:
    wim = house.browser("Wim")
    assert "R-0001" in wim.get("/find?words=veldr+lop").text
    assert wim.get("/find?words=r-0001").location.endswith("/pieces/R-0001")
    assert "Nothing in stock" in wim.get("/find?words=qqqq").text


def test_a_piece_tells_its_size_in_the_readers_unit(house: House) -> None:
    wim = house.browser("Wim")
    assert "4&#39; × 5&#39; 6&#34;" in wim.get("/pieces/R-0001").text
    wim.post("/me/preferences", data={"unit": "cm", "theme": "device"})
    assert "121.9 cm × 167.6 cm" in wim.get("/pieces/R-0001").text


def test_suggestions_come_as_typed(house: House) -> None:
    told = house.browser("Lou").get("/suggest?words=harow").json
    assert told["style"][0] == "Harrow Twist" and told["lot"] == ["771"]


def test_logging_takes_four_fields_and_is_ready_for_the_next(house: House) -> None:
    wim = house.browser("Wim")
    answer = wim.post("/log", data={"style": "Velder Loop", "width": "3 ft", "length": "50", "place": "Bay 4"})
    assert answer.status_code == 303
    page = wim.get(answer.location)
    assert "R-0003" in page.text and 'value="Bay 4"' in page.text
    assert "3&#39; × 4&#39; 2&#34;" in wim.get("/pieces/R-0003").text


def test_all_faults_of_a_piece_are_told_at_once_and_nothing_is_stored(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/log", data={"style": "", "width": "x", "length": "y", "place": "Bay 4"})
    assert page.status_code == 422 and 'href="#width"' in page.text and 'href="#length"' in page.text
    taken = wim.post("/log", data={"style": "Velder Loop", "width": "3", "length": "4", "new_tag": "R-0001"})
    assert taken.status_code == 422 and "already" in taken.text
    assert wim.get("/pieces/R-0003").status_code == 404


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_are_texts(house: House, text: str) -> None:
    wim = house.browser("Wim")
    for path in ("/find", "/suggest", "/patch/answer", "/pieces/"):
        answer = wim.get(
            path + (text if path.endswith("/") else ""), query_string={"words": text, "style": text, "width": "4", "length": "4"}
        )
        assert answer.status_code < 500, (path, answer.text)
        assert "<script>alert" not in answer.text
    fields = dict.fromkeys(("style", "colour", "lot", "place", "new_tag", "worn", "kind", "pile", "shape", "corners"), text)
    answer = wim.post("/log", data=fields | {"width": "4", "length": "4"})
    assert answer.status_code in (303, 422, 413)
    assert "<script>alert" not in answer.text
    kept = wim.post("/log", data={"style": text, "colour": text, "lot": text, "place": text, "width": "4", "length": "4"})
    assert kept.status_code in (303, 422)
    if kept.status_code == 303:
        page = wim.get("/pieces/R-0003").text
        assert "<script>alert" not in page and "R-0003" in page
    assert wim.get("/pieces/R-0001").status_code == 200


@pytest.mark.parametrize("path", ["/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static/%5c..%5capp.py"])
def test_no_path_leads_out_of_what_is_served(house: House, path: str) -> None:
    assert house.browser("Maud").get(path).status_code in (400, 404)


def test_too_much_is_refused(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/log", data={"style": "a" * 600_000}).status_code == 413
    assert wim.post("/log", data={f"f{i}": "1" for i in range(2000)}).status_code in (303, 413, 422)


def test_a_form_sent_twice_logs_one_piece(house: House) -> None:
    wim = house.browser("Wim")
    form = {"style": "Velder Loop", "width": "30", "length": "40", "place": "Bay 4", "key": "a-key-of-this-form"}
    first, second = wim.post("/log", data=form), wim.post("/log", data=form)
    assert first.location == second.location
    assert wim.get("/pieces/R-0004").status_code == 404
    assert wim.post("/log", data=form | {"width": "31"}).status_code == 422
