"""The patch proposed, without scripts: the form, the outlines in their room, the way on to the answer, what can't be read."""

import html
import json
import re
from io import BytesIO
from urllib.parse import parse_qs, urlsplit

import pytest
from werkzeug.test import TestResponse

from tests.web.conftest import House
from tests.web.test_labels import label, refusals
from tests.web.test_patch import visible

HALL = {"room": "hall", "width": "70", "length": "120", "pile": "0"}
ASKED = HALL | {
    "style": "harow twist",
    "job": "Alder Court 7",
    "damage_x_1": "20",
    "damage_y_1": "40",
    "damage_width_1": "10",
    "damage_length_1": "8",
}
HOUSE = {
    "unit": "in",
    "rooms": [
        {"name": "hall", "width": 70, "length": 120, "pile": 90},
        {"name": "den", "width": 100, "length": 90, "islands": [[[40, 40], [50, 40], [50, 50], [40, 50]]]},
    ],
}


def ask(house: House, name: str = "Wim", /, **changes: str) -> TestResponse:
    browser = house.browser(name)
    answer = browser.post("/propose", data=ASKED | changes)
    return browser.get(answer.location) if answer.status_code == 303 else answer


def takes(page: TestResponse) -> list[str]:
    """The addresses to which an outline is taken."""
    return [html.unescape(found) for found in re.findall(r'href="(/patch/answer\?[^"]+)"', page.text)]


def test_damage_in_a_room_gets_outlines_each_with_its_drawing_its_reasons_and_its_sights(house: House) -> None:
    """Damage of 10 x 8 in with 1 in round it is an island of 12 x 10 in at the least."""
    page = ask(house)
    assert "1&#39; ×\xa010&#34;" in page.data.decode(), "a length stays on one line"
    told = visible(page.text)
    assert page.status_code == 200 and "1' × 10\", an island in the floor" in told
    outlines = takes(page)
    assert 1 <= len(outlines) <= 3 and page.text.count('role="img"') == len(outlines)
    assert "Why it ends there" in told and "past the damage" in told and "Seam with the floor" in told
    assert "Cross-hatched: the damage." in told and ' style="' not in page.text
    ids = [part.partition('"')[0] for part in page.text.split(' id="')[1:]]
    assert len(ids) == len(set(ids))


def test_an_outline_is_taken_with_one_press_and_held_as_any_other_answer(house: House) -> None:
    wim = house.browser("Wim")
    page = ask(house, note="mind the cat", seam="1/2")
    donors = re.findall(r"Fetch</span> <a class=\"tag\" href=\"[^\"]+\">([^<]+)</a>", page.text)
    answer = wim.get(takes(page)[0])
    told = visible(answer.text)
    assert "Yes, in one piece" in told and f"Fetch {donors[0]}" in told and "mind the cat" in told
    (patch,) = json.loads(parse_qs(urlsplit(takes(page)[0]).query)["patches"][0])
    (file,) = {html.unescape(found) for found in re.findall(r'name="job_file" value="([^"]*)"', answer.text)}
    assert json.loads(file)["patches"][0]["outline"] == patch["outline"] and json.loads(file)["allowance"]["seam"] == "12.7 mm"
    digest = re.search(r'name="digest" value="([^"]*)"', answer.text)
    assert digest is not None
    held = wim.post("/jobs/hold", data={"job_file": file, "digest": digest[1], "key": "k1", "made_by": "Wim"})
    assert held.status_code == 303
    assert "Held" in visible(wim.get(held.location).text)


def test_what_is_typed_stays_and_leads_back_to_the_form(house: House) -> None:
    page = house.browser("Wim").get(
        "/propose", query_string=ASKED | {"light": "270", "lanes": "36, 0; 36, 90", "damage_round_1": "1"}
    )
    assert 'value="Alder Court 7"' in page.text and 'name="damage_x_1" type="text" value="20"' in page.text
    assert "36, 0; 36, 90</textarea>" in page.text
    assert re.search('name="damage_round_1" value="1" checked', page.text) and 'name="damage_round_2" value="1">' in page.text
    assert "people walk" in visible(page.text), "and is drawn for whoever has no scripts"
    assert "unscripted" in page.text


