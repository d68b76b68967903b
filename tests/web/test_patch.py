"""The patch flow without scripts: the form, the answer, what can't be read."""

import html
import json
import re

import pytest
from werkzeug.test import TestResponse

from remnants.exchange import read_job
from tests.web.conftest import House

ASKED = {"style": "Harrow Twist", "shape": "rectangle", "width": "40", "length": "14", "pile": "90", "job": "Alder Court 7"}

ELL = {"shape": "ell", "ell_width": "40", "ell_length": "24", "out_width": "10", "out_length": "8"}


def ask(house: House, name: str = "Wim", /, **changes: str) -> TestResponse:
    browser = house.browser(name)
    answer = browser.post("/patch", data=ASKED | changes)
    return browser.get(answer.location) if answer.status_code == 303 else answer


def visible(page: str) -> str:
    """The words of a page, drawings and markup left out."""
    plain = re.sub(r"<(svg|script|head)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", plain)).split())


def test_a_typed_patch_gets_its_answer_with_drawings_and_words(house: House) -> None:
    page = ask(house)
    assert "Yes, in one piece" in page.text and "O-0007" in page.text
    assert page.text.count('role="img"') >= 2
    told = visible(page.text)
    assert "1 patch, cut 1' 4\" × 3' 6\"" in told, "the cuts stand beside the drawing in words"
    assert ' style="' not in page.text, "the content policy forbids inline styles"


def test_no_two_things_on_a_page_have_one_id(house: House) -> None:
    ids = [part.partition('"')[0] for part in ask(house).text.split(' id="')[1:]]
    assert len(ids) == len(set(ids))


def test_a_piece_can_be_left_out_and_the_next_best_is_told(house: House) -> None:
    first = ask(house)
    assert "Leave it out" in first.text
    link = re.search(r'href="([^"]+)" aria-label="Leave O-0007 out"', first.text)
    assert link is not None
    again = house.browser("Wim").get(html.unescape(link[1]))
    told = visible(again.text)
    assert "Left out: O-0007" in told
    assert "Fetch O-0007" not in told and "Fetch" in told


def test_a_piece_that_was_passed_over_can_be_asked_for(house: House) -> None:
    page = ask(house).text
    link = re.search(r'href="([^"]+)" aria-label="Use ([A-Z]-\d+)"', page)
    assert link is not None, "some piece would do as well"
    told = visible(house.browser("Wim").get(html.unescape(link[1])).text)
    assert f"Fetch {link[2]}" in told and f"Must be used: {link[2]}" in told


def test_pattern_feet_light_narrowest_part_and_another_style_are_told_on_the_form_as_in_a_file(house: House) -> None:
    told = {"motif_x": "2", "motif_y": "5 1/2", "traffic": "90", "light": "180", "substitute": "yes", "min_part": "8"}
    page = ask(house, **told).text
    job = json.loads(html.unescape(re.search(r'name="job_file" value="([^"]*)"', page)[1]))  # type: ignore[index]
    (patch,) = job["patches"]
    asked = read_job(job)
    assert (patch["traffic"], patch["light"], patch["substitute"]) == (90, 180, True)
    assert asked.patches[0].motif == pytest.approx((2 * 25.4, 5.5 * 25.4)) and asked.min_part_mm == pytest.approx(8 * 25.4)


def test_a_note_is_asked_told_with_the_answer_and_not_carried_to_the_next_patch(house: House) -> None:
    assert "note mind the cat" in visible(ask(house, note="mind the cat").text)
    next_one = ask(house, note="mind the cat", add="1").text
    assert 'id="note" name="note" type="text" value=""' in next_one
    refused = ask(house, note="x" * 5000)
    assert refused.status_code == 422
    assert "Note : a text of 5,000 characters" in visible(refused.text)


def test_what_will_be_seen_is_told(house: House) -> None:
    told = visible(ask(house).text)
    assert "What will be seen" in told and "beside the floor" in told


