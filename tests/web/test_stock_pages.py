"""Finding, showing and logging pieces; hostile texts in every field."""

import json

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
    too_long = house.browser("Lou").get("/suggest", query_string={"words": f"harow{' x' * 100}"}).get_json()
    assert too_long == {"style": [], "colour": [], "lot": []}, "no part of it is taken for the whole"
    told = house.browser("Lou").get("/suggest?words=harow").get_json()
    assert told["style"][0] == "Harrow Twist" and told["lot"] == ["771"]


def test_logging_takes_four_fields_and_is_ready_for_the_next(house: House) -> None:
    wim = house.browser("Wim")
    answer = wim.post("/log", data={"style": "Velder Loop", "width": "3 ft", "length": "50", "pile": "0", "place": "Bay 4"})
    assert answer.status_code == 303
    page = wim.get(answer.location)
    assert "R-0003" in page.text and 'value="Bay 4"' in page.text
    assert "3&#39; × 4&#39; 2&#34;" in wim.get("/pieces/R-0003").text


def test_all_faults_of_a_piece_are_told_at_once_and_nothing_is_stored(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/log", data={"style": "", "width": "x", "length": "y", "place": "Bay 4"})
    assert page.status_code == 422 and 'href="#width"' in page.text and 'href="#length"' in page.text
    taken = wim.post("/log", data={"style": "Velder Loop", "width": "3", "length": "4", "pile": "0", "new_tag": "R-0001"})
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


PIECE = {"width": "30", "length": "40", "pile": "0", "place": "Bay 4"}


def test_a_misspelt_style_is_asked_about_before_it_becomes_a_style(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/log", data=PIECE | {"style": "veldr lop", "colour": "Oatmeal"})
    assert page.status_code == 422 and "No style is called “veldr lop”" in page.text
    assert 'name="style_is" value="Velder Loop" checked' in page.text and 'value="Bay 4"' in page.text
    assert wim.get("/pieces/R-0003").status_code == 404
    assert wim.post("/log", data=PIECE | {"style": "veldr lop", "style_is": "Velder Loop"}).status_code == 303
    assert "Velder Loop" in wim.get("/pieces/R-0003").text


def test_a_new_style_is_logged_when_it_is_said_to_be_new_or_like_no_other(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/log", data=PIECE | {"style": "Velder Loft", "style_is": "new style"}).status_code == 303
    assert "Velder Loft" in wim.get("/pieces/R-0003").text
    assert wim.post("/log", data=PIECE | {"style": "Qqxz"}).status_code == 303


def test_letter_case_makes_no_new_style(house: House) -> None:
    wim = house.browser("Wim")
    assert wim.post("/log", data=PIECE | {"style": "velder LOOP"}).status_code == 303
    assert "Velder Loop" in wim.get("/pieces/R-0003").text


WAITED = {"Accept": "application/json, text/html;q=0.5"}
"""As a device asks that sends what waited there for signal."""


def test_what_waited_for_signal_is_asked_about_too_and_taken_with_the_answer(house: House) -> None:
    wim = house.browser("Wim")
    piece = PIECE | {"style": "veldr lop", "key": "waited-1"}
    asked = wim.post("/log", data=piece, headers=WAITED)
    assert asked.status_code == 422 and asked.mimetype == "application/problem+json"
    told = json.loads(asked.text)
    assert told["detail"] == "no style is called “veldr lop”; did you mean Velder Loop?"
    assert [choice["value"] for choice in told["choices"]] == ["Velder Loop", "new style"]
    assert {choice["name"] for choice in told["choices"]} == {"style_is"}
    assert wim.get("/pieces/R-0003").status_code == 404, "not booked under a misspelt style"
    for _ in range(2):
        wim.post("/log", data=piece | {"style_is": "Velder Loop"}, headers=WAITED)
    assert "Velder Loop" in wim.get("/pieces/R-0003").text and wim.get("/pieces/R-0004").status_code == 404


def test_a_piece_that_waited_opens_in_its_form_with_the_question_and_keeps_its_key(house: House) -> None:
    wim = house.browser("Wim")
    piece = PIECE | {"style": "veldr lop", "key": "waited-2"}
    page = wim.get("/log", query_string=piece | {"waited": "photo"})
    assert "No style is called “veldr lop”" in page.text and "choose it again" in page.text
    assert 'name="key" value="waited-2"' in page.text and 'value="Bay 4"' in page.text
    assert "choose it again" not in wim.get("/log", query_string=piece | {"waited": "yes"}).text
    assert 'value="waited-2"' in wim.post("/log", data=piece | {"width": "zz", "style": "Velder Loop"}).text
    assert wim.post("/log", data=piece | {"style_is": "Velder Loop"}).status_code == 303
    used = wim.post("/log", data=piece | {"style_is": "Velder Loop", "width": "31"})
    assert used.status_code == 422 and 'value="waited-2"' not in used.text, "a key that was used up is not offered again"


def test_the_place_of_the_last_piece_is_remembered_for_each_person(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    wim.post("/log", data=PIECE | {"style": "Velder Loop"})
    wim.post("/log", data=PIECE | {"style": "Velder Loop", "kind": "laid", "place": "Alder Court 9"})
    assert 'value="Bay 4"' in wim.get("/log").text and "As the last one" in wim.get("/log").text
    assert 'value="Bay 4"' not in maud.get("/log").text
    assert 'value="Bay 9"' in wim.get("/log?place=Bay 9").text


def test_after_logging_the_tag_is_one_press_away_on_the_usual_labels(house: House) -> None:
    wim = house.browser("Wim")
    wim.get("/tags.pdf?tag=R-0001&paper=label-100x50")
    done = wim.get(wim.post("/log", data=PIECE | {"style": "Velder Loop"}).location).text
    assert 'href="/tags.pdf?tag=R-0003&amp;paper=label-100x50"' in done
    assert '<option value="label-100x50" selected>' in wim.get("/pieces/R-0001").text
    assert "R-0003 logged" in done and "Log the next one here" in done