def test_a_patch_that_is_asked_leads_on_with_its_carpet(house: House) -> None:
    page = house.browser("Wim").get("/patch?style=Harrow+Twist&lot=771&job=Elm")
    assert 'href="/propose?style=Harrow+Twist&amp;colour=&amp;lot=771&amp;job=Elm"' in page.text
    assert 'href="/propose"' in house.browser("Lou").get("/").text


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"damage_x_1": "65"}, 'reaches 5" out of'),
        ({"damage_length_1": "zz"}, "is no length"),
        ({"door_1": "1", "door_width_1": "80"}, "wider than its wall"),
        ({"margin": "-2 cm"}, "below zero"),
        ({"max_parts": "9"}, "4"),
        ({"use": "O-007"}, "the nearest are O-0007"),
        ({"house": "Fern Row 2, hall"}, "comma"),
    ],
)
def test_a_refusal_links_to_its_field_by_its_own_label_and_nothing_typed_is_lost(
    house: House, changes: dict[str, str], told: str
) -> None:
    page = ask(house, **changes)
    assert page.status_code == 422
    (refusal,) = refusals(page.text)
    assert told in refusal.what and refusal.called == label(page.text, refusal.field)
    assert 'value="Alder Court 7"' in page.text
    for field, text in changes.items():
        assert f'value="{html.escape(text)}"' in page.text or f'value="{text}" selected' in page.text, field


def test_damage_that_nothing_covers_says_what_is_missing_and_still_shows_where_it_would_end(house: House) -> None:
    page = ask(house, width="400", length="400", damage_width_1="300", damage_length_1="300")
    told = visible(page.text)
    assert page.status_code == 200 and "Nothing in stock makes it" in told and "See what is missing" in told
    assert "short" in visible(house.browser("Wim").get(takes(page)[0]).text)


def test_without_the_room_an_island_is_proposed(house: House) -> None:
    page = ask(house, room_is="unknown", damage_x_1="", damage_y_1="")
    assert "One outline" in visible(page.text) and "The outline: in one piece" in visible(page.text)
    assert "1' × 10\"" in visible(page.text) and "The walls round patch aren't told" in visible(page.text)
    assert "rooms=" not in takes(page)[0]


def test_a_room_is_taken_from_a_rooms_file(house: House) -> None:
    wim = house.browser("Wim")
    sent = {"style": "Harrow Twist", "job": "Elm", "file": (BytesIO(json.dumps(HOUSE).encode()), "house.json")}
    form = wim.post("/propose", data=sent)
    assert form.status_code == 200 and 'value="Elm"' in form.text and "islands are not taken along" in form.text
    (rooms,) = re.findall(r'name="rooms" value="([^"]*)"', form.text)
    told = {"style": "Harrow Twist", "rooms": html.unescape(rooms), **{f: t for f, t in ASKED.items() if f.startswith("damage")}}
    unsaid = wim.post("/propose", data=told)
    assert unsaid.status_code == 422 and refusals(unsaid.text)[0].field == "room"
    chosen = wim.post("/propose", data=told | {"room": "hall"})
    assert chosen.status_code == 303
    page = wim.get(chosen.location)
    assert "1' × 10\"" in visible(page.text) and "pile to the right" in page.text, "the room's own pile"
    back = wim.post("/propose", data=told | {"drop": "rooms"})
    assert 'name="rooms"' not in back.text and 'name="width"' in back.text