def test_lengths_are_told_as_the_reader_reads_them_whatever_was_typed(house: House) -> None:
    assert "the cut is 1' 4\" across by 3' 6\" along" in visible(ask(house, width="101.6 cm").text)
    wim = house.browser("Wim")
    wim.post("/me/preferences", data={"unit": "cm", "theme": "light"})
    told = visible(wim.get("/patch/answer", query_string=ASKED | {"width": "40 in", "length": "14 in", "seam": "2.54"}).text)
    assert "the cut is 40.6 cm across by 106.7 cm along" in told
    assert not re.search(r"\d' |\d in\b", told.partition("Order of work")[0])


def test_what_the_customer_must_hear_and_the_cautions_of_the_work_stand_beside_the_answer(house: House) -> None:
    told = visible(ask(house, lot="772").text)
    assert "Tell the customer" in told and "lot 771 instead of 772" in told
    assert "Mind: Cut away from your hand" in told and "asbestos" in told
    assert "seam tape" in told


@pytest.mark.parametrize(
    "changes",
    [
        {"shape": "ell", "ell_width": "40", "ell_length": "2 ft", "out_width": "10", "out_length": "30 cm"},
        ELL | {"notch": "ll"},
        {"shape": "round", "across": "12"},
        {"shape": "corners", "corners": "0, 0\n40, 0\n40, 14\n20, 1' 5\"\n0, 14"},
    ],
)
def test_every_shape_is_answered(house: House, changes: dict[str, str]) -> None:
    assert "verdict" in ask(house, **changes).text


def test_what_does_not_fit_is_told_with_the_figure(house: House) -> None:
    page = ask(house, width="30 ft", length="20 ft")
    assert "No, nothing fits" in page.text and "short" in page.text
    assert 'href="/order?style=Harrow+Twist' in page.text, "then the way to new roll is one press away"


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"width": "zz"}, "width", "is no length"),
        ({"width": ""}, "width", "give a length"),
        ({"width": "-3"}, "width", ""),
        ({"width": "nan"}, "width", ""),
        ({"shape": "corners", "corners": "0,0\n1"}, "corners", "two lengths"),
        ({"shape": "corners", "corners": "0,0\n10,10\n10,0\n0,10"}, "corners", "crosses"),
        ({"pile": "north"}, "pile", "no bearing"),
        ({"edge_0": "glue"}, "edge_0", "not one of"),
        ({"max_parts": "9"}, "max_parts", "4"),
        ({"seam": "-1"}, "seam", ""),
        ({"min_part": "zz"}, "min_part", "is no length"),
        ({"motif_x": "3"}, "motif_y", "tell both"),
        ({"light": "north"}, "light", "no bearing"),
        ({"substitute": "perhaps"}, "substitute", "not one of"),
        ({"shape": "ell", "ell_width": "40", "ell_length": "20", "out_width": "50", "out_length": "3"}, "out_width", "smaller"),
        (ELL | {"notch": "x"}, "notch", "is no corner"),
    ],
)
def test_what_cant_be_read_is_told_at_its_field_and_nothing_typed_is_lost(
    house: House, changes: dict[str, str], field: str, told: str
) -> None:
    page = ask(house, **changes)
    assert page.status_code == 422
    assert f'href="#{field}"' in page.text and told in page.text
    assert 'value="Alder Court 7"' in page.text


def test_the_closet_is_logged_and_asked_in_one_go(house: House) -> None:
    page = ask(house, laid_width="3 ft", laid_length="5 ft", laid_room="cupboard", laid_pile="90", lot="771")
    assert "Logged as" in page.text and "L-0002" in page.text
    assert "cupboard" in house.browser("Wim").get("/pieces/L-0002").text
    assert "771" not in visible(house.browser("Wim").get("/pieces/L-0002").text), (
        "the patch's dye lot isn't the closet's by guess"
    )


def test_a_closet_of_no_house_counts_for_that_answer_alone_and_is_not_logged(house: House) -> None:
    """A floor of no house would be offered to every job as one of its own."""
    page = ask(house, laid_width="3 ft", laid_length="5 ft", laid_pile="90", job="", style="Velder Loop", colour="Moss")
    assert page.status_code == 200 and "Counted for this answer alone, and not logged: closet." in page.text
    assert ask(house, "Lou", laid_width="3 ft", laid_length="5 ft", laid_pile="90", job="").status_code == 200
    assert ask(house, laid_width="3 ft", laid_length="5 ft", job="").status_code == 422, "its pile is asked for"
    assert house.browser("Wim").get("/pieces/L-0002").status_code == 404


def test_looking_is_enough_to_ask_but_not_to_log_the_closet(house: House) -> None:
    assert ask(house, "Lou").status_code == 200
    assert ask(house, "Lou", laid_width="3 ft", laid_length="5 ft").status_code == 403


def test_a_faulty_closet_logs_nothing(house: House) -> None:
    assert ask(house, laid_width="3 ft", laid_length="zz").status_code == 422
    assert house.browser("Wim").get("/pieces/L-0002").status_code == 404


def test_a_tag_beside_sizes_asks_at_once_and_without_them_the_form_waits_for_the_size(house: House) -> None:
    wim = house.browser("Wim")
    asked = wim.post("/patch", data=ASKED | {"style": "", "tag": "o-0007"})
    assert asked.status_code == 303 and "style=Harrow+Twist" in asked.location and "tag" not in asked.location
    waiting = wim.post("/patch", data={"tag": "O-0007", "job": "Fern Row 2", "key": "k"})
    assert waiting.status_code == 200 and "Now the size" in waiting.text and 'value="Fern Row 2"' in waiting.text


def test_what_is_kept_at_an_address_is_offered_and_taken(house: House) -> None:
    wim = house.browser("Wim")
    page = wim.post("/patch", data={"tag": "alder court", "width": "40"})
    assert 'name="take" value="L-0001"' in page.text and 'value="40"' in page.text
    taken = wim.post("/patch", data={"tag": "alder court", "take": "L-0001"})
    assert 'value="Harrow Twist"' in taken.text
    lost = wim.post("/patch", data={"tag": "Nowhere 9%", "width": "40"})
    assert lost.status_code == 404 and "nothing is kept or laid" in lost.text and 'value="40"' in lost.text


def test_the_carpet_can_be_taken_from_a_tag(house: House) -> None:
    page = house.browser("Wim").get("/patch?tag=o-0007")
    assert 'value="Harrow Twist"' in page.text and 'value="771"' in page.text
    assert "No piece has the tag" in house.browser("Wim").get("/patch?tag=Z-9").text


@pytest.mark.parametrize("unit, typed", [("cm", "101.6"), ("m", "1.016"), ("mm", "1016")])
def test_bare_figures_are_in_the_readers_unit(house: House, unit: str, typed: str) -> None:
    wim = house.browser("Wim")
    wim.post("/me/preferences", data={"unit": unit, "theme": "light"})
    length = {"cm": "35.56", "m": "0.3556", "mm": "355.6"}[unit]
    answer = wim.post("/patch", data=ASKED | {"width": typed, "length": length})
    assert "Yes, in one piece" in wim.get(answer.location).text


def test_the_rooms_of_a_job_stay_with_it_through_asking_adding_and_asking_again(house: House) -> None:
    hall = {"name": "hall", "width": "80 in", "length": "40 in", "lanes": [[["20 in", "0 in"], ["20 in", "40 in"]]]}
    rooms = json.dumps([hall])
    page = ask(house, room="hall", rooms=rooms)
    assert "they run across the way people walk" in visible(page.text)
    wim = house.browser("Wim")
    added = wim.post("/patch", data=ASKED | {"room": "hall", "rooms": rooms, "add": "1", "name": "first"})
    form = wim.get(added.location).text
    assert html.escape(rooms).replace("&quot;", "&#34;") in form
    assert "first, in hall" in visible(form)
    lost = wim.post("/patch", data=ASKED | {"room": "den", "rooms": rooms})
    assert lost.status_code == 422 and "none of the job's rooms" in html.unescape(lost.text)
    again = re.search(r'href="([^"]+)" aria-label="Leave O-0007 out"', page.text)
    assert again is not None and "rooms=" in again[1]
    assert "people walk" in visible(wim.get(html.unescape(again[1])).text)