def test_a_lone_room_of_a_file_is_taken_at_once(house: House) -> None:
    text = json.dumps({"unit": "in", "rooms": [HOUSE["rooms"][0]]})
    form = house.browser("Wim").post("/propose", data={"rooms_file": text, "take": "rooms"})
    assert "From the file:" in visible(form.text) and 'type="hidden" name="room" value="hall"' in form.text


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "JSON"),
        ("[]", "a rooms file is a JSON object"),
        ('{"unit": "in", "rooms": []}', "room"),
        ('{"unit": "in", "drawing": "/etc/passwd", "rooms": []}', "send the drawing itself"),
        ('{"unit": "in", "rooms": [{"name": "hall", "width": -1, "length": 2}]}', "rooms[0]"),
        (" " * 140_000, "over 128 KB"),
    ],
)
def test_a_file_that_holds_no_room_is_refused_at_its_field(house: House, text: str, told: str) -> None:
    page = house.browser("Wim").post("/propose", data=ASKED | {"rooms_file": text + "\n."[:0], "take": "rooms"})
    if text.strip():
        assert page.status_code == 422 and refusals(page.text)[0].field == "rooms_file"
        assert told in refusals(page.text)[0].what
    assert 'value="Alder Court 7"' in page.text


def test_looking_is_enough_to_see_outlines_but_not_to_hold_one(house: House) -> None:
    page = ask(house, "Lou")
    assert page.status_code == 200 and takes(page)
    assert "Hold for" not in house.browser("Lou").get(takes(page)[0]).text


BURN = {"name": "burn", "room": "hall", "pile": 0, "damage": [[20, 40], [30, 40], [30, 48], [20, 48]]}
DAMAGED = {"unit": "in", "job": "x", "style": "Harrow Twist", "rooms": [{"name": "hall", "width": 70, "length": 120}]}


def propose(house: House, name: str = "Wim", **changes: object) -> TestResponse:
    headers = {"Authorization": f"Bearer {house.key_of(name)}", "Sec-Fetch-Site": "", "Accept": "application/json"}
    return house.browser().post("/api/propose", json=DAMAGED | {"patches": [BURN]} | changes, headers=headers)


def test_a_program_gets_outlines_with_their_jobs_which_fit_as_they_stand(house: House) -> None:
    """Damage of 10 x 8 in with 1 in round it; what comes back is a job file, and its answer that of /api/fit."""
    told = propose(house).get_json()
    assert 1 <= len(told["proposals"]) <= 3 and "Of hall isn't told: doorways" in told["ask"][0]
    last = told["proposals"][-1]
    assert last["patch"] == "burn" and len(last["edges"]) == len(last["outline"])
    headers = {"Authorization": f"Bearer {house.key_of('Lou')}", "Sec-Fetch-Site": "", "Accept": "application/json"}
    fitted = house.browser().post("/api/fit", json=last["job"], headers=headers).get_json()
    assert (
        fitted["verdict"] == last["answer"]["verdict"] and fitted["patches"][0]["parts"] == last["answer"]["patches"][0]["parts"]
    )
    assert propose(house, "Lou").get_json() == told, "whoever may look is told the same"


def test_a_job_without_damage_is_refused_with_what_answers_it(house: House) -> None:
    answer = propose(house, patches=[{"name": "hall", "room": "hall", "width": 9, "length": 9, "pile": 0}])
    assert answer.status_code == 422 and "`remnants fit` answers" in answer.get_json()["detail"]
    assert propose(house, patches=[BURN | {"width": 9}]).get_json()["faults"][0]["where"] == "patches[0].width"


def test_more_damage_than_is_worked_out_at_once_is_refused_at_every_door(house: House) -> None:
    places = [[[x, 1], [x + 1, 1], [x + 1, 2], [x, 2]] for x in range(2, 13)]
    answer = propose(house, patches=[BURN | {"damage": places}])
    assert answer.status_code == 422
    assert "11 damaged places, and at most 10 are worked out here at once" in answer.get_json()["detail"]
    circle = [[f"{x} mm", f"{y} mm"] for x, y in ((500 + i % 2, 300 + i) for i in range(2001))]
    assert "corners" in propose(house, patches=[BURN | {"damage": circle}]).get_json()["detail"]


@pytest.mark.parametrize("field", ["damage_width_1", "damage_x_1", "width", "length"])
def test_a_size_typed_far_too_large_is_answered_with_a_page_like_any_other(house: House, field: str) -> None:
    """Its damage was hatched line by line over 30,000 km: memory ran out."""
    page = ask(house, **{field: "99999999 ft"})
    assert page.status_code in (200, 422) and len(page.data) < 300_000