def test_the_same_closet_asked_twice_is_one_piece(house: House) -> None:
    ask(house, laid_width="3 ft", laid_length="5 ft", laid_room="cupboard", laid_pile="0", lot="771")
    page = ask(house, laid_width="3 ft 1 in", laid_length="5 ft", laid_room="Cupboard", laid_pile="0")
    assert "Logged as" in page.text and "L-0002" in page.text
    wim = house.browser("Wim")
    assert "37 in" in visible(wim.get("/pieces/L-0002").text) or "3' 1\"" in visible(wim.get("/pieces/L-0002").text)
    assert wim.get("/pieces/L-0003").status_code == 404


def test_whose_carpet_may_be_used_is_said_on_the_form(house: House) -> None:
    assert "O-0007" in ask(house, use="o-0007").text
    told = visible(ask(house, avoid="O-0007, L-0001", width="20").text)
    assert "O-0007 the job says to avoid it" in told
    elsewhere = visible(ask(house, avoid="O-0007", house="Fern Row 2").text)
    assert "laid in another house" in elsewhere and "nothing is kept or laid in 'Fern Row 2'" in elsewhere
    allowed = visible(ask(house, avoid="O-0007", house="Fern Row 2", may_other_houses="1").text)
    assert "Fetch L-0001" in allowed


def test_a_tag_that_nobody_has_is_told_at_its_field_with_the_nearest(house: House) -> None:
    page = ask(house, use="O-007")
    assert page.status_code == 422 and 'href="#use"' in page.text and "the nearest are O-0007" in page.text
    page = ask(house, house="Fern Row 2, hall")
    assert page.status_code == 422 and 'href="#house"' in page.text


def test_the_patches_of_a_house_are_asked_and_booked_together(house: House) -> None:
    wim = house.browser("Wim")
    hall = ASKED | {"name": "hall", "room": "hall", "edge_0": "wall", "add": "1"}
    back = wim.post("/patch", data=hall)
    assert back.status_code == 303 and back.location.startswith("/patch?")
    form = wim.get(back.location).text
    assert "In this job already:" in form and "hall, in hall, 3&#39; 4&#34; × 1&#39; 2&#34;" in form
    assert 'id="width" name="width" type="text" value=""' in form
    (told,) = re.findall(r'name="patches" value="([^"]*)"', form)
    den = ASKED | {"name": "den", "room": "den", "width": "12", "length": "10", "patches": html.unescape(told)}
    page = wim.get(wim.post("/patch", data=den).location).text
    assert "Lay: hall" in page and "Lay: den" in page
    gone = {"patches": html.unescape(told), "drop": "0", "job": "Alder Court 7"}
    dropped = wim.get(wim.post("/patch", data=gone).location).text
    assert "In this job already" not in dropped
    for torn in ("[1", '["a"]', '[{"name": "x"}]'):
        assert wim.post("/patch", data=ASKED | {"patches": torn}).status_code == 422
    wrong = wim.post("/patch", data=den | {"width": "zz"})
    assert wrong.status_code == 422 and 'href="#width"' in wrong.text and "hall, in hall" in wrong.text


def test_how_worn_the_carpet_there_is_can_be_told_and_makes_the_answer_surer(house: House) -> None:
    """Not told it may be any wear, and the best match is plain at worst."""
    unsure, sure = (html.unescape(ask(house, worn=worn).text) for worn in ("", "0"))
    assert "the room's wear not stated" in unsure and "plain at worst" in unsure
    assert "the room's wear not stated" not in sure and "plain at worst" not in sure


def test_of_any_piece_it_can_be_asked_why_it_is_not_the_choice(house: House) -> None:
    page = ask(house).text
    link = re.search(r'href="([^"]+)" aria-label="Why not ([A-Z]-\d+)\?"', page)
    assert link is not None, "each piece that was passed over can be asked about with one tap"
    address = html.unescape(link[1])
    told = visible(house.browser("Wim").get(address.partition("#")[0]).text)
    assert f"{link[2]}: " in told and ("makes it" in told or "Nothing that was tried" in told)
    other = house.browser("Wim").get(address.partition("#")[0].replace(f"why_not={link[2]}", "why_not=X-99"))
    assert "no piece has the tag 'X-99'" in visible(other.text)
